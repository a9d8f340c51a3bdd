"""Intervals and quantiles against published tables."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.compute.statistics import level_summary, wilson_interval
from tests.published.reference_rows import ReferenceRow, disagreements


@pytest.mark.parametrize(
    ("heard", "sent", "lower", "upper"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_score_interval_of_newcombe(heard: int, sent: int, lower: float, upper: float) -> None:
    """Newcombe (1998), Statistics in Medicine 17:857-872, Table I, method 3 (score, no correction).

    Printed to four digits.
    """
    limits = wilson_interval(heard, sent)

    assert limits[0] == pytest.approx(lower, abs=0.00005)
    assert limits[1] == pytest.approx(upper, abs=0.00005)


def test_continuity_correction_is_a_different_interval() -> None:
    """R's prop.test with correction, 3 of 10: 0.0809478 (kept in SciPy's tests); ours is not it."""
    lower, _ = wilson_interval(3, 10)

    assert lower == pytest.approx(0.1077913, abs=5e-8)
    assert lower != pytest.approx(0.0809478, abs=0.01)


@pytest.mark.shared
def test_all_reference_intervals(shared_folder: Path) -> None:
    """Rows WIL, the undefined interval of no trials among them."""

    def computed(row: ReferenceRow) -> object:
        limits = wilson_interval(row.number("k"), row.number("n"))
        return limits[row.key.endswith(".hi")]

    assert disagreements(shared_folder, r"WIL-.*", computed, rows=17) == []


@pytest.mark.shared
def test_reference_median(shared_folder: Path) -> None:
    """Row QTL-2: the median of an even number of levels."""

    def computed(row: ReferenceRow) -> float:
        return level_summary([float(x) for x in row.inputs["x"].strip("[]").split(",")]).median

    assert disagreements(shared_folder, r"QTL-2", computed, rows=1) == []


def test_quartiles_are_those_of_r() -> None:
    """R's own example of quantile(), type 7, on 1 to 10: 3.25 and 7.75 (from memory)."""
    summary = level_summary(range(1, 11))

    assert (summary.lower_quartile, summary.upper_quartile) == (3.25, 7.75)
