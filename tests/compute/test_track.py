"""Positions in time: never beyond the track, never across a long silence."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reportgen.compute.track import (
    InterpolatedPosition,
    interpolated_position,
    is_jump,
    nearest_in_place,
    nearest_in_time,
    speed_mps,
)
from reportgen.errors import DomainError

TIME_S = [0.0, 10.0, 20.0, 200.0]
LATITUDE = [52.0, 52.001, 52.003, 52.01]
LONGITUDE = [5.0, 5.002, 5.002, 5.0]
HEIGHT_M = [10.0, 14.0, np.nan, 20.0]


def on_track(time_s: list[float], longest_gap_s: float = 60.0) -> InterpolatedPosition:
    return interpolated_position(
        time_s, TIME_S, LATITUDE, LONGITUDE, HEIGHT_M, longest_gap_s=longest_gap_s
    )


def test_halfway_in_time_is_halfway_between_the_neighbours() -> None:
    """The plain case, with the neighbours it rests on."""
    found = on_track([5.0])

    assert found.latitude_deg == pytest.approx([52.0005])
    assert found.longitude_deg == pytest.approx([5.001])
    assert found.height_m == pytest.approx([12.0])
    assert found.gap_s.tolist() == [10.0]
    assert (found.before_index.tolist(), found.after_index.tolist()) == ([0.0], [1.0])


def test_points_less_than_a_second_apart() -> None:
    """Some receivers write several fixes a second."""
    found = interpolated_position(
        [0.1], [0.0, 0.4], [0.0, 4.0], [0.0, 8.0], [0.0, 0.0], longest_gap_s=1.0
    )

    assert (found.latitude_deg[0], found.longitude_deg[0]) == pytest.approx((1.0, 2.0))


def test_outside_the_track_nothing_is_claimed() -> None:
    """Clamping to the last point would put a photo of the journey home on the hill."""
    found = on_track([-0.001, 200.001, np.nan, np.inf])

    for values in (found.latitude_deg, found.longitude_deg, found.height_m, found.gap_s):
        assert np.isnan(values).all()
    assert np.isnan(found.before_index).all()
    assert np.isnan(found.after_index).all()


def test_long_gap_gives_no_position_but_is_reported() -> None:
    """So that the page can say why there is none."""
    found = on_track([100.0])

    assert np.isnan([found.latitude_deg[0], found.longitude_deg[0]]).all()
    assert found.gap_s.tolist() == [180.0]
    assert on_track([100.0], longest_gap_s=180.0).latitude_deg == pytest.approx(
        [52.003 + 0.007 * 80 / 180]
    )


def test_time_of_a_point_is_that_point_even_beside_a_long_gap() -> None:
    """On a point nothing is interpolated, so no gap stands in the way."""
    found = on_track([20.0, 200.0], longest_gap_s=0.0)

    assert found.latitude_deg.tolist() == [52.003, 52.01]
    assert found.gap_s.tolist() == [0.0, 0.0]
    assert found.after_index.tolist() == found.before_index.tolist() == [2.0, 3.0]


def test_unknown_height_costs_the_height_only() -> None:
    """Half of all tracks have holes in their heights."""
    found = on_track([15.0])

    assert np.isnan(found.height_m[0])
    assert found.latitude_deg == pytest.approx([52.002])


@given(st.permutations(range(4)))
def test_order_of_the_points_does_not_matter(order: list[int]) -> None:
    """Receivers write points late, and clocks step back."""
    shuffled = [np.array(column)[order] for column in (TIME_S, LATITUDE, LONGITUDE, HEIGHT_M)]

    found = interpolated_position([3.0, 18.0], *shuffled, longest_gap_s=60.0)

    assert found.latitude_deg == pytest.approx(on_track([3.0, 18.0]).latitude_deg, abs=1e-12)
    assert found.before_index.tolist() == [order.index(0), order.index(1)]


def test_points_without_time_or_place_are_no_neighbours() -> None:
    """They say nothing of where somebody was when."""
    found = interpolated_position(
        [5.0],
        [0.0, np.nan, 4.0, 10.0],
        [52.0, 60.0, np.nan, 52.001],
        [5.0, 6.0, 5.0, 5.0],
        [np.nan] * 4,
        longest_gap_s=60.0,
    )

    assert found.latitude_deg == pytest.approx([52.0005])
    assert (found.before_index.tolist(), found.after_index.tolist()) == ([0.0], [3.0])


def test_points_of_one_time_serve_the_side_they_stand_on() -> None:
    """Whole-second logs repeat times: the last of them leads on, the first is led up to."""
    found = interpolated_position(
        [5.0, 10.0, 15.0],
        [0.0, 10.0, 10.0, 20.0],
        [0.0, 10.0, 20.0, 40.0],
        [0.0] * 4,
        [0.0] * 4,
        longest_gap_s=60.0,
    )

    assert found.latitude_deg == pytest.approx([5.0, 10.0, 30.0])
    assert found.before_index.tolist() == [0.0, 1.0, 2.0]
    assert found.after_index.tolist() == [1.0, 1.0, 3.0]


@pytest.mark.parametrize(
    ("start_deg", "end_deg", "middle_deg"),
    [(179.99, -179.97, -179.99), (-179.97, 179.99, -179.99), (179.97, -179.99, 179.99)],
)
def test_short_way_round_the_antimeridian(
    start_deg: float, end_deg: float, middle_deg: float
) -> None:
    """Straight arithmetic would put the walker on the other side of the earth."""
    found = interpolated_position(
        [5.0], [0.0, 10.0], [-17.0, -17.0], [start_deg, end_deg], [0.0, 0.0], longest_gap_s=60.0
    )

    assert found.longitude_deg == pytest.approx([middle_deg], abs=1e-9)


def test_points_on_the_antimeridian_keep_their_spelling() -> None:
    """A point that is in the file must not come back with another longitude."""
    found = interpolated_position(
        [0.0, 10.0], [0.0, 10.0], [1.0, 1.0], [180.0, -180.0], [0.0, 0.0], longest_gap_s=60.0
    )

    assert found.longitude_deg.tolist() == [180.0, -180.0]


def test_empty_track_places_nothing() -> None:
    """A walk without a track is common."""
    found = interpolated_position([0.0], [], [], [], [], longest_gap_s=60.0)

    assert np.isnan(found.latitude_deg).tolist() == [True]


def test_unfit_arguments_are_refused() -> None:
    """Columns of one track, times in a row, a gap that is a duration."""
    with pytest.raises(DomainError, match=r"height_m \(3,\)"):
        interpolated_position([0.0], TIME_S, LATITUDE, LONGITUDE, HEIGHT_M[:3], longest_gap_s=1.0)
    with pytest.raises(DomainError, match="longest_gap_s must be 0 or more"):
        on_track([0.0], longest_gap_s=-1.0)
    with pytest.raises(DomainError, match="one-dimensional"):
        interpolated_position(0.0, TIME_S, LATITUDE, LONGITUDE, HEIGHT_M, longest_gap_s=1.0)


def test_unknown_longest_gap_allows_none() -> None:
    """A limit that is not known must not act as no limit."""
    assert np.isnan(on_track([5.0], longest_gap_s=np.nan).latitude_deg[0])


def test_nearest_in_time_has_a_sign() -> None:
    """Positive: the point came after the picture."""
    found = nearest_in_time([-3.0, 4.0, 8.0, 300.0], TIME_S)

    assert found.index.tolist() == [0.0, 0.0, 1.0, 3.0]
    assert found.residual_s.tolist() == [3.0, -4.0, 2.0, -100.0]


def test_nearest_in_time_of_equals_is_the_earlier_then_the_first() -> None:
    """The same answer every time, whatever the order of the rows."""
    found = nearest_in_time([5.0, 12.0], [10.0, 0.0, 10.0, np.nan])

    assert found.index.tolist() == [1.0, 0.0]


def test_nearest_in_time_of_nothing_is_unknown() -> None:
    """No time, or no point with one."""
    assert np.isnan(nearest_in_time([np.nan], TIME_S).index[0])
    assert np.isnan(nearest_in_time([0.0], [np.nan]).residual_s[0])


@given(
    st.lists(st.integers(0, 50), min_size=1, max_size=12),
    st.lists(st.integers(-5, 60), min_size=1, max_size=4),
)
def test_nearest_in_time_is_the_smallest_difference(points: list[int], asked: list[int]) -> None:
    """The fast search agrees with looking at every point."""
    found = nearest_in_time(asked, points)

    for time_s, residual_s in zip(asked, found.residual_s, strict=True):
        assert abs(residual_s) == min(abs(point - time_s) for point in points)


def test_nearest_in_place_skips_the_unknown() -> None:
    """A point without a position is nobody's neighbour, a photo without one has none."""
    found = nearest_in_place([52.0, np.nan], [5.0, 5.0], [np.nan, 52.01, 52.001], [5.0, 5.0, 5.0])

    assert found.index[0] == 2.0
    assert found.distance_m[0] == pytest.approx(111.3, abs=0.1)
    assert np.isnan(found.index[1])
    assert np.isnan(nearest_in_place([52.0], [5.0], [], []).distance_m[0])


