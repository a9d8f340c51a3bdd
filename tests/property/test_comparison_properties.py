"""Laws that comparisons of walks obey whatever was recorded."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from reportgen.compute.frame_pairs import WalkedFrames, walked_frames
from reportgen.compute.ground_stretches import common_ground_ratio
from reportgen.compute.walk_comparison import (
    WalkComparison,
    compare_repeats,
    compare_single_walks,
    compare_together,
)
from tests.compute.walk_samples import street_walks

Compare = Callable[[WalkedFrames], WalkComparison]
DESIGNS: tuple[tuple[Compare, tuple[bool, ...], bool], ...] = (
    (compare_single_walks, (False, True), False),
    (compare_repeats, (False, True, True, False), False),
    (compare_together, (False, True), True),
)
COLUMNS = ("east_m", "north_m", "time_s", "level_dbm", "limit_dbm", "is_second", "walk")
SEEDS = st.integers(0, 10_000)
each_design = pytest.mark.parametrize(("compare", "walks", "is_together"), DESIGNS)


def frames_of(seed: int, walks: tuple[bool, ...], *, is_together: bool) -> WalkedFrames:
    return street_walks(
        np.random.default_rng(seed),
        walks,
        length_m=1_300.0,
        mean_dbm=-116.0,
        is_together=is_together,
    )


def rows_of(frames: WalkedFrames, rows: NDArray[np.int64]) -> WalkedFrames:
    return walked_frames(**{name: getattr(frames, name)[rows] for name in COLUMNS})


def numbers(found: WalkComparison) -> list[float]:
    return [
        number
        for each in (found.signal, found.delivery)
        for number in (each.value, each.low, each.high, each.smallest_detectable)
    ]


@each_design
@settings(deadline=None, max_examples=20)
@given(seed=SEEDS)
def test_settings_swapped_turn_the_difference_around(
    compare: Compare, walks: tuple[bool, ...], is_together: bool, seed: int
) -> None:
    """Nothing but the sign hangs on which setting is called the second."""
    frames = frames_of(seed, walks, is_together=is_together)
    found, swapped = compare(frames), compare(replace(frames, is_second=~frames.is_second))

    for one, other in (
        (found.signal, swapped.signal),
        (found.delivery, swapped.delivery),
    ):
        assert [other.value, other.low, other.high, other.smallest_detectable] == pytest.approx(
            [-one.value, -one.high, -one.low, one.smallest_detectable], abs=1e-6, nan_ok=True
        )
        assert (one.count, one.reason) == (other.count, other.reason)


@each_design
@settings(deadline=None, max_examples=20)
@given(seed=SEEDS, raised_db=st.floats(-20.0, 20.0))
def test_levels_raised_on_one_side_raise_the_signal_only(
    compare: Compare, walks: tuple[bool, ...], is_together: bool, seed: int, raised_db: float
) -> None:
    """With their limits, as by an amplifier behind which nothing more is heard."""
    frames = frames_of(seed, walks, is_together=is_together)
    by_db = raised_db * frames.is_second
    raised = replace(frames, level_dbm=frames.level_dbm + by_db, limit_dbm=frames.limit_dbm + by_db)

    expected, found = compare(frames), compare(raised)

    assert found.delivery == expected.delivery
    assert found.signal.value == pytest.approx(
        expected.signal.value + raised_db, abs=1e-6, nan_ok=True
    )
    assert found.signal.smallest_detectable == pytest.approx(
        expected.signal.smallest_detectable, abs=1e-5, nan_ok=True
    )


@each_design
@settings(deadline=None, max_examples=20)
@given(seed=SEEDS)
def test_order_of_rows_and_place_of_the_origin_do_not_matter(
    compare: Compare, walks: tuple[bool, ...], is_together: bool, seed: int
) -> None:
    """Rows come in the order of files; the origin, moved by whole cells, is anybody's choice."""
    frames = frames_of(seed, walks, is_together=is_together)
    order = np.random.default_rng(seed).permutation(frames.walk.size)
    moved = replace(frames, east_m=frames.east_m + 1_000.0, north_m=frames.north_m - 500.0)
    shuffled = rows_of(moved, order)

    assert numbers(compare(shuffled)) == pytest.approx(
        numbers(compare(frames)), abs=1e-6, nan_ok=True
    )


@each_design
@settings(deadline=None, max_examples=20)
@given(seed=SEEDS, kept=st.floats(0.0, 1.0))
def test_intervals_hold_their_value_or_give_a_reason(
    compare: Compare, walks: tuple[bool, ...], is_together: bool, seed: int, kept: float
) -> None:
    """However few frames there are."""
    whole = frames_of(seed, walks, is_together=is_together)
    is_kept = np.random.default_rng(seed).random(whole.walk.size) < kept
    found = compare(rows_of(whole, np.flatnonzero(is_kept)))

    for each in (found.signal, found.delivery):
        assert (each.reason == "") == (each.low <= each.value <= each.high)
        assert (each.reason == "") == (each.smallest_detectable >= each.high - each.value)
    assert found.pair_both_heard_count <= found.pair_count


@settings(deadline=None, max_examples=50)
@given(
    st.lists(
        st.tuples(st.floats(0, 500), st.floats(0, 500), st.integers(0, 2)), min_size=1, max_size=30
    )
)
def test_common_ground_is_a_share_and_whole_for_a_walk_with_itself(
    rows: list[tuple[float, float, int]],
) -> None:
    """From nothing in common to everything."""
    east_m, north_m, walk = np.array(rows).T
    time_s = np.arange(walk.size)
    twice = (np.tile(east_m, 2), np.tile(north_m, 2), np.tile(time_s, 2))

    assert 0.0 <= common_ground_ratio(east_m, north_m, time_s, walk) <= 1.0
    assert common_ground_ratio(*twice, np.repeat([0, 1], walk.size)) == 1.0
