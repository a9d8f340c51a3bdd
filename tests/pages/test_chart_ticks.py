from __future__ import annotations

import pytest

from reportgen.pages.charts.description import Axis
from reportgen.pages.charts.ticks import (
    axis_ticks,
    linear_ticks,
    log_ticks,
    ring_radii_m,
    round_step,
    scale_bar_m,
    time_ticks,
)
from reportgen.pages.units import METRIC

DAY_S = 86_400.0


def test_ticks_are_round_and_lie_between_the_ends() -> None:
    assert linear_ticks(-127.3, -61.0, 7) == (-120.0, -110.0, -100.0, -90.0, -80.0, -70.0)


def test_an_end_that_is_round_itself_has_a_tick() -> None:
    """Floating point must not lose the last one."""
    assert linear_ticks(0.0, 0.3, 3) == pytest.approx((0.0, 0.1, 0.2, 0.3))


@pytest.mark.parametrize("span", [0.07, 3.0, 59.0, 1234.0])
@pytest.mark.parametrize("most", [3, 6, 9])
def test_a_step_makes_no_more_parts_than_asked(span: float, most: int) -> None:
    assert span / round_step(span, most) <= most * (1 + 1e-9)


def test_clock_ticks_fall_on_full_minutes() -> None:
    assert time_ticks(36_010.0, 38_900.0, 6) == (36_600.0, 37_200.0, 37_800.0, 38_400.0)


def test_midnight_is_written_as_its_date() -> None:
    """Two days of one walk would else show the same hours twice."""
    axis = Axis(
        label="t", unit="", kind="time", low=20_611 * DAY_S - 7200, high=20_611 * DAY_S + 7200
    )

    assert [text for _, text in axis_ticks(axis, 4)] == [
        "22:00",
        "23:00",
        "06-07",
        "01:00",
        "02:00",
    ]


def test_many_days_have_ticks_of_whole_days() -> None:
    ticks = time_ticks(0.0, 40 * DAY_S, 6)

    assert 2 <= len(ticks) <= 7
    assert all(tick % DAY_S == 0 for tick in ticks)


def test_a_logarithmic_axis_has_ones_twos_and_fives() -> None:
    assert log_ticks(20.0, 1500.0, 6) == (20.0, 50.0, 100.0, 200.0, 500.0, 1000.0)


def test_numbers_have_the_decimals_that_tell_them_apart() -> None:
    axis = Axis(label="r", unit="", kind="linear", low=0.0, high=1.0)

    assert [text for _, text in axis_ticks(axis, 5)] == ["0.0", "0.2", "0.4", "0.6", "0.8", "1.0"]


@pytest.mark.parametrize("farthest_m", [3.0, 10.0, 47.0, 133.0, 999.0, 1214.0, 4800.0, 33_000.0])
def test_rings_are_three_to_seven_and_lie_on_the_ground_shown(farthest_m: float) -> None:
    """A walk of ten metres and a ride of thirty kilometres are both to be read off."""
    radii = ring_radii_m(farthest_m)

    assert 3 <= len(radii) <= 7
    assert radii[-1] <= max(farthest_m, 10.0)
    assert radii[-1] + radii[0] > farthest_m


def test_a_scale_bar_is_round_and_takes_up_to_a_fifth() -> None:
    assert scale_bar_m(1234.0) == 200.0
    assert scale_bar_m(5000.0) == 1000.0


@pytest.mark.parametrize(
    ("length_m", "text"),
    [(200.0, "200\u202fm"), (1000.0, "1\u202fkm"), (1500.0, "1.5\u202fkm"), (0.5, "0.5\u202fm")],
)
def test_a_round_length_is_written_in_metres_or_kilometres(length_m: float, text: str) -> None:
    assert METRIC.round_length(length_m) == text
