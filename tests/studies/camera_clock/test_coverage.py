"""A small run of the study: the interval holds the truth, and no right clock is touched."""

from __future__ import annotations

import numpy as np
import pytest

from tests.studies.camera_clock.trial import Verdict, table, verdict

CAMPAIGNS = 150


@pytest.fixture(scope="module")
def verdicts() -> list[Verdict]:
    return [verdict(23, number) for number in range(CAMPAIGNS)]


def test_the_interval_holds_the_true_error_nineteen_times_of_twenty(
    verdicts: list[Verdict],
) -> None:
    """Of some 120 intervals; the binomial error at 95 % is 2 %."""
    given = [v for v in verdicts if v.said == "interval" and v.kind != "untracked"]

    assert len(given) > 100
    assert float(np.mean([v.holds for v in given])) >= 0.89


def test_a_right_clock_is_never_corrected(verdicts: list[Verdict]) -> None:
    right = [v for v in verdicts if v.kind == "right"]

    assert len(right) > 30
    assert not any(v.is_used for v in right)


def test_most_wrong_clocks_are_found(verdicts: list[Verdict]) -> None:
    """With three to fifteen photos, some of them beside the track."""
    wrong = [v for v in verdicts if v.kind in {"off", "zone"}]

    assert float(np.mean([v.is_used for v in wrong])) > 0.85


def test_the_table_has_a_row_for_each_kind(verdicts: list[Verdict]) -> None:
    assert table(verdicts).count("\n") == 11
