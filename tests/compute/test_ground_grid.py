"""Squares of ground: sent, heard, silent, walked, and not walked."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import ArrayLike
from scipy.stats import CensoredData, ecdf

from reportgen.compute.ground_grid import GroundGrid, cell_index, censored_median, ground_grid
from reportgen.errors import DomainError

LOST = np.nan


def grid(
    frames: list[tuple[float, float, float]],
    way: list[tuple[float, float]],
    walk: ArrayLike | None = None,
    cell_m: float = 100.0,
) -> GroundGrid:
    """Return the grid of frames (east, north, level or `LOST`) and of a way."""
    east, north, level = np.array(frames).reshape(-1, 3).T
    walked_east, walked_north = np.array(way, dtype=float).reshape(-1, 2).T
    return ground_grid(
        east_m=east,
        north_m=north,
        is_heard=~np.isnan(level),
        level_dbm=level,
        walked_east_m=walked_east,
        walked_north_m=walked_north,
        walk=np.zeros(len(way), dtype=int) if walk is None else walk,
        cell_m=cell_m,
    )


def cells(found: GroundGrid) -> list[tuple[int, int]]:
    return list(zip(found.column.tolist(), found.row.tolist(), strict=True))


def test_station_lies_in_the_corner_of_four_cells() -> None:
    """Cut towards zero instead of downwards, the cells around the station would be double."""
    index = cell_index([1.0, -1.0, -1.0, 1.0, 100.0], [1.0, 1.0, -1.0, -1.0, 99.0])

    assert index.tolist() == [[0, 0], [-1, 0], [-1, -1], [0, -1], [1, 0]]


def test_place_that_is_half_known_is_in_no_cell() -> None:
    assert np.isnan(cell_index([np.nan, 5.0], [5.0, np.nan])).all()


def test_cell_without_size_is_refused() -> None:
    with pytest.raises(DomainError, match="cell_m must be above 0; found 0"):
        cell_index([1.0], [1.0], 0.0)


@pytest.mark.parametrize(
    ("levels", "median", "is_below"),
    [
        ([-90.0, -100.0, -110.0], -100.0, False),
        ([-90.0, -100.0, LOST], -100.0, False),
        ([-90.0, LOST, LOST], np.nan, True),
        ([-90.0, -100.0, -110.0, LOST], -105.0, False),
        ([-90.0, -100.0, LOST, LOST], np.nan, True),
        ([LOST], np.nan, True),
    ],
)
def test_misses_count_as_below_every_level(
    levels: list[float], median: float, is_below: bool
) -> None:
    """By hand. Left out, the misses would make the weakest ground look like the best heard."""
    found = censored_median(levels, ~np.isnan(levels))

    np.testing.assert_equal(found.level_dbm, median)
    assert (found.is_below_limit, found.count) == (is_below, len(levels))


def test_level_of_a_missed_frame_is_not_looked_at() -> None:
    assert censored_median([-90.0, -40.0, -95.0], [True, False, True]).level_dbm == -95.0


def test_frame_heard_without_level_tells_nothing_of_it() -> None:
    found = censored_median([np.nan, -90.0, -94.0], [True, True, True])

    assert (found.level_dbm, found.count) == (-92.0, 2)


def test_median_of_nothing_is_not_below_the_limit() -> None:
    """Nothing known and too weak to be heard are two things."""
    found = censored_median([], [])

    assert np.isnan(found.level_dbm)
    assert not found.is_below_limit


@pytest.mark.parametrize("seed", range(5))
def test_median_is_that_of_kaplan_and_meier(seed: int) -> None:
    """SciPy's estimator, levels turned round so that what lies below the limit comes last."""
    chance = np.random.default_rng(seed)
    level = chance.normal(-112.0, 6.0, 41)
    heard = level > -113.0
    turned = CensoredData.right_censored(-np.maximum(level, -113.0), ~heard)
    curve = ecdf(turned).sf

    found = censored_median(level, heard)

    reached = curve.quantiles[curve.probabilities <= 0.5]
    assert found.is_below_limit == (np.count_nonzero(heard) < 21)
    if not found.is_below_limit:
        assert found.level_dbm == -reached[0]


