"""Two settings compared by single walks, by repeats, or carried together."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from reportgen.compute.frame_pairs import WalkedFrames, walked_frames
from reportgen.compute.walk_comparison import (
    Standing,
    compare_repeats,
    compare_single_walks,
    compare_together,
    standing,
)
from reportgen.errors import DomainError
from tests.compute.walk_samples import street_walks

ONCE = (False, True)
TWICE = (False, True, False, True)
NOTHING = street_walks(np.random.default_rng(1), ONCE, length_m=0.0)


@pytest.mark.parametrize(
    ("factors", "is_together", "repeats", "expected"),
    [
        (1, False, 1, "as recorded"),
        (1, False, 2, "repeated"),
        (1, True, 1, "together"),
        (2, True, 5, "confounded"),
        (3, False, 1, "confounded"),
        (0, False, 1, "same settings"),
    ],
)
def test_single_walks_are_never_evidence(
    factors: int, is_together: bool, repeats: int, expected: Standing
) -> None:
    """Whatever the interval says: days differ as much as antennas do."""
    found = standing(factors_apart=factors, is_together=is_together, least_repeats=repeats)

    assert found == expected


def test_single_walks_show_a_difference() -> None:
    """4 dB, second less first, in signal and in delivery."""
    frames = street_walks(np.random.default_rng(2), ONCE, difference_db=4.0, mean_dbm=-118.0)

    found = compare_single_walks(frames)

    assert found.signal.low < 4.0 < found.signal.high
    assert found.signal.is_apart
    assert 0.0 < found.delivery.value < 0.5
    assert found.delivery.low < found.delivery.value < found.delivery.high
    assert found.stretch_count == found.signal.count == 9
    assert found.cell_count in {40, 41}
    assert found.pair_both_heard_count < found.pair_count


def test_frames_copied_do_not_sharpen_the_interval() -> None:
    """Each frame logged four times tells no more: frames are not independent, stretches are.

    An interval over frames would be half as wide. Only the weights of cells change a little.
    """
    once, copied = (
        compare_single_walks(
            street_walks(np.random.default_rng(3), ONCE, copies=copies, mean_dbm=-118.0)
        )
        for copies in (1, 4)
    )

    for one, four in ((once.signal, copied.signal), (once.delivery, copied.delivery)):
        assert four.high - four.low > 0.85 * (one.high - one.low)


@pytest.mark.parametrize("compare", [compare_single_walks, compare_repeats])
def test_walks_without_common_ground_are_not_compared(compare: object) -> None:
    """Two streets apart."""
    frames = street_walks(np.random.default_rng(4), TWICE)
    away = replace(frames, north_m=frames.north_m + 500.0 * frames.is_second)

    assert callable(compare)
    found = compare(away)

    assert found.signal.reason == found.delivery.reason == "no common ground"
    assert np.isnan(found.signal.value)
    assert found.pair_count == found.cell_count == found.stretch_count == 0


@pytest.mark.parametrize("compare", [compare_single_walks, compare_repeats, compare_together])
def test_nothing_walked_gives_no_difference(compare: object) -> None:
    """No frames at all, or all of one setting."""
    frames = street_walks(np.random.default_rng(4), ONCE)
    one_sided = replace(frames, is_second=np.zeros(frames.walk.size, dtype=np.bool_))

    assert callable(compare)
    for empty in (NOTHING, one_sided):
        assert compare(empty).signal.reason == "no common ground"


def test_a_short_walk_gives_a_difference_without_interval() -> None:
    """Four stretches: the number as recorded stays, with the reason."""
    found = compare_single_walks(street_walks(np.random.default_rng(5), ONCE, length_m=900.0))

    assert found.signal.reason == found.delivery.reason == "too few stretches"
    assert np.isfinite([found.signal.value, found.delivery.value]).all()
    assert np.isnan([found.signal.low, found.signal.smallest_detectable]).all()


def test_walks_that_heard_all_can_not_tell_deliveries_apart() -> None:
    """An interval from 0 to 0 would pretend to certainty; signal is compared all the same."""
    found = compare_single_walks(street_walks(np.random.default_rng(6), ONCE, mean_dbm=-90.0))

    assert (found.delivery.value, found.delivery.reason) == (0.0, "too alike")
    assert found.signal.reason == ""


def test_walks_that_heard_next_to_nothing_tell_no_signal() -> None:
    """A frame here and there."""
    found = compare_single_walks(street_walks(np.random.default_rng(6), ONCE, mean_dbm=-131.0))

    assert found.signal.reason == "too few heard"


def test_a_difference_that_hangs_on_one_stretch_has_no_interval() -> None:
    """Ten pairs heard are enough for a difference; without any one of them there is none."""
    east_m = np.tile(np.arange(25.0, 2_000.0, 50.0), 2)
    walk = np.repeat([0, 1], 40)
    found = compare_single_walks(
        walked_frames(
            east_m=east_m,
            north_m=np.full(80, 25.0),
            time_s=east_m + 9_000.0 * walk,
            level_dbm=np.where(east_m % 200.0 == 25.0, -90.0, np.nan),
            limit_dbm=np.full(80, -120.0),
            is_second=walk,
            walk=walk,
        )
    )

    assert found.pair_both_heard_count == 10
    assert found.signal.value == pytest.approx(0.0, abs=1e-6)
    assert found.signal.reason == "too few heard"


def test_repeats_hold_the_days_within_the_interval() -> None:
    """Single walks call 2 dB of weather a difference; walks repeated don't."""
    days_db = (-1.0, 1.5, 1.2, -0.7)
    frames = street_walks(np.random.default_rng(7), TWICE, days_db=days_db)
    pair = street_walks(np.random.default_rng(7), ONCE, days_db=days_db[:2])

    assert compare_single_walks(pair).signal.is_apart
    found = compare_repeats(frames)
    assert not found.signal.is_apart
    assert found.signal.value == pytest.approx(0.3, abs=0.7)
    assert (found.signal.count, found.signal.reason) == (4, "")
    assert found.signal.smallest_detectable > 2.0


