"""When a walk was: what was sent or heard at other times says nothing of the ground walked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.match.positions import TrackOfWalk, epoch_s

LONGEST_PAUSE_S = 3_600.0
"""A longer gap of the track is no part of the walk: a night or a drive between two halves of it
(our choice)."""

AROUND_TRACK_S = 60.0
"""Somebody begins to record within about so long of switching the node on, at the same place; what
was sent earlier or later was sent nobody knows where (our choice)."""

AROUND_HEARD_S = 600.0
"""Without a track a walk may have begun so long before the first frame heard, and gone on so long
after the last: some 800 m of walking out of reach (our choice)."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkTime:
    """Spans of time that belong to a walk, shapes (n,); none where nobody can say. [s]"""

    start_s: Floats
    end_s: Floats

    def is_outside(self, times: pd.Series) -> NDArray[np.bool_]:
        """Tell which times lie in none of the spans; an unknown time may lie in one."""
        asked_s = epoch_s(times)
        if not self.start_s.size:
            return np.zeros(asked_s.shape, dtype=np.bool_)
        inside = (asked_s[:, None] >= self.start_s) & (asked_s[:, None] <= self.end_s)
        return np.asarray(np.isfinite(asked_s) & ~inside.any(axis=1), dtype=np.bool_)


ANY_TIME = WalkTime(start_s=np.array([]), end_s=np.array([]))


def time_of_walk(track: TrackOfWalk | None, heard: pd.DataFrame) -> WalkTime:
    """Return when a walk was, by its track, else by the frames heard, else at any time.

    Parameters
    ----------
    track : TrackOfWalk or None
        As recorded by a receiver that was carried; None where there is none.
    heard : DataFrame
        Records of stations.

    Notes
    -----
    A track in whose time nothing was heard, while something was, is that of another clock or
    another day: then the frames heard say when the walk was.
    """
    if track is not None and not track.is_empty:
        by_track = _by_track(np.unique(track.time_s))
        if heard["time_utc"].isna().all() or not by_track.is_outside(heard["time_utc"]).all():
            return by_track
    heard_s = epoch_s(heard["time_utc"].dropna())
    if not heard_s.size:
        return ANY_TIME
    return WalkTime(
        start_s=heard_s.min(keepdims=True) - AROUND_HEARD_S,
        end_s=heard_s.max(keepdims=True) + AROUND_HEARD_S,
    )


def _by_track(time_s: Floats) -> WalkTime:
    pauses = np.flatnonzero(np.diff(time_s) > LONGEST_PAUSE_S)
    firsts, lasts = np.append(0, pauses + 1), np.append(pauses, time_s.size - 1)
    return WalkTime(start_s=time_s[firsts] - AROUND_TRACK_S, end_s=time_s[lasts] + AROUND_TRACK_S)
