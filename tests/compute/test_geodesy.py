"""Distances, bearings and angles: physics and properties."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reportgen.compute.geodesy import (
    distance_and_bearing,
    distance_m,
    elevation_angle_deg,
    from_local_metres,
    initial_bearing_deg,
    is_within,
    local_metres,
    maybe_within,
    path_length_m,
)
from reportgen.errors import DomainError

LATITUDES = st.floats(-89.0, 89.0)
LONGITUDES = st.floats(-180.0, 180.0)


@given(LATITUDES, LONGITUDES, LATITUDES, LONGITUDES)
def test_distance_is_the_same_from_either_end(a: float, b: float, c: float, d: float) -> None:
    """A photo is as far from the station as the station from the photo."""
    assert distance_m(a, b, c, d) == pytest.approx(distance_m(c, d, a, b), abs=1e-6)


@given(LATITUDES, LONGITUDES, st.floats(-180.0, 180.0), st.floats(0.01, 50_000.0))
def test_bearing_and_distance_lead_back_to_the_place(
    latitude: float, longitude: float, bearing_deg: float, away_m: float
) -> None:
    """Drawing and reckoning agree: local metres there and back, and the bearing between."""
    east_m = away_m * np.sin(np.deg2rad(bearing_deg))
    north_m = away_m * np.cos(np.deg2rad(bearing_deg))
    place = from_local_metres(east_m, north_m, latitude, longitude)

    there_m = local_metres(*place, latitude, longitude)

    assert distance_m(latitude, longitude, *place) == pytest.approx(away_m, abs=1e-6)
    turn_deg = initial_bearing_deg(latitude, longitude, *place) - bearing_deg
    assert np.sin(np.deg2rad(turn_deg) / 2) * away_m == pytest.approx(0.0, abs=1e-6)
    assert there_m[0] == pytest.approx(east_m, abs=1e-5)
    assert there_m[1] == pytest.approx(north_m, abs=1e-5)


def test_bearing_between_coincident_points_is_not_defined() -> None:
    """Solvers answer 180 or 0 here; a report that printed either would invent a direction."""
    bearings_deg = initial_bearing_deg(45.0, 7.0, [45.0, 45.0 + 5e-9, 45.0 + 2e-8], 7.0)

    assert np.isnan(bearings_deg[:2]).all()
    assert bearings_deg[2] == 0.0


def test_bearing_just_west_of_north_is_not_360() -> None:
    """The remainder of a tiny negative angle rounds up to 360, which is no bearing of ours."""
    bearing_deg = initial_bearing_deg(0.0, 0.0, 10.0, -1e-17)

    assert bearing_deg == 0.0


def test_both_spellings_of_the_antimeridian_are_one_place() -> None:
    """+180 and -180 are the same meridian, and the short way crosses it."""
    assert distance_m(-17.0, 180.0, -17.0, -180.0) == pytest.approx(0.0, abs=1e-6)
    assert distance_m(-17.0, 179.99, -17.0, -179.99) == pytest.approx(2_129.7, abs=0.1)


def test_unknown_coordinates_give_unknown_results_without_touching_the_others() -> None:
    """One row without a place must cost that row only."""
    away_m = distance_m(52.0, 5.0, [52.0, np.nan, 52.0], [5.1, 5.1, np.nan])

    assert np.isnan(away_m).tolist() == [False, True, True]
    assert np.isnan(initial_bearing_deg(np.nan, 5.0, 52.0, 5.1))
    assert distance_m([], [], [], []).shape == (0,)


def test_places_off_the_earth_are_refused() -> None:
    """Swapped coordinates show here first."""
    with pytest.raises(DomainError, match="latitude_deg must be from -90 to 90; found 105"):
        distance_m(0.0, 0.0, 105.0, 40.0)
    with pytest.raises(DomainError, match="longitude_deg must be finite"):
        initial_bearing_deg(0.0, np.inf, 10.0, 40.0)


def test_target_of_the_same_height_lies_below_the_horizontal() -> None:
    """The earth falls away by half the angle at its centre: d / 2R."""
    angle_deg = elevation_angle_deg(10_000.0, 20.0, 20.0)

    assert angle_deg == pytest.approx(-np.rad2deg(10_000.0 / 6_371_000.0 / 2.0), abs=1e-6)


def test_elevation_angle_nearby_is_that_of_flat_ground() -> None:
    """At walking distance curvature is nothing: 10 m up at 100 m is 5.71 deg."""
    assert elevation_angle_deg(100.0, 2.0, 12.0) == pytest.approx(
        np.rad2deg(np.arctan(0.1)), abs=0.001
    )


def test_elevation_angle_on_one_vertical() -> None:
    """Straight up, straight down, and no direction at all where both points are one."""
    angles_deg = elevation_angle_deg(0.0, [2.0, 12.0, 2.0], [12.0, 2.0, 2.0])

    assert angles_deg[:2].tolist() == [90.0, -90.0]
    assert np.isnan(angles_deg[2])


def test_negative_distance_is_refused() -> None:
    """An angle turned over by a sign would look plausible."""
    with pytest.raises(DomainError, match="distance_m must be 0 or more; found -1"):
        elevation_angle_deg(-1.0, 2.0, 10.0)


def test_origin_lies_at_zero_metres() -> None:
    """The station itself is drawn too, and has no bearing from itself."""
    assert np.array(local_metres(52.0, 5.0, 52.0, 5.0)).tolist() == [0.0, 0.0]
    home = np.array(from_local_metres(0.0, 0.0, 52.0, 5.0))
    assert home == pytest.approx([52.0, 5.0], abs=1e-12)


def test_path_is_not_measured_across_a_break() -> None:
    """Between two segments nobody knows how the walker went."""
    latitude = [52.0, 52.001, 52.101, 52.102]
    longitude = [5.0, 5.002, 5.3, 5.301]
    steps_m = distance_m(latitude[::2], longitude[::2], latitude[1::2], longitude[1::2])

    length_m = path_length_m(latitude, longitude, [0, 0, 1, 1])

    assert length_m == pytest.approx(steps_m.sum(), abs=1e-9)


def test_path_skips_points_without_a_position() -> None:
    """A point without a fix doesn't break the line."""
    gap = path_length_m([52.0, np.nan, 52.001], [5.0, 5.0, 5.0], [0, 0, 0])

    assert gap == path_length_m([52.0, 52.001], [5.0, 5.0], [0, 0])
    assert path_length_m([52.0], [5.0], [0]) == 0.0
    assert path_length_m([], [], []) == 0.0


