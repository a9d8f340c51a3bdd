from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reportgen.compute.track_jumps import is_out_of_place

METRE_DEG = 1.0 / 111_195.0
"""Of latitude, on a sphere of 6 371 km."""


def flags(time_s: list[float], north_m: list[float]) -> list[bool]:
    """Judge points on one meridian."""
    latitude = np.array(north_m) * METRE_DEG
    return [bool(flag) for flag in is_out_of_place(time_s, latitude, np.zeros(len(north_m)))]


def test_a_walk_is_left_alone() -> None:
    assert not any(flags([0, 5, 10, 15], [0, 7, 13, 20]))


def test_a_single_point_far_away_is_out_of_place_and_its_neighbours_are_not() -> None:
    assert flags([0, 5, 10, 15], [0, 7, 50_000, 20]) == [False, False, True, False]


def test_a_first_point_of_another_day_does_not_take_the_walk_with_it() -> None:
    """A receiver that wakes up says where it was last: the walk must stay, not that point."""
    assert flags([0, 5, 10, 15], [90_000, 7, 13, 20]) == [True, False, False, False]


def test_a_long_stay_far_away_is_out_of_place_as_a_whole() -> None:
    time_s = [5.0 * n for n in range(40)]
    north_m = [7.0 * n + (80_000.0 if 10 <= n < 20 else 0.0) for n in range(40)]

    assert flags(time_s, north_m) == [10 <= n < 20 for n in range(40)]


def test_a_spike_slow_enough_for_a_drive_is_still_out_and_back() -> None:
    """150 m off for one point of ten seconds: no car drives there and back between two steps."""
    assert flags([0, 5, 10, 15], [0, 7, 163, 20]) == [False, False, True, False]


def test_a_drive_is_no_jump() -> None:
    """30 m/s for a minute does not come back."""
    assert not any(flags([2.0 * n for n in range(30)], [60.0 * n for n in range(30)]))


def test_turning_round_in_a_car_is_no_jump() -> None:
    """20 m/s out, round, and back, a point every 20 s: at the turn it is out and back."""
    north_m = [400.0 * n for n in range(10)] + [400.0 * n for n in range(8, 0, -1)]

    assert not any(flags([20.0 * n for n in range(18)], north_m))


def test_turning_round_at_a_run_is_no_jump() -> None:
    """60 m out in 12 s and back in 12 s: anybody can."""
    assert not any(flags([0, 12, 24], [0, 60, 0]))


def test_order_of_the_file_does_not_matter() -> None:
    assert flags([15, 10, 0, 5], [20, 50_000, 0, 7]) == [False, True, False, False]


def test_points_without_time_or_place_are_not_judged() -> None:
    assert flags([0, float("nan"), 5, 10], [0, 50_000, float("nan"), 13]) == [False] * 4


@given(
    st.lists(st.floats(-2.0, 2.0), min_size=10, max_size=60),
    st.sets(st.integers(1, 8), max_size=3),
    st.floats(2_000.0, 1e6),
)
def test_whatever_the_walk_only_the_points_moved_away_go(
    paces_mps: list[float], moved: set[int], away_m: float
) -> None:
    """Up to three points anywhere inside a walk, moved by kilometres, are found and no others."""
    north_m = np.cumsum(np.array(paces_mps) * 5.0)
    north_m[list(moved)] += away_m

    found = is_out_of_place(
        5.0 * np.arange(north_m.size), north_m * METRE_DEG, np.zeros(north_m.size)
    )

    assert set(np.flatnonzero(found)) == moved


def test_points_and_times_must_go_together() -> None:
    with pytest.raises(ValueError, match="latitude_deg"):
        is_out_of_place([0.0, 1.0], [0.0], [0.0])
