"""Intervals of differences, by t over stretches or walks."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import t as student

from reportgen.compute.difference_interval import (
    difference_without_interval,
    jackknife_difference,
    two_sample_difference,
)


def test_leaving_out_stretches_from_a_mean_gives_its_standard_error() -> None:
    """For a mean the jackknife is the textbook's s / sqrt(k)."""
    values = np.array([1.0, 4.0, 2.0, 7.0, 3.0, 1.0])
    without_each = (values.sum() - values) / 5.0

    found = jackknife_difference(float(values.mean()), without_each, telling=6)

    half = student.ppf(0.975, 5) * values.std(ddof=1) / np.sqrt(6.0)
    assert (found.low, found.high) == pytest.approx((3.0 - half, 3.0 + half))
    assert found.is_apart


def test_stretches_that_tell_nothing_leave_less_freedom() -> None:
    """Ten stretches of which five were silent are five."""
    left = np.arange(10.0)

    assert jackknife_difference(0.0, left, telling=5).high > (
        jackknife_difference(0.0, left, telling=10).high
    )


def test_two_walks_each_have_two_degrees_of_freedom() -> None:
    """Student's t_0.975(2) = 4.303 (printed in any table): wide, and honestly so."""
    found = two_sample_difference([0.0, 2.0], [3.0, 5.0])

    assert found.value == 3.0
    assert found.high - found.value == pytest.approx(4.303 * np.sqrt(2.0), abs=0.001)
    assert not found.is_apart
    assert (found.count, found.reason) == (4, "")


@pytest.mark.parametrize(("first", "second"), [([1.0], [2.0, 2.0]), ([1.0, 1.0], [2.0]), ([], [])])
def test_a_setting_walked_once_has_no_interval(first: list[float], second: list[float]) -> None:
    """The others' repeats don't tell how this one varies."""
    found = two_sample_difference(first, second)

    assert found.reason == "not repeated"
    assert np.isnan([found.low, found.high, found.smallest_detectable]).all()
    assert not found.is_apart


def test_smallest_detectable_difference_is_shown_four_times_in_five() -> None:
    """By drawing: six stretches, a true difference of the size that a known spread would give."""
    chance = np.random.default_rng(5)
    true = (student.ppf(0.975, 5) + student.ppf(0.8, 5)) / np.sqrt(6.0)
    values = true + chance.normal(size=(4_000, 6))
    found = [
        jackknife_difference(float(row.mean()), (row.sum() - row) / 5.0, telling=6)
        for row in values
    ]

    assert np.mean([each.is_apart for each in found]) == pytest.approx(0.8, abs=0.05)
    assert np.median([each.smallest_detectable for each in found]) == pytest.approx(true, rel=0.1)


def test_without_interval_nothing_is_apart() -> None:
    """A large difference as recorded is no evidence."""
    found = difference_without_interval("too few stretches", value=9.0, count=4)

    assert (found.value, found.count, found.is_apart) == (9.0, 4, False)


def test_a_weaker_setting_is_apart_as_a_stronger_one_is() -> None:
    """Or an antenna that does harm would pass for one that does nothing."""
    values = np.array([1.0, 4.0, 2.0, 7.0, 3.0, 1.0])
    without_each = (values.sum() - values) / 5.0

    stronger = jackknife_difference(3.0, without_each, telling=6)
    weaker = jackknife_difference(-3.0, -without_each, telling=6)

    assert stronger.low > 0.0 > weaker.high
    assert stronger.is_apart
    assert weaker.is_apart
