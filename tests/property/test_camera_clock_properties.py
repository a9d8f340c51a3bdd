"""Laws of the estimate of a camera's clock."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reportgen.compute.camera_clock import ClockEstimate, TimedPath, clock_ahead
from tests.studies.camera_clock.campaigns import MadeCampaign, campaign

SEEDS = st.integers(0, 10_000)


def made(seed: int) -> MadeCampaign:
    return campaign(np.random.default_rng([seed, 1]))


def estimate(walked: MadeCampaign, stated_s: float = 0.0) -> object:
    paths = [
        TimedPath(time_s=track.time_s, east_m=track.east_m, north_m=track.north_m)
        for track in walked.tracks
    ]
    return clock_ahead(
        walked.shown_s, walked.east_m, walked.north_m, paths,
        position_error_m=10.0, longest_gap_s=120.0, stated_s=stated_s,
    )  # fmt: skip


@settings(max_examples=6, deadline=None)
@given(SEEDS)
def test_the_order_of_the_photos_does_not_matter(seed: int) -> None:
    walked = made(seed)
    turned = replace(
        walked,
        shown_s=walked.shown_s[::-1],
        east_m=walked.east_m[::-1],
        north_m=walked.north_m[::-1],
    )
    one, other = estimate(walked), estimate(turned)

    if isinstance(one, ClockEstimate):
        assert isinstance(other, ClockEstimate)
        assert other.ahead_s == pytest.approx(one.ahead_s, abs=1e-6)
    else:
        assert one == other


@settings(max_examples=6, deadline=None)
@given(SEEDS, st.integers(-20_000, 20_000))
def test_a_clock_set_forward_is_found_so_much_further_ahead(seed: int, forward_s: int) -> None:
    """Searching around what is stated, the same photos tell the same story."""
    walked = made(seed)
    one = estimate(walked)
    other = estimate(replace(walked, shown_s=walked.shown_s + forward_s), stated_s=forward_s)

    if isinstance(one, ClockEstimate):
        assert isinstance(other, ClockEstimate)
        assert other.ahead_s - forward_s == pytest.approx(one.ahead_s, abs=1e-3)
        assert other.is_clear == one.is_clear
    else:
        assert one == other


@settings(max_examples=15, deadline=None)
@given(SEEDS)
def test_an_estimate_lies_in_its_own_interval(seed: int) -> None:
    found = estimate(made(seed))

    if isinstance(found, ClockEstimate):
        assert found.low_s <= found.ahead_s <= found.high_s
        assert found.count >= 3