def test_settings_walked_once_have_no_interval_of_repeats() -> None:
    """One of them repeated is not enough."""
    found = compare_repeats(street_walks(np.random.default_rng(8), (False, True, False)))

    assert found.signal.reason == found.delivery.reason == "not repeated"
    assert np.isfinite(found.signal.value)


def test_repeats_of_which_one_heard_nothing_tell_no_signal() -> None:
    """A station switched off for a day; delivery tells it."""
    days_db = (0.0, 0.0, 0.0, -90.0)
    found = compare_repeats(street_walks(np.random.default_rng(9), TWICE, days_db=days_db))

    assert found.signal.reason == "too few heard"
    assert found.delivery.value < 0.0


def test_a_walk_with_both_settings_is_no_repeat() -> None:
    """That is a walk of two nodes together, and compared frame by frame."""
    frames = street_walks(np.random.default_rng(10), ONCE, is_together=True)

    with pytest.raises(DomainError, match="one setting; walk 0"):
        compare_repeats(frames)


def together(difference_db: float) -> WalkedFrames:
    return street_walks(
        np.random.default_rng(11), ONCE, difference_db=difference_db, is_together=True
    )


def test_nodes_carried_together_are_compared_frame_by_frame() -> None:
    """3 dB found; none claimed where there is none."""
    found = compare_together(together(3.0))

    assert found.signal.low < 3.0 < found.signal.high
    assert found.signal.is_apart
    assert not compare_together(together(0.0)).signal.is_apart
    assert found.pair_count <= 133


def test_nodes_on_different_walks_are_not_together() -> None:
    """Their frames may be near in time by chance of clocks."""
    frames = together(0.0)
    apart = replace(frames, walk=frames.is_second.astype(np.int64))

    assert compare_together(apart).signal.reason == "no common ground"
