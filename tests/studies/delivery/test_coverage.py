"""A short run of the study, where the usual mistake shows: walkers who pause."""

from __future__ import annotations

import numpy as np
import pytest

from tests.studies.delivery.__main__ import report, study
from tests.studies.delivery.campaigns import campaign
from tests.studies.delivery.trial import Tally, judge

CAMPAIGNS = 150
LEAST_HELD = 92.0


@pytest.fixture(scope="module")
def paused() -> Tally:
    """Campaigns with pauses and without bursts: binomial error 1.8 % over whole paths."""
    tally = Tally()
    for number in range(CAMPAIGNS):
        chance = np.random.default_rng([77, number])
        tally.join(judge(campaign(chance, paused_ratio=1.0, burst_ratio=0.0)))
    return tally


def test_intervals_hold_where_walkers_pause(paused: Tally) -> None:
    """The full study says 95 %."""
    assert paused.share("overall") >= LEAST_HELD
    assert LEAST_HELD <= paused.share("ring") <= 98.5


def test_intervals_of_the_raw_count_would_not_pass(paused: Tally) -> None:
    """They are what this check is here to catch; if they passed it would catch nothing."""
    assert paused.share("overall, raw count") < LEAST_HELD


def test_verdicts_are_right(paused: Tally) -> None:
    for verdict in ("not walked", "at least"):
        assert paused.share(verdict) == 100.0
    for verdict in ("lost beyond", "blind from"):
        assert paused.share(verdict) >= 95.0
        assert paused.of[verdict] > 50


def test_same_seed_makes_the_same_report_however_many_campaigns_run_apart() -> None:
    assert report(study(3, seed=4)) == report(study(3, seed=4))
    assert report(study(3, seed=4)) != report(study(3, seed=5))


def test_bursts_lower_the_truth_by_what_they_lose() -> None:
    """Or the study would hold intervals against a truth that no frame was drawn from."""
    heard, expected = [], []
    for number in range(40):
        case = campaign(np.random.default_rng([8, number]), paused_ratio=0.0, burst_ratio=1.0)
        heard.append(case.is_heard.mean())
        expected.append(case.true_p.mean())

    assert np.mean(heard) == pytest.approx(np.mean(expected), abs=0.015)
