"""A hole does not have the place it hides at its middle, and still holds all of it."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.compute.geodesy import distance_m, from_local_metres
from reportgen.compute.moved_circle import moved_circle
from reportgen.errors import DomainError

PLACES = [(47.5, -31.25), (47.50001, -31.25), (-33.0, 18.0), (69.7, 18.9), (0.0, 179.9999)]


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("radius_m", [20.0, 200.0, 5000.0])
def test_the_whole_of_the_asked_circle_is_in_the_moved_one(
    place: tuple[float, float], radius_m: float
) -> None:
    latitude, longitude, moved_m = moved_circle(*place, radius_m=radius_m)
    turn = np.linspace(0, 2 * np.pi, 73)
    edge = from_local_metres(radius_m * np.sin(turn), radius_m * np.cos(turn), *place)

    assert distance_m(latitude, longitude, *edge).max() <= moved_m
    away_m = float(distance_m(*place, latitude, longitude))
    assert 0.29 * radius_m <= away_m <= 0.81 * radius_m
    assert moved_m < 1.82 * radius_m


def test_the_same_place_gives_the_same_hole_and_the_next_door_another() -> None:
    assert moved_circle(*PLACES[0], radius_m=100.0) == moved_circle(*PLACES[0], radius_m=100.0)
    first, second = (moved_circle(*place, radius_m=100.0)[:2] for place in PLACES[:2])
    assert float(distance_m(*first, *second)) > 2.0


def test_the_way_it_is_moved_favours_no_direction() -> None:
    """A habit, such as always north, would give the place away from one hole alone."""
    origin = np.array([47.5, -31.25])
    offsets = np.array(
        [
            np.subtract(moved_circle(47.5 + n * 1e-7, -31.25, radius_m=100.0)[:2], origin)
            for n in range(400)
        ]
    ) * [111_200.0, 75_200.0]

    assert np.abs(offsets.mean(axis=0)).max() < 10.0
    assert (np.hypot(*offsets.T) > 25.0).all()


@pytest.mark.parametrize("bad", [(91.0, 0.0, 50.0), (0.0, 181.0, 50.0), (0.0, 0.0, 0.0)])
def test_no_place_and_no_radius_are_refused(bad: tuple[float, float, float]) -> None:
    with pytest.raises(DomainError):
        moved_circle(*bad[:2], radius_m=bad[2])
