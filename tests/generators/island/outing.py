"""A whole walk: where it went, what was sent and heard, what the files say of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tests.generators.island import logs
from tests.generators.island.frames import Frame, downlinks, sent_frames, uplinks
from tests.generators.island.logs import LogFile, Row
from tests.generators.island.scenario import TRACK_GAP_LIMIT_S, WALKS, Walk
from tests.generators.island.walks import TrackPoint, Walked, track_points, walked

_WRITERS = {
    "network-export": (logs.network_export, 0.5),
    "broker-messages": (logs.broker_messages, 0.25),
    "station-table": (logs.station_table, 0.25),
}
"""By format: who writes it, and in which steps its receivers state SNR."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outing:
    """One walk with all that came of it."""

    walk: Walk
    path: Walked
    frames: tuple[Frame, ...]
    track: tuple[TrackPoint, ...]
    logs: tuple[LogFile, ...]

    def place_of(self, row: Row) -> tuple[float, float] | None:
        """Return latitude and longitude of a row: its own, else the track's at that time."""
        if row.latitude_deg is not None and row.longitude_deg is not None:
            return row.latitude_deg, row.longitude_deg
        return self.place_at(row.time_s)

    def place_at(self, time_s: float) -> tuple[float, float] | None:
        """Return the track's place at a time; None outside it and across long gaps."""
        for before, after in zip(self.track, self.track[1:], strict=False):
            if not before.time_s <= time_s <= after.time_s:
                continue
            step_s = after.time_s - before.time_s
            if step_s > TRACK_GAP_LIMIT_S and time_s not in (before.time_s, after.time_s):
                return None
            share = (time_s - before.time_s) / step_s
            return (
                before.latitude_deg + share * (after.latitude_deg - before.latitude_deg),
                before.longitude_deg + share * (after.longitude_deg - before.longitude_deg),
            )
        return None


@lru_cache(maxsize=1)
def all_outings() -> tuple[Outing, ...]:
    """Return every walk, in the order of the description."""
    return tuple(_outing(walk) for walk in WALKS)


def outing_of(key: str) -> Outing:
    """Return the walk of that key."""
    return next(outing for outing in all_outings() if outing.walk.key == key)


def _outing(walk: Walk) -> Outing:
    path = walked(walk)
    frames = sent_frames(path)
    writer, snr_step_db = _WRITERS[walk.log_format]
    heard = uplinks(walk, frames, snr_step_db)
    files = [writer(path, heard)]
    if walk.node_log:
        files.append(logs.node_notes(path, downlinks(walk, heard)))
    return Outing(walk=walk, path=path, frames=frames, track=track_points(path), logs=tuple(files))


def true_place(outing: Outing, time_s: float) -> tuple[float, float]:
    """Return where somebody truly was, in metres."""
    x_m, y_m = outing.path.at(np.array([time_s - outing.walk.start_s]))
    return float(x_m[0]), float(y_m[0])