def test_path_of_unequal_columns_is_refused() -> None:
    """A segment number for every point."""
    with pytest.raises(DomainError, match=r"segment \(1,\)"):
        path_length_m([52.0, 52.1], [5.0, 5.0], [0])


@given(LATITUDES, LONGITUDES, st.floats(1.0, 5000.0), st.integers(0, 2**32 - 1))
def test_what_lies_within_a_radius_is_what_the_distance_says(
    latitude: float, longitude: float, radius_m: float, seed: int
) -> None:
    """Points are passed over by their coordinates; none within the radius may be."""
    chance = np.random.default_rng(seed)
    east_m, north_m = chance.uniform(-2.0, 2.0, (2, 50)) * radius_m
    east_m[4:6], north_m[4:6] = [0.9999 * radius_m, -0.9999 * radius_m], [0.0, 0.0]
    east_m[:4], north_m[:4] = [0.0, 0.0, np.nan, 0.0], [0.9999 * radius_m, -1.0001 * radius_m, 0, 0]
    to_latitude, to_longitude = from_local_metres(east_m, north_m, latitude, longitude)

    found = is_within(latitude, longitude, to_latitude, to_longitude, radius_m)

    away_m = distance_m(latitude, longitude, to_latitude, to_longitude)
    assert found.tolist() == (away_m <= radius_m).tolist()
    assert found[[0, 4, 5]].all()
    assert not found[1:3].any()


@given(LATITUDES, LONGITUDES, st.floats(1.0, 2e7), st.integers(0, 2**32 - 1))
def test_no_point_of_the_whole_earth_within_a_radius_is_passed_over(
    latitude: float, longitude: float, radius_m: float, seed: int
) -> None:
    """Over the poles, over the antimeridian, half around the earth."""
    chance = np.random.default_rng(seed)
    places = chance.uniform(-90.0, 90.0, 200), chance.uniform(-180.0, 180.0, 200)

    maybe = maybe_within(latitude, longitude, *places, radius_m)

    near = np.flatnonzero(distance_m(latitude, longitude, *places) <= radius_m)
    assert set(near.tolist()) <= set(maybe.tolist())


def test_points_aside_are_passed_over_before_any_distance_is_reckoned() -> None:
    """Of a street that leads east, only the part around the point is left."""
    east_m = np.arange(-1000.0, 1001.0, 10.0)
    street = from_local_metres(east_m, np.zeros_like(east_m), 52.0, 5.0)

    maybe = maybe_within(52.0, 5.0, *street, 105.0)

    assert east_m[maybe].tolist() == np.arange(-100.0, 101.0, 10.0).tolist()


def test_many_lines_are_solved_as_each_alone() -> None:
    """Long tables are solved in portions by several threads."""
    random = np.random.default_rng(5)
    latitude, longitude = random.uniform(-80, 80, 30_001), random.uniform(-180, 180, 30_001)
    latitude[7] = np.nan

    length_m, bearing_deg = distance_and_bearing(47.5, -31.25, latitude, longitude)

    some = np.r_[0:20, 3_740:3_760, 29_990:30_001]
    np.testing.assert_array_equal(
        length_m[some], distance_m(47.5, -31.25, latitude[some], longitude[some])
    )
    np.testing.assert_array_equal(
        bearing_deg[some], initial_bearing_deg(47.5, -31.25, latitude[some], longitude[some])
    )
    assert length_m.shape == bearing_deg.shape == (30_001,)
