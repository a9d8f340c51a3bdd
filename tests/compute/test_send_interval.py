"""Frames missing from an even interval: only where the times heard show it."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.compute.send_interval import missing_by_interval, tolerance_s
from reportgen.errors import DomainError

EVEN = 30.0 * np.arange(40)
MISSED = [3, 4, 11, 25, 26, 27]


def without(times_s: np.ndarray, missed: list[int]) -> np.ndarray:
    return np.delete(times_s, missed)


def test_frames_missing_from_an_even_interval_are_found_at_their_times() -> None:
    found = missing_by_interval(without(EVEN, MISSED), 30.0)

    assert found.is_kept
    assert found.interval_s == 30.0
    assert found.time_s == pytest.approx(EVEN[MISSED])
    assert found.before_index.tolist() == [2, 2, 8, 21, 21, 21]
    assert found.after_index.tolist() == [3, 3, 9, 22, 22, 22]


def test_nothing_is_claimed_before_the_first_and_after_the_last_frame() -> None:
    assert missing_by_interval(EVEN[10:], 30.0).time_s.size == 0


def test_a_cheap_clock_that_drifts_does_not_add_up_to_frames() -> None:
    """At 4 % off, 40 frames are more than one interval too long."""
    found = missing_by_interval(without(1.04 * EVEN, MISSED), 30.0)

    assert found.interval_s == pytest.approx(31.2)
    assert found.time_s == pytest.approx(1.04 * EVEN[MISSED])


def test_a_pause_starts_a_new_phase_and_claims_nothing() -> None:
    """The node was off for ten minutes and some seconds: nobody knows what it would have sent."""
    times_s = np.concatenate([EVEN[:20], EVEN[20:] + 613.0])

    found = missing_by_interval(without(times_s, [5, 30]), 30.0)

    assert found.is_kept
    assert found.time_s == pytest.approx(times_s[[5, 30]])


def test_a_run_of_silence_too_long_to_believe_is_not_filled() -> None:
    """Off for ten minutes and a half, or missed for as long: nothing tells."""
    times_s = np.concatenate([EVEN[:20], EVEN[20:] + 30.0 * 21])

    found = missing_by_interval(times_s, 30.0)

    assert found.is_kept
    assert found.time_s.size == 0
    assert found.unfilled_runs == 1


def test_a_silence_of_twenty_intervals_is_still_filled() -> None:
    times_s = np.concatenate([EVEN[:20], EVEN[20:] + 30.0 * 20])

    found = missing_by_interval(times_s, 30.0)

    assert found.time_s.size == 20
    assert found.unfilled_runs == 0


@pytest.mark.parametrize("really_s", [60.0, 90.0, 15.0, 34.0, 20.0])
def test_another_interval_than_stated_is_not_kept(really_s: float) -> None:
    """Stated too short, every second frame would be an invented miss."""
    found = missing_by_interval(without(really_s * np.arange(60), MISSED), 30.0)

    assert not found.is_kept
    assert found.time_s.size == 0


@pytest.mark.parametrize("heard", [0, 1, 2, 8])
def test_too_few_frames_show_no_interval(heard: int) -> None:
    assert not missing_by_interval(EVEN[:heard], 30.0).is_kept


def test_nine_frames_on_the_beat_are_more_than_chance() -> None:
    """Eight times between them, each within its 30 % of all phases: 0.3^8 is 1 in 15 000."""
    assert missing_by_interval(EVEN[:9], 30.0).is_kept


def test_random_times_keep_no_interval() -> None:
    chance = np.random.default_rng(11)
    kept = [
        missing_by_interval(np.cumsum(chance.exponential(30.0, 40)), 30.0).is_kept
        for _ in range(300)
    ]
    assert not any(kept)


def test_times_that_are_even_to_the_second_at_a_short_interval_are_believed() -> None:
    """Network stamps jitter by a second; at 10 s that takes a quarter of the interval."""
    jitter_s = np.random.default_rng(3).uniform(-1.2, 1.2, 60)

    found = missing_by_interval(without(10.0 * np.arange(60) + jitter_s, MISSED), 10.0)

    assert found.is_kept
    assert found.time_s.size == len(MISSED)


@pytest.mark.parametrize(("interval_s", "room_s"), [(4, 1), (10, 2.5), (16, 3), (60, 9)])
def test_tolerance_grows_with_the_interval_between_its_limits(
    interval_s: float, room_s: float
) -> None:
    assert tolerance_s(interval_s) == pytest.approx(room_s)


@pytest.mark.parametrize(
    ("time_s", "interval_s", "said"),
    [([0.0, np.nan], 30.0, "finite"), ([30.0, 0.0], 30.0, "fall"), ([0.0], 0.0, "above 0")],
)
def test_what_can_not_be_meant_is_refused(
    time_s: list[float], interval_s: float, said: str
) -> None:
    with pytest.raises(DomainError, match=said):
        missing_by_interval(time_s, interval_s)
