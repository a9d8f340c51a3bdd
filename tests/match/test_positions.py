from __future__ import annotations

import pytest

from reportgen.match.positions import epoch_s, placed, times_of
from tests.match.tables import EMPTY_TRACK, records, straight_track


def test_a_place_in_the_log_wins_over_the_track() -> None:
    table = records({"s": 5, "latitude_deg": 1.0, "longitude_deg": 2.0}, {"s": 5})

    found = placed(table, straight_track(10), longest_gap_s=120, word="track")

    assert list(found["place_known"]) == ["recorded", "track"]
    assert list(found["latitude_deg"]) == pytest.approx([1.0, 5e-5])


def test_outside_the_track_there_is_no_place() -> None:
    """Clamping to the track's end would put a whole log in one spot."""
    found = placed(records({"s": 11}), straight_track(10), longest_gap_s=120, word="track")

    assert found["latitude_deg"].isna().all()
    assert list(found["place_known"]) == [""]


def test_without_a_track_nothing_is_placed_and_nothing_breaks() -> None:
    found = placed(records({"s": 1}), EMPTY_TRACK, longest_gap_s=120, word="track")

    assert list(found["place_known"]) == [""]


def test_times_survive_the_way_to_seconds_and_back() -> None:
    times = records({"s": 1.25}, {"s": 2.5}, {})["time_utc"]

    back = times_of(epoch_s(times))

    assert back.dropna().tolist() == times.dropna().tolist()
    assert back.isna().tolist() == [False, False, True]
