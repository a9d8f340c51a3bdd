"""What an attacker gets from distances and levels, on ground made here with its own physics."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from reportgen.compute.place_attack import (
    place_by_distances,
    place_by_levels,
    place_by_strongest,
)

HOME = (430.0, -120.0)
Ways = tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]


def a_loop(points: int = 300) -> Ways:
    """Return a walk around the house and its true distances. [m]"""
    turn = np.linspace(0.0, 2.0 * np.pi, points)
    east = 700.0 * np.cos(turn) + 150.0 * np.sin(5.0 * turn)
    north = 500.0 * np.sin(turn) + 100.0 * np.cos(3.0 * turn)
    return east, north, np.hypot(east - HOME[0], north - HOME[1])


def off_m(place: tuple[float, float]) -> float:
    return math.hypot(place[0] - HOME[0], place[1] - HOME[1])


def test_exact_distances_give_the_place_away_altogether() -> None:
    assert off_m(place_by_distances(*a_loop())) < 1e-3


@pytest.mark.parametrize("step_m", [10.0, 100.0])
def test_rounding_leaves_a_tenth_of_a_step_of_doubt_and_no_more(step_m: float) -> None:
    """Errors of rounding, step/√12 each, go down with the root of their number."""
    east, north, away = a_loop()

    assert off_m(place_by_distances(east, north, np.round(away / step_m) * step_m)) < step_m / 10.0


def test_a_straight_walk_leaves_the_place_and_its_mirror_image() -> None:
    """From a line nobody can tell left from right; one of both must come out, not the middle."""
    east = np.linspace(-500.0, 900.0, 60)
    north = np.zeros(60)
    found = place_by_distances(east, north, np.hypot(east - HOME[0], HOME[1]))

    assert found[0] == pytest.approx(HOME[0], abs=0.1)
    assert abs(found[1]) == pytest.approx(abs(HOME[1]), abs=0.1)


def test_too_few_places_or_none_give_no_answer() -> None:
    """NaN, not a place: three circles always meet near something."""
    east, north, away = a_loop(3)

    assert np.isnan(place_by_distances(east, north, away)).all()
    assert np.isnan(place_by_distances([], [], [])).all()
    assert np.isnan(place_by_levels([], [], [], [])).all()
    assert np.isnan(place_by_strongest([], [], [])).all()


def test_unknown_rows_are_left_out() -> None:
    east, north, away = a_loop()
    away[::2] = np.nan

    assert off_m(place_by_distances(east, north, away)) < 1e-3


def test_levels_alone_give_the_place_to_some_tens_of_metres() -> None:
    """Exponent 3, 6 dB of shadows, two nodes 7 dB apart whose offsets nobody tells."""
    east, north, away = a_loop(600)
    node = np.arange(600) % 2
    chance = np.random.default_rng(11)
    level = -40.0 - 30.0 * np.log10(away) - 7.0 * node + chance.normal(0.0, 6.0, 600)

    assert off_m(place_by_levels(east, north, level, node)) < 60.0


def test_levels_without_chance_give_it_to_a_metre_or_so() -> None:
    """Otherwise the fit stops short, and its error would flatter the author."""
    east, north, away = a_loop()

    found = place_by_levels(east, north, -40.0 - 25.0 * np.log10(away), np.zeros(300))

    assert off_m(found) < 5.0


def test_levels_that_fall_nowhere_point_nowhere() -> None:
    """A constant level holds no law; a place would be invented."""
    east, north, _ = a_loop()

    assert np.isnan(place_by_levels(east, north, np.full(300, -90.0), np.zeros(300))).all()


def test_the_strongest_places_pull_by_their_milliwatts() -> None:
    """Two places, one ten times as strong: ten elevenths of the way, whatever the unit of power."""
    assert place_by_strongest([0.0, 110.0], [0.0, 0.0], [-60.0, -50.0])[0] == pytest.approx(100.0)
