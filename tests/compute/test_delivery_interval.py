"""How well a delivery ratio is known, by hand and at its edges."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from reportgen.compute.delivery_interval import (
    UNKNOWN_EFFECT,
    delivery_interval,
    design_effect,
    known_effect,
)
from reportgen.errors import DomainError

PATH_M = np.arange(0.0, 2000.0, 25.0)


def paused(frames: int) -> tuple[NDArray[np.bool_], NDArray[np.float64]]:
    """Return half a path heard, half missed, with so many frames more sent from its middle."""
    path_m = np.sort(np.append(PATH_M, np.full(frames, 1000.0)))
    return path_m < 1000.0, path_m


def test_frames_sent_evenly_are_worth_themselves() -> None:
    """Two frames to each stretch of 50 m: f = w but at the ends, where a frame stands for half."""
    assert design_effect(PATH_M < 1000, PATH_M) == pytest.approx(1.0, abs=0.01)


def test_a_pause_makes_frames_worth_less() -> None:
    """By hand: 40 frames more at one of 40 stretches; n (f - w)^2 = 120 (42/120 - 2/80)^2 = 12.7.

    To that the other 39 stretches add 120 * 39 (2/120 - 2/80)^2 = 0.3. One of 119 neighbours
    differs, so nearly all of the variance lies in the ground.
    """
    heard, path_m = paused(40)

    assert design_effect(heard, path_m) == pytest.approx(1.0 + 13.0, rel=0.03)


def test_a_longer_pause_is_worth_less_still() -> None:
    effects = [design_effect(*paused(frames)) for frames in (0, 5, 10, 20)]

    assert effects == sorted(effects)
    assert effects[-1] > 2.0 * effects[0]


def test_a_pause_costs_nothing_where_the_ground_decides_nothing() -> None:
    """Frames lost by chance alone are as good from one place as from many."""
    _, path_m = paused(40)

    assert design_effect(np.arange(path_m.size) % 2 == 0, path_m) == 1.0


def test_alike_neighbours_are_never_taken_for_certainty() -> None:
    """A burst of losses looks like a hill: below 1 the interval would trust it."""
    rng = np.random.default_rng(3)
    walks = [np.repeat(rng.uniform(size=8) < 0.5, 10) for _ in range(30)]

    assert min(design_effect(walk, PATH_M) for walk in walks if 0 < walk.sum() < 80) >= 1.0


def test_ground_between_two_walks_belongs_to_neither() -> None:
    """Else the frame before the jump would stand for most of the path."""
    both = np.append(PATH_M, PATH_M + 1e6)

    assert design_effect(both % 1e6 < 1000, both) == pytest.approx(1.0, abs=0.02)


def test_frames_of_two_rings_are_no_neighbours() -> None:
    """Alike within each ring, unlike across: nothing is left to learn from."""
    assert np.isnan(design_effect(PATH_M < 1000, PATH_M, PATH_M >= 1000))


def test_unevenness_counts_within_groups() -> None:
    """One half sent twice as densely makes the whole uneven, neither half by itself."""
    path_m = np.append(np.arange(0.0, 1000.0, 12.5), np.arange(1000.0, 2000.0, 25.0))
    heard = (path_m // 200) % 2 == 0

    assert design_effect(heard, path_m) > 1.1
    assert design_effect(heard, path_m, path_m >= 1000) == pytest.approx(1.0, abs=0.05)


def test_small_groups_are_not_asked_how_even_they_are() -> None:
    """Four frames, three of them from one place, tell nothing of how a walk was sampled."""
    path_m = np.append(PATH_M, 1e6 + np.array([0.0, 0.0, 0.0, 120.0]))
    heard = np.append(PATH_M < 1000, [True, True, True, False])

    assert design_effect(heard, path_m, path_m >= 1e6) == pytest.approx(1.0, abs=0.01)


def test_neighbours_of_different_groups_tell_nothing() -> None:
    heard = (PATH_M // 100) % 2 == 0

    assert np.isnan(design_effect(heard, PATH_M, np.arange(PATH_M.size) % 2))


def test_it_does_not_matter_where_the_path_is_counted_from() -> None:
    heard, path_m = paused(20)

    assert design_effect(heard, path_m + 30.0) == pytest.approx(design_effect(heard, path_m))


@pytest.mark.parametrize(
    "heard", [np.ones(10), np.zeros(10), np.array([]), np.arange(20) % 2, np.ones(99)]
)
def test_nothing_to_learn_from_is_unknown(heard: NDArray[np.float64]) -> None:
    assert np.isnan(design_effect(heard, np.arange(heard.size)))


def test_frames_from_one_single_place_are_independent() -> None:
    """There is no path to speak of but that place."""
    assert design_effect(np.arange(40) < 20, np.zeros(40)) == 1.0


def test_frames_without_place_are_left_out() -> None:
    heard, path_m = paused(20)
    expected = design_effect(heard, path_m)

    assert design_effect(np.append(heard, True), np.append(path_m, np.nan)) == expected


def test_arrays_of_different_length_are_refused() -> None:
    with pytest.raises(DomainError, match="equally long"):
        design_effect([True, False], [1.0])


def test_an_effect_of_one_is_wilsons_interval() -> None:
    """Newcombe (1998), Table I, method 3: 15 of 148, 0.0624 to 0.1605."""
    found = delivery_interval(15, 148, 1.0)

    assert (found.low, found.high) == pytest.approx((0.0624, 0.1605), abs=0.00005)


def test_a_larger_effect_widens_about_the_same_share() -> None:
    narrow, wide = delivery_interval(50, 100, 1.0), delivery_interval(50, 100, 2.0)

    assert narrow.ratio == wide.ratio == 0.5
    assert wide.effective_count == 50
    assert (wide.low, wide.high) == pytest.approx(
        (delivery_interval(25, 50, 1.0).low, delivery_interval(25, 50, 1.0).high)
    )
    assert wide.low < narrow.low < 0.5 < narrow.high < wide.high


def test_an_unknown_effect_counts_as_a_poor_one() -> None:
    """Not as none: with few frames nobody knows that they were sent evenly."""
    assert delivery_interval(3, 9, np.nan) == delivery_interval(3, 9, UNKNOWN_EFFECT)
    assert known_effect(float("nan")) > 1.0


@pytest.mark.parametrize(("heard", "low", "high"), [(0, 0.0, 0.4345), (5, 0.5655, 1.0)])
def test_none_or_all_heard_end_at_zero_or_one(heard: int, low: float, high: float) -> None:
    """Five frames of effect 1: z^2 / (5 + z^2) = 3.8415 / 8.8415 = 0.4345."""
    found = delivery_interval(heard, 5, 1.0)

    assert (found.low, found.high) == pytest.approx((low, high), abs=0.00005)


def test_nothing_sent_gives_no_ratio() -> None:
    found = delivery_interval(0, 0, np.nan)

    assert np.isnan([found.ratio, found.low, found.high]).all()
    assert found.sent == found.effective_count == 0


@pytest.mark.parametrize(("heard", "sent", "effect"), [(3, 2, 1.0), (-1, 2, 1.0), (1, 2, 0.0)])
def test_impossible_numbers_are_refused(heard: int, sent: int, effect: float) -> None:
    with pytest.raises(DomainError):
        delivery_interval(heard, sent, effect)
