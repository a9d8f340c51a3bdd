"""Missing frames: claimed only between heard ones, and only where counting allows."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reportgen.compute.frame_counting import missing_frames
from reportgen.errors import DomainError


def test_missing_counters_lie_between_the_heard_ones() -> None:
    """Frames 11 and 12 were sent, evenly in time as far as anybody knows."""
    found = missing_frames([10, 13, 14], [0.0, 30.0, 40.0])

    assert found.counter.tolist() == [11, 12]
    assert found.time_s == pytest.approx([10.0, 20.0])
    assert (found.before_index.tolist(), found.after_index.tolist()) == ([0, 0], [1, 1])
    assert found.run.tolist() == [0, 0]
    assert not found.is_repeat.any()
    assert not found.is_late.any()
    assert found.gap_count.size == 0


@pytest.mark.parametrize("heard", [[], [7], [7, 8, 9]])
def test_nothing_is_claimed_before_the_first_and_after_the_last(heard: list[int]) -> None:
    """A node that is switched off sends nothing: silence at the ends is not a miss."""
    found = missing_frames(heard, np.arange(len(heard), dtype=float))

    assert found.counter.size == 0
    assert found.heard_run.tolist() == [0] * len(heard)


def test_counter_rolls_over_from_65535_to_0() -> None:
    """A long-lived node passes the end of 16 bits in the middle of a walk."""
    found = missing_frames([65_533, 65_534, 1], [0.0, 10.0, 40.0])

    assert found.counter.tolist() == [65_535, 0]
    assert found.time_s == pytest.approx([20.0, 30.0])
    assert found.heard_run.tolist() == [0, 0, 0]


def test_counters_beyond_16_bits_do_not_roll_over() -> None:
    """A log with 32-bit counters: a fall is a restart, however it looks in 16 bits."""
    found = missing_frames([65_533, 65_537, 2], [0.0, 40.0, 400.0])

    assert found.counter.tolist() == [65_534, 65_535, 65_536]
    assert found.heard_run.tolist() == [0, 0, 1]
    assert missing_frames([65_536, 1], [0.0, 400.0]).heard_run.tolist() == [0, 1]


def test_falling_counter_starts_a_new_run() -> None:
    """A node that joins anew counts from 0: what lies between the two runs is unknown."""
    found = missing_frames([500, 502, 1, 3], [0.0, 20.0, 300.0, 320.0])

    assert found.counter.tolist() == [501, 2]
    assert found.run.tolist() == [0, 1]
    assert found.heard_run.tolist() == [0, 0, 1, 1]


def test_late_frame_is_neither_missing_nor_a_restart() -> None:
    """Two stations' clocks differ: 102 may be written down a second before 101."""
    found = missing_frames([100, 102, 101, 104], [0.0, 20.0, 21.0, 40.0])

    assert found.counter.tolist() == [103]
    assert found.time_s == pytest.approx([30.0])
    assert found.is_late.tolist() == [False, False, True, False]
    assert found.heard_run.tolist() == [0, 0, 0, 0]


def test_late_frame_across_the_roll_over() -> None:
    """The same with 65535 written down after 0."""
    found = missing_frames([65_534, 0, 65_535, 2], [0.0, 20.0, 21.0, 40.0])

    assert found.counter.tolist() == [1]
    assert found.is_late.tolist() == [False, False, True, False]


def test_small_fall_after_a_while_is_a_restart() -> None:
    """A node restarted after three frames and was heard again at its second."""
    found = missing_frames([3, 1, 2], [0.0, 60.0, 70.0])

    assert found.heard_run.tolist() == [0, 1, 1]
    assert not found.is_late.any()


@pytest.mark.parametrize(
    ("first", "second", "after_s", "runs"),
    [
        (50, 40, 15.0, [0, 0]),
        (50, 39, 15.0, [0, 1]),
        (50, 40, 15.5, [0, 1]),
        (5, 65_531, 15.0, [0, 0]),
        (5, 65_531, 15.5, [0, 0]),
    ],
)
def test_limits_of_a_late_frame(first: int, second: int, after_s: float, runs: list[int]) -> None:
    """Ten counters in fifteen seconds, in 16 bits too; there, later, it is a jump ahead."""
    found = missing_frames([first, second], [0.0, after_s])

    assert found.heard_run.tolist() == runs
    assert found.is_late.tolist() == [False, runs == [0, 0] and after_s == 15.0]
    assert found.gap_count.size == (first == 5 and after_s > 15.0)


def test_frames_of_one_moment_are_in_order() -> None:
    """Logs in whole seconds repeat times."""
    assert missing_frames([1, 2, 4], [7.0, 7.0, 7.0]).time_s.tolist() == [7.0]


def test_repeated_counter_is_marked_and_gaps_start_at_its_last_hearing() -> None:
    """Retransmissions: the missing frame was sent after the last of them."""
    found = missing_frames([5, 5, 7, 7], [0.0, 100.0, 120.0, 130.0])

    assert found.is_repeat.tolist() == [False, True, False, True]
    assert found.counter.tolist() == [6]
    assert found.time_s == pytest.approx([110.0])
    assert (found.before_index.tolist(), found.after_index.tolist()) == ([1], [2])


def test_frame_late_by_its_last_repetition() -> None:
    """A repetition is not late itself, and what comes soon after it may be."""
    found = missing_frames([3, 5, 5, 4], [0.0, 20.0, 40.0, 41.0])

    assert found.is_late.tolist() == [False, False, False, True]
    assert found.counter.size == 0


