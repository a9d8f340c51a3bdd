"""The ground in squares: where was walked, what was sent there, and how much of it was heard."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.geodesy import local_metres
from reportgen.compute.ground_grid import GroundGrid, ground_grid
from reportgen.compute.statistics import wilson_interval
from reportgen.match.join import Joined
from reportgen.model.columns import CELLS
from reportgen.model.station import Station
from reportgen.results.delivery import uncounted_reason
from reportgen.results.walks import WalkResult

Floats = NDArray[np.float64]

ALL_WALKS = ""
"""Stands for the key of a walk where all are taken together."""


def cells_table(
    joined: Joined, walks: tuple[WalkResult, ...], margins: Mapping[str, str]
) -> pd.DataFrame:
    """Return the cells of each walk, and of several walks together, by station.

    Columns are those of `CELLS`. A cell that is in no row was not walked. Own stations have frames
    sent and heard, leaving out walks whose frames can't be counted; of others it is counted what
    they heard, and cells where they heard nothing are in no row. Without a place of the first own
    station there are no cells.
    """
    if joined.home.position is None:
        return CELLS.empty()
    groups: list[tuple[str, Sequence[WalkResult]]] = [(item.walk.key, (item,)) for item in walks]
    if len(walks) > 1:
        groups.append((ALL_WALKS, walks))
    parts = [table for key, group in groups for table in _stations(key, group, joined, margins)]
    filled = [table for table in parts if len(table)]
    return CELLS.of(pd.concat(filled, ignore_index=True)) if filled else CELLS.empty()


def margin_columns(joined: Joined) -> dict[str, str]:
    """Return what the margin of each station is made of: the link's, else that of the SNR.

    The one needs the station's noise figure or a stated sensitivity; the other is as the receiver
    reported it and stops rising where the signal is strong.
    """
    has_margin = joined.receptions["link_margin_db"].notna()
    known = set(joined.receptions.loc[has_margin, "station"].unique())
    return {
        station.key: "link_margin_db" if station.key in known else "snr_margin_db"
        for station in joined.stations
    }


def _stations(
    key: str, walks: Sequence[WalkResult], joined: Joined, margins: Mapping[str, str]
) -> Iterator[pd.DataFrame]:
    counted = [result for result in walks if uncounted_reason(result.frames) is None]
    for station in joined.stations:
        if station.is_own and counted:
            frames = _frames(counted, station, margins[station.key], is_counted=True)
            yield _own(frames, counted, joined).assign(walk=key, station=station.key, is_own=True)
        elif not station.is_own:
            frames = _frames(walks, station, "link_margin_db", is_counted=False)
            yield _other(frames, walks, joined).assign(walk=key, station=station.key, is_own=False)


def _frames(
    walks: Sequence[WalkResult], station: Station, margin: str, *, is_counted: bool
) -> pd.DataFrame:
    """Return frames with what a station measured of them: is_heard, signal_dbm, margin_db.

    Counted frames are those neither without counter nor in doubt. A level that can't be true is
    not used, but the frame was heard all the same.
    """
    frames = pd.concat([result.frames for result in walks], ignore_index=True)
    if is_counted:
        frames = frames[~frames["is_doubtful"] & frames["is_counted"]]
    heard = pd.concat([result.receptions for result in walks], ignore_index=True)
    heard = heard[heard["station"] == station.key].drop_duplicates("frame").set_index("frame")
    number = frames["frame"]
    usable = heard[~heard["is_too_strong"]]
    return frames.assign(
        is_heard=number.isin(heard.index),
        signal_dbm=number.map(usable["signal_dbm"]).astype(float),
        margin_db=number.map(usable[margin]).astype(float),
    )


def _own(frames: pd.DataFrame, walks: Sequence[WalkResult], joined: Joined) -> pd.DataFrame:
    ground = _Ground.of(frames, walks, joined)
    grid = ground.grid(frames["signal_dbm"])
    margins = ground.grid(frames["margin_db"])
    low, high = wilson_interval(grid.heard, grid.sent)
    # By counts alone, as frames heard without a level lie above the limit, too.
    is_below = (grid.sent > 0) & (grid.sent - grid.heard > (grid.sent - 1) // 2)
    return _columns(grid).assign(
        frames_sent=grid.sent,
        delivery_ratio=grid.heard / np.where(grid.sent > 0, grid.sent, np.nan),
        delivery_low_ratio=low,
        delivery_high_ratio=high,
        signal_dbm=np.round(grid.level_dbm, 1),
        margin_db=np.round(margins.level_dbm, 1),
        is_below_limit=is_below,
    )


def _other(frames: pd.DataFrame, walks: Sequence[WalkResult], joined: Joined) -> pd.DataFrame:
    """Return counts only: nobody knows when somebody else's station was switched off."""
    columns = _columns(_Ground.of(frames, walks, joined).grid(frames["signal_dbm"]))
    return columns[columns["frames_heard"] > 0]


def _columns(grid: GroundGrid) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "cell_m": grid.cell_m,
            "east_m": grid.column * grid.cell_m,
            "north_m": grid.row * grid.cell_m,
            "walked_m": np.round(grid.walked_m, 1),
            "frames_heard": grid.heard,
        }
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ground:
    """Where frames were sent and where somebody walked, in metres from the home station."""

    is_heard: NDArray[np.bool_]
    sent_m: tuple[Floats, Floats]
    walked_m: tuple[Floats, Floats]
    walk: NDArray[np.int64]

    @classmethod
    def of(cls, frames: pd.DataFrame, walks: Sequence[WalkResult], joined: Joined) -> _Ground:
        track = pd.concat([result.track for result in walks], ignore_index=True)
        walk = track.groupby(["walk", "segment"], sort=False).ngroup()
        return cls(
            is_heard=frames["is_heard"].to_numpy(dtype=np.bool_),
            sent_m=_metres(frames, joined),
            walked_m=_metres(track, joined),
            walk=walk.to_numpy(dtype=np.int64),
        )

    def grid(self, level: pd.Series) -> GroundGrid:
        """Return the cells; `level` is in any unit, and so is the median."""
        return ground_grid(
            east_m=self.sent_m[0],
            north_m=self.sent_m[1],
            is_heard=self.is_heard,
            level_dbm=level.to_numpy(dtype=np.float64),
            walked_east_m=self.walked_m[0],
            walked_north_m=self.walked_m[1],
            walk=self.walk,
        )


def _metres(table: pd.DataFrame, joined: Joined) -> tuple[Floats, Floats]:
    place = joined.home.position
    assert place is not None  # looked at first
    return local_metres(
        table["latitude_deg"].to_numpy(dtype=np.float64),
        table["longitude_deg"].to_numpy(dtype=np.float64),
        place.latitude_deg,
        place.longitude_deg,
    )
