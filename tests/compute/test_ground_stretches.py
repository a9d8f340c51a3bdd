"""Ground in common, its stretches, and how densely frames were sent."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from reportgen.compute.ground_stretches import (
    common_ground_ratio,
    frames_per_100_m,
    shared_cells,
    stretches,
)
from reportgen.errors import DomainError

Floats = NDArray[np.float64]


def street(length_m: float, step_m: float = 10.0, north_m: float = 25.0) -> tuple[Floats, Floats]:
    east_m = np.arange(0.5 * step_m, length_m, step_m)
    return east_m, np.full(east_m.size, north_m)


def two_streets(first_m: float, second_m: float) -> tuple[Floats, Floats, NDArray[np.int64]]:
    one, two = street(first_m), street(second_m)
    label = np.repeat([0, 1], [one[0].size, two[0].size])
    return np.append(one[0], two[0]), np.append(one[1], two[1]), label


def test_cells_off_the_common_ground_are_left_out() -> None:
    """The second walk turned back at half way."""
    east_m, north_m, walk = two_streets(1_000.0, 500.0)

    cell = shared_cells(east_m, north_m, walk)

    assert np.array_equal(np.unique(cell), np.arange(-1, 11))
    assert np.all(cell[east_m < 500.0] >= 0)
    assert np.max(east_m[cell >= 0]) < 550.0


def test_cells_are_numbered_in_the_order_walked() -> None:
    """Stretches are cut along this order."""
    east_m, north_m = street(500.0)

    cell = shared_cells(east_m[::-1], north_m, np.zeros(east_m.size, dtype=np.int64))

    assert np.all(np.diff(cell) >= 0)
    assert cell[0] == 0


def test_a_street_along_the_edge_of_a_grid_keeps_its_pairs() -> None:
    """Fixes a metre off fell into different cells, and half of the frames had no partner."""
    east_m, _, walk = two_streets(1_000.0, 1_000.0)
    north_m = np.where(walk == 0, 1.0, -1.0)

    assert np.min(shared_cells(east_m, north_m, walk)) >= 0


def test_no_frames_are_in_no_cell() -> None:
    """Nor are there stretches."""
    nothing, none = np.empty(0), np.empty(0, dtype=np.int64)

    assert shared_cells(nothing, nothing, none).size == 0
    assert stretches(nothing, nothing, none).size == 0


@pytest.mark.parametrize(
    ("length_m", "count"), [(100.0, 1), (340.0, 1), (410.0, 2), (1_010.0, 5), (1_140.0, 5)]
)
def test_stretches_are_at_least_200_m_long(length_m: float, count: int) -> None:
    """Shorter ones would share shadows; a walk's ends are known to half a cell."""
    east_m, north_m = street(length_m)
    cell = shared_cells(east_m, north_m, np.zeros(east_m.size, dtype=np.int64))

    stretch = stretches(east_m, north_m, cell)

    assert np.array_equal(np.unique(stretch), np.arange(count))
    assert np.all(np.diff(stretch) >= 0)
    if count > 1:
        assert np.min(np.bincount(stretch)) >= 4


def test_laps_over_the_same_ground_make_no_new_stretches() -> None:
    """The shadows there are the same, however often it is walked."""
    east_m, north_m = street(1_000.0)
    there_and_back = np.concatenate([east_m, east_m[::-1], east_m])
    cell = shared_cells(there_and_back, np.tile(north_m, 3), np.zeros(300, dtype=np.int64))

    assert np.unique(stretches(there_and_back, np.tile(north_m, 3), cell)).size == 5


def test_ground_between_is_not_counted() -> None:
    """Two common pieces of 300 m, 5 km apart, are no 5.6 km."""
    east_m, north_m = street(300.0)
    apart_m = np.append(east_m, east_m + 5_000.0)
    cell = shared_cells(apart_m, np.append(north_m, north_m), np.zeros(60, dtype=np.int64))

    assert np.unique(stretches(apart_m, np.append(north_m, north_m), cell)).size == 3


def test_common_ground_is_what_all_walked_of_what_any_did() -> None:
    """Half of a street."""
    east_m, north_m, walk = two_streets(1_000.0, 500.0)

    assert common_ground_ratio(east_m, north_m, east_m, walk) == pytest.approx(0.5, abs=0.03)
    assert common_ground_ratio(east_m, north_m + 500.0 * walk, east_m, walk) == 0.0


def test_walks_cover_the_ground_between_their_frames() -> None:
    """Frames 90 m apart, sent at other places of the same street."""
    first_m, second_m = np.arange(0.0, 1_000.0, 90.0), np.arange(45.0, 1_000.0, 90.0)
    east_m = np.append(first_m, second_m)
    walk = np.repeat([0, 1], [first_m.size, second_m.size])

    ratio = common_ground_ratio(east_m, np.full(east_m.size, 25.0), east_m, walk)

    assert ratio > 0.9


def test_a_leap_covers_no_ground() -> None:
    """A walk broken off and taken up a kilometre away."""
    east_m, north_m, walk = two_streets(2_000.0, 2_000.0)
    is_kept = (walk == 0) | (east_m < 500.0) | (east_m > 1_500.0)

    ratio = common_ground_ratio(east_m[is_kept], north_m[is_kept], east_m[is_kept], walk[is_kept])

    assert ratio == pytest.approx(0.5, abs=0.05)


def test_nothing_walked_has_no_share() -> None:
    """NaN, not 0; frames without a place are none."""
    assert np.isnan(common_ground_ratio([], [], [], []))
    assert np.isnan(common_ground_ratio([np.nan], [0.0], [0.0], [1]))


def test_frames_per_100_m_count_the_way_of_every_walk() -> None:
    """One each 10 m, on one walk and on two; none of the way between two walks."""
    east_m, north_m = street(1_000.0)
    walk = np.repeat([3, 8], 50)

    assert frames_per_100_m(east_m, north_m, east_m, np.zeros(100)) == pytest.approx(10.0)
    assert frames_per_100_m(east_m + 900.0 * walk, north_m, east_m, walk) == pytest.approx(10.0)


def test_frames_sent_without_moving_have_no_density() -> None:
    """A node on a window sill."""
    assert np.isnan(frames_per_100_m([1.0, 1.0], [2.0, 2.0], [0.0, 9.0], [0, 0]))
    assert np.isnan(frames_per_100_m([], [], [], []))


def test_uneven_tables_are_refused() -> None:
    """A column that lost a row would shift all places."""
    with pytest.raises(DomainError, match="equally long"):
        frames_per_100_m([1.0, 2.0], [1.0], [1.0, 2.0], [1, 1])