def test_cell_holds_its_own_frames() -> None:
    found = grid(
        [(50.0, 50.0, -90.0), (60.0, 50.0, -94.0), (70.0, 50.0, LOST), (150.0, 50.0, LOST)], []
    )

    assert cells(found) == [(0, 0), (1, 0)]
    assert (found.sent.tolist(), found.heard.tolist()) == ([3, 1], [2, 0])
    assert found.is_below_limit.tolist() == [False, True]
    np.testing.assert_array_equal(found.level_dbm, [-94.0, np.nan])


def test_silent_walked_and_unwalked_ground_are_three_things() -> None:
    """The whole point: a cell nobody entered is no row, one entered without a frame no silence."""
    found = grid([(50.0, 50.0, LOST)], [(10.0, 50.0), (150.0, 50.0)], cell_m=100.0)

    assert cells(found) == [(0, 0), (1, 0)]
    assert (found.sent.tolist(), found.is_below_limit.tolist()) == ([1, 0], [True, False])
    np.testing.assert_allclose(found.walked_m, [90.0, 50.0], atol=5.0)


def test_diagonal_way_is_shared_out_among_the_cells_it_crosses() -> None:
    """By hand: from (50, 20) by (3, 4)/5 of 125 m to (125, 120), the edges met at 66.7 and 80 %."""
    found = grid([], [(50.0, 20.0), (125.0, 120.0)])

    assert cells(found) == [(0, 0), (1, 0), (1, 1)]
    np.testing.assert_allclose(found.walked_m, [83.3, 16.7, 25.0], atol=5.0)
    assert found.walked_m.sum() == pytest.approx(125.0)


def test_way_walked_twice_counts_twice() -> None:
    found = grid([], [(10.0, 10.0), (90.0, 10.0), (10.0, 10.0)])

    assert found.walked_m.tolist() == pytest.approx([160.0])


@pytest.mark.parametrize(
    ("way", "walk"),
    [
        ([(10.0, 10.0), (10.0, 161.0)], [0, 0]),
        ([(10.0, 10.0), (10.0, 110.0)], [0, 1]),
        ([(10.0, 10.0), (np.nan, 60.0), (10.0, 110.0)], [0, 0, 0]),
    ],
    ids=["gap", "another walk", "place not known"],
)
def test_no_way_is_invented(way: list[tuple[float, float]], walk: list[int]) -> None:
    """Its ends were walked; the ground between them was not, for all anybody knows."""
    found = grid([], way, walk)

    assert cells(found) == [(0, 0), (0, 1)]
    assert found.walked_m.tolist() == [0.0, 0.0]


def test_cell_in_which_somebody_stood_still_was_walked() -> None:
    found = grid([], [(10.0, 10.0)] * 3)

    assert (cells(found), found.walked_m.tolist()) == ([(0, 0)], [0.0])


def test_frame_without_place_is_counted_as_set_aside() -> None:
    found = grid([(np.nan, 1.0, -90.0), (5.0, 5.0, -91.0)], [])

    assert (found.set_aside, found.sent.tolist()) == (1, [1])


def test_nothing_sent_and_nothing_walked_is_no_cell() -> None:
    found = grid([], [])

    assert (cells(found), found.level_dbm.size, found.set_aside) == ([], 0, 0)


def test_infinite_place_is_refused() -> None:
    with pytest.raises(DomainError, match="places must be finite"):
        grid([(np.inf, 0.0, -90.0)], [])


def test_tables_of_unequal_length_are_refused() -> None:
    with pytest.raises(DomainError, match="equally long"):
        grid([], [(0.0, 0.0)], walk=[1, 2])


def test_cells_go_from_south_to_north_and_from_west_to_east() -> None:
    found = grid([(x, y, -90.0) for x in (150.0, -50.0) for y in (150.0, -50.0)], [])

    assert cells(found) == [(-1, -1), (1, -1), (-1, 1), (1, 1)]