def test_nearest_in_place_of_equals_is_the_first() -> None:
    """Rows keep their say in the order in which they were written."""
    assert nearest_in_place([0.0], [0.0], [1.0, 1.0], [2.0, 2.0]).index.tolist() == [0.0]


def test_speed_is_distance_over_time() -> None:
    """One ten-thousandth of a degree of the equator in 10 s: 1.11 m/s."""
    speeds_mps = speed_mps([0.0, 10.0, 10.0, 5.0, np.nan], [0.0] * 5, [0.0, 1e-4, 2e-4, 3e-4, 0.0])

    assert speeds_mps[1] == pytest.approx(1.1132, abs=0.0001)
    # No first step, no time passed, time ran backwards, no time.
    assert np.isnan(speeds_mps[[0, 2, 3, 4]]).all()
    assert speed_mps([0.0, 0.5], [0.0] * 2, [0.0, 1e-5])[1] == pytest.approx(2.2264, abs=0.0001)
    assert speed_mps([0.0, 10.0], [0.0, 1e-4], [0.0, 1e-4])[1] == pytest.approx(1.569, abs=0.0005)
    assert speed_mps([], [], []).shape == (0,)


def test_jump_is_farther_than_anybody_walks() -> None:
    """A multipath fix a kilometre off, and back again."""
    jumps = is_jump([0.0, 10.0, 20.0, 30.0], [0.0] * 4, [0.0, 1e-4, 1e-2, 2e-4], fastest_mps=15.0)

    assert jumps.tolist() == [False, False, True, True]


def test_short_steps_count_as_the_clock_ticks() -> None:
    """Two points within one whole second, 11 m apart: no jump at 15 m/s, one at 10 m/s."""
    points = ([3.0, 3.0, np.nan], [0.0] * 3, [0.0, 1e-4, 5.0])

    assert is_jump(*points, fastest_mps=15.0).tolist() == [False, False, False]
    assert is_jump(*points, fastest_mps=10.0).tolist() == [False, True, False]


def test_backward_time_is_judged_by_its_length() -> None:
    """A clock set back by an hour makes no walk impossible, nor every jump possible."""
    jumps = is_jump([100.0, 90.0, 80.0], [0.0] * 3, [0.0, 1e-4, 1e-1], fastest_mps=15.0)

    assert jumps.tolist() == [False, False, True]


def test_jump_needs_a_speed() -> None:
    """Zero would flag every step."""
    with pytest.raises(DomainError, match="fastest_mps must be above 0"):
        is_jump([0.0], [0.0], [0.0], fastest_mps=0.0)
