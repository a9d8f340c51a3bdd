"""How well a delivery ratio is known, by hand and at its edges."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.compute.delivery_interval import EFFECT_RANGE, delivery_interval, design_effect
from reportgen.errors import DomainError

PATH_M = np.arange(0.0, 2000.0, 25.0)
ALL = np.zeros(PATH_M.size, dtype=int)


def test_frames_of_independent_luck_are_worth_themselves() -> None:
    chance = np.random.default_rng(4)
    effects = [
        design_effect(chance.uniform(size=PATH_M.size) < 0.5, PATH_M, ALL) for _ in range(40)
    ]

    assert np.mean(effects) == pytest.approx(0.95, abs=0.06)  # 1, less what lies above is cut off


def test_stretches_all_heard_or_all_missed_are_no_chance() -> None:
    """Half the path in the shadow of a hill: the share is known better than by throws of a coin."""
    assert design_effect(PATH_M < 1000, PATH_M, ALL) == EFFECT_RANGE[0]


def test_alternating_luck_is_not_worth_less_than_chance() -> None:
    assert design_effect(np.arange(PATH_M.size) % 2 == 0, PATH_M, ALL) == EFFECT_RANGE[1]


def test_a_pause_makes_no_surer_of_the_path() -> None:
    """60 frames more from one spot: the path's 80 frames are worth no more than before."""
    chance = np.random.default_rng(4)
    heard = chance.uniform(size=PATH_M.size) < 0.5
    pause_m, pause = np.full(60, 1000.0), np.full(60, heard[40])
    alone = PATH_M.size / design_effect(heard, PATH_M, ALL)

    effect = design_effect(
        np.append(heard, pause), np.append(PATH_M, pause_m), np.zeros(PATH_M.size + 60, dtype=int)
    )

    assert (PATH_M.size + 60) / effect == pytest.approx(alone, rel=0.05)


def test_frames_of_two_walks_or_rings_are_no_neighbours() -> None:
    """Alike within each ring, unlike across: nothing is left to chance, and nothing to learn."""
    rings = (PATH_M >= 1000).astype(int)

    assert design_effect(PATH_M < 1000, PATH_M, rings) == 1.0


@pytest.mark.parametrize("heard", [np.ones(10), np.zeros(10), np.array([])])
def test_nothing_to_learn_from_means_no_gain(heard: np.ndarray) -> None:
    assert (
        design_effect(heard, 25.0 * np.arange(heard.size), np.zeros(heard.size, dtype=int)) == 1.0
    )


def test_an_effect_of_one_is_wilsons_interval() -> None:
    """Newcombe (1998), Table I, method 3: 15 of 148, 0.0624 to 0.1605."""
    found = delivery_interval(15, 148)

    assert (found.low, found.high) == pytest.approx((0.0624, 0.1605), abs=0.0001)


def test_a_smaller_effect_narrows_about_the_same_share() -> None:
    wide, narrow = delivery_interval(50, 100), delivery_interval(50, 100, 0.5)

    assert narrow.ratio == wide.ratio == 0.5
    assert narrow.effective_count == 200
    assert wide.low < narrow.low < 0.5 < narrow.high < wide.high


def test_nothing_sent_gives_no_ratio() -> None:
    found = delivery_interval(0, 0)

    assert np.isnan([found.ratio, found.low, found.high]).all()


def test_more_heard_than_sent_is_refused() -> None:
    with pytest.raises(DomainError, match="exceed"):
        delivery_interval(3, 2)
