"""Frames of a node's own log beside frames heard: one to one, and only where that can be told."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.compute.sent_pairs import (
    MOST_CANDIDATES,
    SentPairs,
    pairs_by_counter,
    pairs_by_time,
)
from reportgen.errors import DomainError


def told(pairs: SentPairs) -> list[tuple[int, int]]:
    return list(zip(pairs.sent_index.tolist(), pairs.heard_index.tolist(), strict=True))


def test_equal_counters_are_one_frame_whatever_the_clocks_differ() -> None:
    """A node's clock that was never set runs years behind; the counters still agree."""
    found = pairs_by_counter([5, 6, 7, 8], [0, 20, 40, 60], [6, 8], [1e9 + 20, 1e9 + 61])

    assert told(found) == [(1, 0), (3, 1)]
    assert found.offset_s == 1e9 + 0.5


def test_one_counter_of_two_sessions_is_told_apart_by_time() -> None:
    """The node restarted at 1 000 s: its second frame 1 is not the one heard early on."""
    sent_counter, sent_s = [0, 1, 2, 0, 1, 2], [0, 20, 40, 1000, 1020, 1040]

    found = pairs_by_counter(sent_counter, sent_s, [1, 1, 2], [22, 1022, 1042])

    assert told(found) == [(1, 0), (4, 1), (5, 2)]
    assert found.offset_s == 2.0


def test_a_counter_heard_long_after_it_was_sent_is_another_frame() -> None:
    found = pairs_by_counter([1, 2, 3], [0, 20, 40], [1, 2, 3], [0, 20, 4000])

    assert told(found) == [(0, 0), (1, 1)]


def test_a_counter_in_32_bits_is_the_one_sent_in_16() -> None:
    found = pairs_by_counter([65_535, 65_536, 65_537], [0, 20, 40], [0, 1], [20, 40])

    assert told(found) == [(1, 0), (2, 1)]


def test_frames_without_time_are_paired_where_their_counter_is_alone() -> None:
    nan = np.nan

    assert told(pairs_by_counter([1, 2, 2], [nan, 20, 40], [1, 2], [nan, nan])) == [(0, 0)]


def test_a_column_that_counts_nothing_pairs_nothing() -> None:
    """A thousand rows of one value would be a million pairs, and none of them known."""
    rows = int(MOST_CANDIDATES**0.5) + 1

    found = pairs_by_counter(np.zeros(rows, dtype=int), np.arange(rows), [0] * rows, range(rows))

    assert told(found) == []
    assert np.isnan(found.offset_s)


def test_counters_and_times_are_rows_of_one_table() -> None:
    with pytest.raises(DomainError, match="equally long"):
        pairs_by_counter([1, 2], [0.0], [1], [0.0])


def test_by_time_the_clocks_difference_is_taken_out_first() -> None:
    """At 6 s of difference and 20 s of spacing half a second of jitter decides nothing."""
    sent_s = 20.0 * np.arange(30)
    heard_s = sent_s[[2, 3, 7, 20, 29]] + 6.0 + np.array([0.4, -0.5, 0.0, 0.3, -0.2])

    found = pairs_by_time(sent_s, heard_s)

    assert told(found) == [(2, 0), (3, 1), (7, 2), (20, 3), (29, 4)]
    assert found.offset_s == pytest.approx(6.0)


def test_clocks_half_a_spacing_apart_can_not_be_told() -> None:
    """Each frame heard lies in the middle between two frames sent."""
    sent_s = 20.0 * np.arange(30)

    found = pairs_by_time(sent_s, sent_s[5:20] + 10.0)

    assert told(found) == []
    assert np.isnan(found.offset_s)


def test_times_that_have_nothing_to_do_with_each_other_are_not_paired() -> None:
    sent_s = 20.0 * np.arange(60)
    heard_s = np.sort(np.random.default_rng(4).uniform(0.0, 1200.0, 40))

    assert told(pairs_by_time(sent_s, heard_s)) == []


def test_a_known_difference_of_clocks_is_used_as_it_is() -> None:
    """Some frames were paired by counter; the rest follows their clock, an hour apart."""
    found = pairs_by_time([0.0, 20.0, 40.0], [3641.0], offset_s=3600.0)

    assert told(found) == [(2, 0)]


def test_of_two_frames_heard_near_one_sent_the_nearer_is_it() -> None:
    found = pairs_by_time([0.0, 20.0, 40.0, 60.0], [0.0, 20.0, 24.0, 60.0])

    assert told(found) == [(0, 0), (1, 1), (3, 3)]


@pytest.mark.parametrize(("sent_s", "heard_s"), [([], [1.0]), ([1.0], []), ([np.nan], [1.0])])
def test_nothing_is_paired_with_nothing(sent_s: list[float], heard_s: list[float]) -> None:
    assert told(pairs_by_time(sent_s, heard_s)) == []
