"""A small run of the study, so that an interval that stops covering is noticed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import binom

from tests.studies.comparison.campaigns import TOGETHER, Recorded, ground, recorded
from tests.studies.comparison.designs import SCENARIOS, Outcome, outcomes
from tests.studies.comparison.table import HEADINGS, markdown

CAMPAIGNS = 60
INDEPENDENT = "a, frames as independent"


@pytest.fixture(scope="module")
def found() -> list[Outcome]:
    return [outcome for number in range(CAMPAIGNS) for outcome in outcomes(77, number)]


def intervals(
    found: list[Outcome], design: str, quantity: str, *, difference_db: float, days_db: float
) -> list[Outcome]:
    chosen = (design, quantity, difference_db, days_db)
    return [
        row
        for row in found
        if (row.design, row.quantity, row.difference_db, row.days_db) == chosen and row.has_interval
    ]


def least_held(count: int) -> int:
    """Return what an interval that covers 94 % of the time falls below once in a thousand runs."""
    return int(binom.ppf(0.001, count, 0.94))


@pytest.mark.parametrize("quantity", ["signal", "delivery"])
@pytest.mark.parametrize(
    ("design", "days_db"), [("a single walks", 0.0), ("b two walks each", 1.5), ("c together", 1.5)]
)
def test_intervals_over_stretches_and_walks_cover(
    found: list[Outcome], design: str, days_db: float, quantity: str
) -> None:
    """The full study tells 92 from 98 %; this run tells a break from none."""
    rows = intervals(found, design, quantity, difference_db=3.0, days_db=days_db)

    assert len(rows) > 0.8 * CAMPAIGNS
    assert sum(row.is_held for row in rows) >= least_held(len(rows))


def test_an_interval_of_independent_frames_would_not_pass(found: list[Outcome]) -> None:
    """It is what this check is here to catch; if it passed, the check would catch nothing."""
    rows = intervals(found, INDEPENDENT, "signal", difference_db=3.0, days_db=0.0)

    assert sum(row.is_held for row in rows) < least_held(len(rows))


def test_single_walks_mistake_the_day_for_the_setting(found: list[Outcome]) -> None:
    """Why they are no evidence, whatever their interval says."""
    rows = intervals(found, "a single walks", "signal", difference_db=0.0, days_db=1.5)

    assert np.mean([row.is_apart for row in rows]) > 0.2


def test_table_has_a_line_for_each_design_quantity_and_scenario(found: list[Outcome]) -> None:
    lines = markdown(found, CAMPAIGNS).splitlines()

    assert len(lines) == 2 + 7 * len(SCENARIOS)
    assert {line.count("|") for line in lines} == {len(HEADINGS) + 1}
    assert lines[2].startswith("| a single walks | signal | 0 | 0 |")


def test_table_says_where_no_campaign_had_an_interval(found: list[Outcome]) -> None:
    """Rather than fail on a mean of nothing."""
    told = markdown([replace(row, has_interval=False) for row in found], CAMPAIGNS)

    assert told.count(f"| 0 of {CAMPAIGNS} | - |") == 7 * len(SCENARIOS)


def test_same_seed_makes_the_same_campaign() -> None:
    first, again, other = (
        recorded(ground(7, number), difference_db=3.0, days_db=1.5) for number in (3, 3, 4)
    )

    np.testing.assert_array_equal(first.level_dbm, again.level_dbm)
    assert first.delivery_ratio == again.delivery_ratio != other.delivery_ratio


def test_walks_over_the_same_ground_share_its_shadows() -> None:
    """Or pairing by place would be worth nothing here, and everything outside."""
    walked = ground(7, 5)
    apart_m = np.hypot(
        walked.east_m[:, np.newaxis] - walked.east_m, walked.north_m[:, np.newaxis] - walked.north_m
    )
    first, second = np.nonzero((apart_m < 10.0) & (walked.walk[:, np.newaxis] < walked.walk))

    assert first.size > 50
    assert np.corrcoef(walked.mean_dbm[first], walked.mean_dbm[second])[0, 1] > 0.6


def test_days_and_settings_act_on_whole_walks_and_nodes() -> None:
    """A setting's truth is what its frames gain; a day's is shared by both nodes carried."""
    walked = ground(7, 5)

    def levels(made: Recorded) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        return np.where(np.isnan(made.level_dbm), 0.0, made.level_dbm)

    plain, shifted = (
        levels(recorded(walked, difference_db=step, days_db=0.0)) for step in (0.0, 4.0)
    )
    both = (plain < 0.0) & (shifted < 0.0)

    np.testing.assert_allclose((shifted - plain)[both], 4.0 * walked.is_second[both], atol=1.0)
    assert np.unique(walked.is_second[walked.walk == TOGETHER]).size == 2
