"""How much stronger one set of frames is, those that were missed included."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from reportgen.compute.censored_difference import (
    PairedFrames,
    delivery_difference_ratio,
    signal_difference_db,
    stretches_with_both_outcomes,
    stretches_with_signal,
)

Floats = NDArray[np.float64]
LIMIT_DBM = -120.0


def pairs(
    first_dbm: Floats, second_dbm: Floats, *, limit_dbm: float = LIMIT_DBM, per_stretch: int = 10
) -> PairedFrames:
    """Return pairs of which what lies below the limit was missed."""
    count = first_dbm.size
    return PairedFrames(
        first_dbm=np.where(first_dbm < limit_dbm, np.nan, first_dbm),
        second_dbm=np.where(second_dbm < limit_dbm, np.nan, second_dbm),
        first_limit_dbm=np.full(count, limit_dbm),
        second_limit_dbm=np.full(count, limit_dbm),
        weight=np.ones(count),
        stretch=np.arange(count) // per_stretch,
    )


def drawn(count: int, difference_db: float, mean_dbm: float) -> tuple[Floats, Floats]:
    """Return levels over one ground; 3 dB of each frame's own."""
    chance = np.random.default_rng(20)
    ground = mean_dbm + 6.0 * chance.normal(size=count)
    own = 3.0 * chance.normal(size=(2, count))
    return ground + own[0], ground + own[1] + difference_db


def test_difference_of_frames_all_heard_is_their_mean_difference() -> None:
    """Nothing is missed: the textbook's answer."""
    first = np.linspace(-100.0, -80.0, 20)
    second = first + np.tile([1.0, 5.0], 10)

    assert signal_difference_db(pairs(first, second)) == pytest.approx(3.0, abs=1e-6)


@pytest.mark.parametrize("mean_dbm", [-100.0, -117.0, -120.0, -124.0])
def test_difference_is_found_whatever_share_was_missed(mean_dbm: float) -> None:
    """From none to three in four; levels heard alone would tell of less and less difference."""
    made = pairs(*drawn(20_000, 4.0, mean_dbm))

    heard_db = np.nanmean(made.second_dbm) - np.nanmean(made.first_dbm)

    assert signal_difference_db(made) == pytest.approx(4.0, abs=0.2)
    assert heard_db < 3.0 or mean_dbm == -100.0


def test_frames_lost_for_other_reasons_do_not_shift_the_difference() -> None:
    """One in five of either side, however strong."""
    chance = np.random.default_rng(4)
    first, second = (
        np.where(chance.random(20_000) < 0.2, -200.0, levels)
        for levels in drawn(20_000, 2.0, -110.0)
    )

    assert signal_difference_db(pairs(first, second)) == pytest.approx(2.0, abs=0.2)


def test_an_antenna_that_hears_more_weak_frames_is_not_punished() -> None:
    """Ten pairs alike, and ten more that only the second setting hears, just above the limit."""
    first = np.append(np.full(10, -90.0), np.full(10, -130.0))
    second = np.append(np.full(10, -90.0), np.full(10, -118.0))

    made = pairs(first, second)

    assert np.nanmean(made.second_dbm) < np.nanmean(made.first_dbm)
    assert signal_difference_db(made) > 0.5


def test_one_wild_pair_moves_little() -> None:
    """A frame lost at full strength is no difference of 60 dB."""
    first, second = np.full(50, -60.0), np.full(50, -60.0)
    second[7] = -200.0

    assert signal_difference_db(pairs(first, second)) == pytest.approx(-6.0 / 49.0, abs=1e-6)


def test_levels_below_a_limit_count_as_at_it() -> None:
    """A limit is nominal; frames heard below it are no more than weak."""
    first, second = np.full(20, -110.0), np.full(20, -109.0)
    made = pairs(np.append(first, -150.0), np.append(second, -150.0))
    below = pairs(np.append(first, -128.0), np.append(second, -123.0), limit_dbm=-200.0)
    lowered = PairedFrames(
        first_dbm=below.first_dbm,
        second_dbm=below.second_dbm,
        first_limit_dbm=made.first_limit_dbm,
        second_limit_dbm=made.second_limit_dbm,
        weight=made.weight,
        stretch=made.stretch,
    )

    assert signal_difference_db(lowered) == pytest.approx(signal_difference_db(made), abs=1e-6)


def test_each_frame_has_the_limit_of_its_own_rate() -> None:
    """The second side heard everything at a slower rate; its extra reach is not signal."""
    first, second = drawn(20_000, 0.0, -118.0)
    made = PairedFrames(
        first_dbm=np.where(first < -115.0, np.nan, first),
        second_dbm=np.where(second < -125.0, np.nan, second),
        first_limit_dbm=np.full(first.size, -115.0),
        second_limit_dbm=np.full(first.size, -125.0),
        weight=np.ones(first.size),
        stretch=np.zeros(first.size, dtype=np.int64),
    )

    assert signal_difference_db(made) == pytest.approx(0.0, abs=0.15)
    assert delivery_difference_ratio(made) > 0.3


def test_a_side_hardly_heard_gives_no_difference() -> None:
    """Nine pairs heard on both sides are too few; so is a limit not known, or lifted over all."""
    first = np.append(np.full(9, -90.0), np.full(50, -130.0))
    made = pairs(first, np.full(59, -80.0))
    unlimited = pairs(np.full(30, -90.0), np.full(30, -90.0), limit_dbm=np.nan)
    lifted = pairs(np.full(30, -90.0), np.full(30, -90.0)).where(np.ones(30, dtype=np.bool_))
    lifted.first_limit_dbm[:] = lifted.second_limit_dbm[:] = -50.0

    assert np.isnan(signal_difference_db(made))
    assert np.isnan(signal_difference_db(unlimited))
    assert np.isnan(signal_difference_db(lifted))


def test_delivery_is_weighed_and_unknown_without_pairs() -> None:
    """Heard only by the second: 1; only by the first: -1; by both or none: 0."""
    made = pairs(np.array([-130.0, -90.0, -90.0]), np.array([-90.0, -130.0, -90.0]))
    heavier = PairedFrames(
        first_dbm=made.first_dbm,
        second_dbm=made.second_dbm,
        first_limit_dbm=made.first_limit_dbm,
        second_limit_dbm=made.second_limit_dbm,
        weight=np.array([3.0, 1.0, 4.0]),
        stretch=made.stretch,
    )

    assert delivery_difference_ratio(made) == 0.0
    assert delivery_difference_ratio(heavier) == pytest.approx(0.25)
    assert np.isnan(delivery_difference_ratio(made.where(np.zeros(3, dtype=np.bool_))))


def test_stretches_that_tell_nothing_are_not_counted() -> None:
    """All missed; missed on one side throughout; all heard; heard and missed."""
    first = np.array([-130.0, -130.0, -130.0, -130.0, -90.0, -90.0, -90.0, -130.0])
    second = np.array([-130.0, -130.0, -90.0, -90.0, -90.0, -90.0, -90.0, -90.0])
    made = pairs(first, second, per_stretch=2)

    assert stretches_with_signal(made) == 2
    assert stretches_with_both_outcomes(made) == 2
