from __future__ import annotations

import datetime as dt

import pytest

from reportgen.pages import formats

N = formats.NARROW


@pytest.mark.parametrize(
    ("ratio", "text"),
    [
        (0.0, "0"),
        (0.001, "<1"),
        (0.0049, "<1"),
        (0.005, "<1"),
        (0.0051, "1"),
        (0.995, ">99"),
        (0.706, "71"),
        (0.9949, "99"),
        (0.996, ">99"),
        (1.0, "100"),
    ],
)
def test_rounding_never_makes_a_false_nought_or_hundred(ratio: float, text: str) -> None:
    """One frame missed of 900 is not "all heard"."""
    assert formats.percent_text(ratio) == f"{text}{N}%"


def test_a_bearing_just_short_of_north_reads_000() -> None:
    assert formats.bearing_text(359.6) == "000°"
    assert formats.bearing_text(7.2) == "007°"


def test_minus_is_a_minus_and_zero_has_no_sign() -> None:
    assert formats.level_text(-97.0, "dBm") == f"\N{MINUS SIGN}97{N}dBm"
    assert formats.number_text(-0.2) == "0"


@pytest.mark.parametrize(
    ("power_w", "text"),
    [(0.0251, f"25.1{N}mW"), (1.584, f"1.58{N}W"), (0.000_5, f"0.500{N}mW"), (40, f"40.0{N}W")],
)
def test_powers_have_three_digits(power_w: float, text: str) -> None:
    assert formats.power_text(power_w) == text


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (7.6, f"8{N}s"),
        (59.6, f"1{N}min{N}00{N}s"),
        (247, f"4{N}min{N}07{N}s"),
        (3900, f"1{N}h{N}05{N}min"),
        (-8, f"8{N}s"),
    ],
)
def test_durations_carry_over(seconds: float, text: str) -> None:
    assert formats.duration_text(seconds) == text


def test_times_are_shown_in_the_campaigns_zone() -> None:
    at = dt.datetime(2026, 6, 30, 23, 30, tzinfo=dt.UTC)
    months = tuple(f"month {number}" for number in range(1, 13))

    assert formats.clock_text(at, "Europe/Paris") == "01:30:00"
    assert formats.date_text(at, "Europe/Paris", months, "{day}. {month} {year}") == (
        "1. month 7 2026"
    )


def test_compass_points_are_centred_on_their_bearing() -> None:
    assert formats.compass_index(348.8) == 0
    assert formats.compass_index(348.6) == 15
    assert formats.compass_index(90) == 4
