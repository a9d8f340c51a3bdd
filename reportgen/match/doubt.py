"""Frames in doubt: a row set aside for a fault says that the own station heard them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from reportgen.match.found_frames import FoundFrames
from reportgen.match.frames import SAME_FRAME_S
from reportgen.match.positions import epoch_s
from reportgen.match.stations import KnownStations, known_key
from reportgen.model.accounts import BrokenFrame
from reportgen.model.campaign import Campaign


def doubtful(campaign: Campaign, found: FoundFrames, known: KnownStations) -> pd.Series:
    """Return which frames a broken row says were heard by an own station, or by nobody named."""
    frames = found.frames
    own = {station.key for station in campaign.own_stations}
    broken_rows = [
        broken
        for broken in campaign.broken_frames
        if not broken.station_id or known_key(known, broken.station_id) in own
    ]
    if not broken_rows:
        return pd.Series(False, index=frames.index)
    named = {(broken.walk, broken.node, broken.counter) for broken in broken_rows}
    keys = list(zip(frames["walk"], frames["node"], frames["counter"], strict=True))
    is_named = pd.Series([key in named for key in keys], index=frames.index, dtype=bool)
    left = named - set(keys)
    rest = [row for row in broken_rows if (row.walk, row.node, row.counter) in left]
    by_time = set(_by_time(rest, frames)) - set(found.uplink["frame"].dropna())
    return is_named | frames["frame"].isin(by_time)


def _by_time(broken_rows: list[BrokenFrame], frames: pd.DataFrame) -> Iterator[int]:
    """Yield the frames without counter that rows speak of whose counter no frame has."""
    uncounted = frames[frames["counter"].isna() & frames["time_utc"].notna()]
    for broken in broken_rows if len(uncounted) else ():
        if broken.time_utc is None:
            continue
        is_its = (uncounted["walk"] == broken.walk) & (uncounted["node"] == broken.node)
        apart_s = np.abs(epoch_s(uncounted["time_utc"]) - broken.time_utc.timestamp())
        nearest = apart_s[is_its.to_numpy(dtype=bool)]
        if nearest.size and nearest.min() <= SAME_FRAME_S:
            yield int(uncounted.loc[is_its, "frame"].iloc[int(nearest.argmin())])
