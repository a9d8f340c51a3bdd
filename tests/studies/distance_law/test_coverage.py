"""A small run of the study, so that an interval that stops covering is noticed."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.stats import binom

from tests.studies.distance_law.campaigns import campaign
from tests.studies.distance_law.table import coverage, report
from tests.studies.distance_law.trial import Interval, Method, Trial, trial

CAMPAIGNS = 40
LEAST_COVERED = int(binom.ppf(0.001, CAMPAIGNS, 0.94))
"""An interval that covers 94 % of the time falls below this once in a thousand runs."""

QUANTITIES: tuple[Callable[[Method], Interval], ...] = (
    lambda method: method.exponent,
    lambda method: method.half_m,
)


@pytest.fixture(scope="module")
def trials() -> list[Trial]:
    return [trial(77, number) for number in range(CAMPAIGNS)]


@pytest.mark.parametrize("quantity", QUANTITIES, ids=["exponent", "half heard"])
def test_intervals_from_ground_cells_cover(
    trials: list[Trial], quantity: Callable[[Method], Interval]
) -> None:
    """The bound is 32 of 40; the full study tells 92 from 98 %, this run a break from none."""
    covered = [quantity(each.cells).covers for each in trials]

    assert sum(covered) >= LEAST_COVERED


@pytest.mark.parametrize("quantity", QUANTITIES, ids=["exponent", "half heard"])
def test_intervals_of_independent_frames_would_not_pass(
    trials: list[Trial], quantity: Callable[[Method], Interval]
) -> None:
    """They are what this check is here to catch; if they passed it would catch nothing."""
    covered = [quantity(each.independent).covers for each in trials]

    assert sum(covered) < LEAST_COVERED


def test_every_campaign_has_an_interval(trials: list[Trial]) -> None:
    """An interval given only where it is easy would cover as well as one likes."""
    assert all(each.cells.exponent.is_given and each.cells.half_m.is_given for each in trials)


def test_heard_frames_alone_make_the_level_fall_too_slowly(trials: list[Trial]) -> None:
    errors = [each.naive_exponent.value - each.naive_exponent.truth for each in trials]

    assert np.median(errors) < -0.3


def test_report_names_every_group(trials: list[Trial]) -> None:
    told = report(trials, [("shadows of another kind", trials)])

    share, error, _ = coverage([each.cells.exponent for each in trials])
    assert f"| all | ground cells | 40 | {100 * share:.1f} ± {100 * error:.1f} |" in told
    assert "| *extra:* shadows of another kind | independent frames | 40 |" in told


def test_same_seed_makes_the_same_campaign() -> None:
    first, again, other = campaign(7, 3), campaign(7, 3), campaign(7, 4)

    np.testing.assert_array_equal(first.level_dbm, again.level_dbm)
    assert first.truth == again.truth
    assert first.truth != other.truth


def test_walks_over_the_same_ground_share_its_shadows() -> None:
    """Neighbouring frames of different walks must be alike, or pooled walks would look richer."""
    made = campaign(7, 5, walks=4, is_adaptive=False)
    truth = made.truth
    expected = truth.level_at_100_m_dbm - 10.0 * truth.exponent * np.log10(made.distance_m / 100.0)
    shadow = made.level_dbm - expected
    gaps_m = np.hypot(
        made.east_m[:, np.newaxis] - made.east_m, made.north_m[:, np.newaxis] - made.north_m
    )
    order = np.arange(gaps_m.shape[0])
    is_other_walk = np.abs(order[:, np.newaxis] - order) > 0.2 * order.size
    heard = ~np.isnan(shadow)
    first, second = np.nonzero((gaps_m < 10.0) & is_other_walk & heard & heard[:, np.newaxis])

    assert first.size > 50
    assert np.corrcoef(shadow[first], shadow[second])[0, 1] > 0.4