def test_same_counter_in_another_run_is_no_repeat() -> None:
    """Every run counts for itself."""
    found = missing_frames([5, 0, 5], [0.0, 100.0, 200.0])

    assert found.is_repeat.tolist() == [False, False, False]


def test_gap_too_long_is_reported_and_not_filled() -> None:
    """Ten thousand counters in a minute are no frames: something else has happened."""
    found = missing_frames([1, 3, 10_004], [0.0, 20.0, 80.0])

    assert found.counter.tolist() == [2]
    assert found.gap_count.tolist() == [10_000]
    assert (found.gap_before_index.tolist(), found.gap_after_index.tolist()) == ([1], [2])


@pytest.mark.parametrize(("longest_gap", "filled"), [(9, 9), (8, 0)])
def test_longest_gap_counts_the_missing_frames(longest_gap: int, filled: int) -> None:
    """Nine are missing from 0 to 10; the limit itself is allowed."""
    found = missing_frames([0, 10], [0.0, 100.0], longest_gap=longest_gap)

    assert found.counter.size == filled
    assert found.gap_count.tolist() == ([] if filled else [9])


def test_a_leap_within_one_interval_is_no_run_of_misses() -> None:
    """The node joined anew and its counter went on a hundred higher: nothing was lost in 10 s."""
    counters = [*range(50), *range(150, 200)]

    found = missing_frames(counters, 10.0 * np.arange(100))

    assert found.counter.size == 0
    assert found.gap_count.tolist() == [100]
    assert (found.gap_before_index.tolist(), found.gap_after_index.tolist()) == ([49], [50])


@pytest.mark.parametrize("missed", [1, 10, 100])
def test_misses_that_the_time_holds_are_counted(missed: int) -> None:
    """However long the silence: each missing counter has had its ten seconds."""
    sent = np.r_[0:30, 30 + missed : 60 + missed]

    assert missing_frames(sent, 10.0 * sent).counter.size == missed


def test_stamps_that_jitter_leave_a_short_gap_filled() -> None:
    """Two frames missing, and the network stamped the next one 18 s early: 12 s for three."""
    sent = np.r_[0:20, 22:40]

    assert missing_frames(sent, 10.0 * sent - np.where(sent == 22, 18.0, 0.0)).counter.size == 2


def test_a_burst_of_a_node_that_sends_in_bursts_is_counted() -> None:
    """Six frames in 6 s each five minutes; of one burst only the first and the last are heard."""
    sent = np.arange(120)
    sent_s = 300.0 * (sent // 6) + sent % 6
    heard = np.delete(sent, np.r_[61:65])

    assert missing_frames(heard, sent_s[heard]).counter.tolist() == [61, 62, 63, 64]


def test_a_node_that_sends_often_while_it_moves_is_counted_there() -> None:
    """Every 5 min at rest, every 10 s on the move: most steps are slow, and the gap is fast."""
    step_s = np.r_[np.full(60, 300.0), np.full(60, 10.0)]
    sent_s = np.cumsum(step_s)
    heard = np.r_[0:80, 110:120]

    assert missing_frames(heard, sent_s[heard]).counter.size == 30


@pytest.mark.parametrize(("first", "runs"), [(65_530, [0, 0]), (65_529, [0, 1])])
def test_roll_over_is_believed_as_far_as_gaps_are_filled(first: int, runs: list[int]) -> None:
    """65530 to 5 leaves ten missing, 65529 to 5 eleven."""
    found = missing_frames([first, 5], [0.0, 100.0], longest_gap=10)

    assert found.heard_run.tolist() == runs


def test_unknown_time_gives_unknown_times() -> None:
    """The frame was missed all the same."""
    found = missing_frames([1, 3, 5], [0.0, np.nan, 50.0])

    assert found.counter.tolist() == [2, 4]
    assert np.isnan(found.time_s).all()


@given(st.sets(st.integers(0, 300), min_size=2), st.integers(0, 65_535))
def test_heard_and_missing_make_up_the_whole_run(heard: set[int], first: int) -> None:
    """From the first heard to the last, every frame is either heard or missing, and in its time.

    The node sends every 10 s, starting anywhere, so that the counter rolls over where it will.
    """
    sent = np.array(sorted(heard))

    found = missing_frames((sent + first) % 65_536, sent * 10.0)

    missing = sorted(set(range(sent[0], sent[-1] + 1)) - heard)
    assert found.counter.tolist() == [(number + first) % 65_536 for number in missing]
    assert found.time_s == pytest.approx([number * 10.0 for number in missing])
    assert not found.heard_run.any()


@pytest.mark.parametrize(
    ("counter", "time_s", "message"),
    [
        ([1, -2], [0.0, 1.0], "counter must be 0 or more; found -2"),
        ([1.5, 2.0], [0.0, 1.0], "counter must hold whole numbers; found float64"),
        ([1, 2], [0.0], r"counter \(2,\), time_s \(1,\)"),
        ([1, 2], [5.0, 4.0], "time_s must not fall"),
    ],
)
def test_unfit_input_is_refused(counter: list[int], time_s: list[float], message: str) -> None:
    """A fault of the caller, said in words."""
    with pytest.raises(DomainError, match=message):
        missing_frames(counter, time_s)


def test_negative_longest_gap_is_refused() -> None:
    """Zero means: fill nothing."""
    with pytest.raises(DomainError, match="longest_gap must be 0 or more"):
        missing_frames([1], [0.0], longest_gap=-1)
