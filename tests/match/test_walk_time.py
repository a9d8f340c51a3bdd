"""When a walk was: by its track, by the frames heard, or at any time."""

from __future__ import annotations

import numpy as np
import pandas as pd

from reportgen.match.positions import TrackOfWalk
from reportgen.match.walk_time import time_of_walk
from reportgen.model.columns import RECORDS
from tests.match.tables import EMPTY_TRACK, at, records, straight_track


def outside(track: TrackOfWalk | None, heard: pd.DataFrame, *seconds: float) -> list[bool]:
    times = pd.Series(pd.to_datetime([at(second) for second in seconds], utc=True))
    return [bool(flag) for flag in time_of_walk(track, heard).is_outside(times)]


def test_a_minute_around_the_track_is_the_walks() -> None:
    heard = records({"s": 300})

    assert outside(straight_track(600), heard, -61, -60, 0, 660, 661) == [
        True, False, False, False, True,
    ]  # fmt: skip


def test_the_night_between_two_tracks_of_a_walk_is_no_part_of_it() -> None:
    """A pause of an hour is: somebody ate."""
    track = straight_track(600)
    seconds = np.r_[track.time_s, track.time_s + 4200.0, track.time_s + 50_000.0]
    days = TrackOfWalk(
        time_s=seconds,
        latitude_deg=np.zeros_like(seconds),
        longitude_deg=np.zeros_like(seconds),
        height_msl_m=np.zeros_like(seconds),
    )

    assert outside(days, records({"s": 300}), 2000, 20_000, 50_300) == [False, True, False]


def test_without_a_track_the_frames_heard_say_when_the_walk_was() -> None:
    for track in (None, EMPTY_TRACK):
        heard = records({"s": 1000}, {"s": 2000}, {})
        assert outside(track, heard, 399, 400, 1500, 2600, 2601) == [
            True, False, False, False, True,
        ]  # fmt: skip


def test_a_track_of_another_clock_says_nothing_of_the_walk() -> None:
    """Everything was heard an hour after its end: a zone is wrong, and nobody went home."""
    heard = records({"s": 4200}, {"s": 4300})

    assert outside(straight_track(600), heard, 300, 4250) == [True, False]


def test_where_nothing_says_when_the_walk_was_nothing_is_outside() -> None:
    assert outside(None, RECORDS.empty(), -1e6, 1e6) == [False, False]


def test_an_unknown_time_may_be_the_walks() -> None:
    times = pd.Series(pd.to_datetime([None], utc=True))

    assert not time_of_walk(straight_track(600), RECORDS.empty()).is_outside(times).any()
