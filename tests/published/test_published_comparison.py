"""Intervals of differences against output printed elsewhere."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.compute.censored_difference import PairedFrames, signal_difference_db
from reportgen.compute.difference_interval import (
    Difference,
    jackknife_difference,
    two_sample_difference,
)

FIRST = np.array([0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0])
SECOND = np.array([1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4])
"""Extra hours of sleep of ten people with two drugs: data set `sleep` of R; Student, "The probable
error of a mean", Biometrika 6 (1908) 1-25."""


def over_people() -> Difference:
    """Return the difference with people for stretches, and hours for decibels."""
    pairs = PairedFrames(
        first_dbm=FIRST,
        second_dbm=SECOND,
        first_limit_dbm=np.full(10, -50.0),
        second_limit_dbm=np.full(10, -50.0),
        weight=np.ones(10),
        stretch=np.arange(10),
    )
    without_each = [np.mean(np.delete(SECOND - FIRST, person)) for person in range(10)]
    return jackknife_difference(signal_difference_db(pairs), without_each, telling=10)


def test_paired_interval_of_student_s_sleep_data() -> None:
    """R, `t.test(extra ~ group, data = sleep, paired = TRUE)`.

    First less second -1.58, 95 % interval -2.4598858 to -0.7001142, as printed in A. de Vries and
    J. Meys, "R For Dummies", "How to compare paired data with R". Ours is second less first.
    """
    found = over_people()

    assert found.value == pytest.approx(1.58, abs=0.005)
    assert found.low == pytest.approx(0.7001142, abs=5e-8)
    assert found.high == pytest.approx(2.4598858, abs=5e-8)


def test_pooled_interval_of_student_s_sleep_data() -> None:
    """R, `t.test(extra ~ group, data = sleep, var.equal = TRUE)`.

    95 % interval -3.363874 to 0.203874, first less second, as printed in many course notes on
    this data set.
    """
    found = two_sample_difference(FIRST, SECOND)

    assert found.low == pytest.approx(-0.203874, abs=5e-7)
    assert found.high == pytest.approx(3.363874, abs=5e-7)


def test_smallest_detectable_difference_tends_to_bloom_s_multiple() -> None:
    """H. S. Bloom, "Minimum detectable effects", Evaluation Review 19 (1995) 547-556.

    2.80 standard errors for two-sided 5 % and a power of 80 %, normal (from memory; two digits).
    """
    values = np.tile([-1.0, 1.0], 5_000)
    found = jackknife_difference(0.0, -values / (values.size - 1.0), telling=values.size)

    error = values.std(ddof=1) / np.sqrt(values.size)
    assert found.smallest_detectable / error == pytest.approx(2.80, abs=0.005)
