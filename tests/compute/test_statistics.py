"""Summaries of levels and of frames heard among frames sent."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from reportgen.compute.statistics import (
    HalfDistance,
    half_distance_m,
    level_summary,
    wilson_interval,
)
from reportgen.errors import DomainError

FRAMES = st.lists(st.tuples(st.integers(0, 40), st.booleans()), min_size=20, max_size=60)


def steps(heard_to_m: int, sent_to_m: int) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    away_m = np.arange(1, sent_to_m + 1)
    return away_m, away_m <= heard_to_m


def test_summary_of_levels() -> None:
    """Five levels and one not measured; best is the strongest."""
    summary = level_summary([-90.0, -100.0, np.nan, -110.0, -120.0, -80.0])

    assert summary.count == 5
    assert (summary.worst, summary.best) == (-120.0, -80.0)
    assert (summary.lower_quartile, summary.median, summary.upper_quartile) == (
        -110.0,
        -100.0,
        -90.0,
    )


@pytest.mark.parametrize("levels", [[], [np.nan]])
def test_summary_of_nothing_is_unknown(levels: list[float]) -> None:
    """Nothing heard is no level of 0 dBm."""
    summary = level_summary(levels)

    assert summary.count == 0
    assert np.isnan([summary.median, summary.lower_quartile, summary.best, summary.worst]).all()


@given(st.integers(1, 500).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_interval_holds_the_share_and_stays_a_share(counts: tuple[int, int]) -> None:
    """Near 0 and 1 other intervals step outside what can be."""
    heard, sent = counts

    lower, upper = wilson_interval(heard, sent)

    assert 0.0 <= lower <= heard / sent <= upper <= 1.0
    mirrored = wilson_interval(sent - heard, sent)
    assert mirrored[0] == pytest.approx(1.0 - upper)
    assert mirrored[1] == pytest.approx(1.0 - lower)


def test_interval_of_nothing_sent_is_unknown() -> None:
    """From 0 to 1 would look like a finding."""
    lower, upper = wilson_interval([0, 5], [0, 10])

    assert np.isnan([lower[0], upper[0]]).all()
    assert lower[1] == pytest.approx(1.0 - upper[1])


def test_more_heard_than_sent_is_refused() -> None:
    """Then something was counted twice."""
    with pytest.raises(DomainError, match="heard must not exceed sent"):
        wilson_interval(11, 10)
    with pytest.raises(DomainError, match="heard must be 0 or more"):
        wilson_interval(-1, 10)


def test_half_distance_of_a_sharp_edge_lies_in_it() -> None:
    """All heard to 30 m, none from 31 m on."""
    found = half_distance_m(*steps(30, 60))

    assert found == HalfDistance(distance_m=30.5, reason="", count=60)


def test_half_distance_runs_straight_between_unequal_shares() -> None:
    """From 3/4 at 100 m to 1/4 at 200 m half is at 150 m; from 9/10 to 4/10 it is at 180 m."""
    away_m = np.repeat([100.0, 200.0], 20)
    heard = np.concatenate([np.arange(20) < 15, np.arange(20) < 5])

    assert half_distance_m(away_m, heard).distance_m == pytest.approx(150.0)
    heard = np.concatenate([np.arange(20) < 18, np.arange(20) < 8])
    assert half_distance_m(away_m, heard).distance_m == pytest.approx(180.0)


def test_exactly_half_is_not_below_half() -> None:
    """Where half are heard over a stretch, its far end is the answer: there it falls below."""
    away_m = np.repeat([10.0, 20.0, 30.0], [3, 18, 3])
    heard = np.array([True] * 3 + [True, True, False] * 3 + [False, False, True] * 3 + [False] * 3)

    assert half_distance_m(away_m, heard).distance_m == pytest.approx(20.0)
    assert half_distance_m(away_m[3:], heard[3:]).distance_m == pytest.approx(20.0)


def test_lucky_frame_far_out_does_not_raise_the_fit() -> None:
    """A share that never rises: the hill beyond the valley is averaged with the valley."""
    away_m, heard = steps(30, 60)
    heard = heard.copy()
    heard[50] = True

    assert half_distance_m(away_m, heard).distance_m < 31.0


def test_reasons_for_no_half_distance() -> None:
    """Each says something else about the walk, and none is a distance."""
    for found, reason in (
        (half_distance_m(*steps(60, 60)), "never below half"),
        (half_distance_m(*steps(0, 60)), "below half from start"),
        (half_distance_m(*steps(10, 19)), "too few"),
        (half_distance_m([], []), "too few"),
    ):
        assert np.isnan(found.distance_m)
        assert found.reason == reason


def test_twenty_frames_are_enough() -> None:
    """The limit itself is allowed."""
    assert half_distance_m(*steps(10, 20)).reason == ""


def test_frames_without_a_distance_are_left_out_and_not_counted() -> None:
    """Twenty frames, one of them nowhere, are nineteen."""
    away_m, heard = steps(10, 20)
    away_m = np.where(away_m == 3, np.nan, away_m)

    found = half_distance_m(away_m, heard)

    assert (found.count, found.reason) == (19, "too few")


@given(FRAMES, st.randoms(use_true_random=False), st.sampled_from([0.001, 3.28084, 1000.0]))
def test_half_distance_knows_no_row_order_and_no_unit(
    frames: list[tuple[int, bool]], random: np.random.RandomState, scale: float
) -> None:
    """Sorting a log or writing it in feet must not move a headline figure."""
    away_m, heard = zip(*frames, strict=True)
    found = half_distance_m(away_m, heard)
    shuffled = list(frames)
    random.shuffle(shuffled)
    away_m, heard = zip(*shuffled, strict=True)

    assert_same(half_distance_m(away_m, heard), found, 1.0)
    assert_same(half_distance_m(np.array(away_m) * scale, heard), found, scale)


def assert_same(found: HalfDistance, expected: HalfDistance, scale: float) -> None:
    assert found.reason == expected.reason
    assert found.distance_m == pytest.approx(expected.distance_m * scale, nan_ok=True)


@given(FRAMES)
def test_half_distance_lies_where_somebody_walked(frames: list[tuple[int, bool]]) -> None:
    """No extrapolation, whatever the frames."""
    away_m, heard = zip(*frames, strict=True)
    found = half_distance_m(away_m, heard)

    assert np.isnan(found.distance_m) == (found.reason != "")
    assert not found.distance_m > max(away_m)
    assert not found.distance_m < min(away_m)


def test_unfit_frames_are_refused() -> None:
    """A distance below zero, or one column longer than the other."""
    with pytest.raises(DomainError, match="distance_m must be 0 or more"):
        half_distance_m([-1.0], [True])
    with pytest.raises(DomainError, match=r"is_heard \(1,\)"):
        half_distance_m([1.0, 2.0], [True])
