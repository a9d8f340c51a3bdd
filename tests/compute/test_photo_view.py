"""What a photo shows."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reportgen.compute.photo_view import (
    field_of_view_deg,
    pointing_error_deg,
    relative_bearing_deg,
    share_across,
    true_bearing_deg,
)
from reportgen.errors import DomainError

ANGLES = st.floats(-720.0, 720.0)


def test_phone_sees_less_across_than_the_long_side_of_full_frame() -> None:
    """26 mm on 4:3: 67.3 deg by the diagonal, where the 36 mm rule says 69.4."""
    assert field_of_view_deg(26.0, 4_032, 3_024) == pytest.approx(67.30, abs=0.01)
    assert field_of_view_deg(26.0, 6_000, 4_000) == pytest.approx(69.39, abs=0.01)


def test_upright_photo_shows_less_across() -> None:
    """The same camera, turned."""
    assert field_of_view_deg(26.0, 3_024, 4_032) == pytest.approx(53.06, abs=0.01)


def test_unknown_focal_length_is_not_half_the_sky() -> None:
    """0 is Exif's word for unknown; the formula alone would make 180 deg of it."""
    assert np.isnan(field_of_view_deg([0.0, np.nan], 4_032, 3_024)).all()


@pytest.mark.parametrize(("focal_mm", "width_px"), [(-1.0, 100), (26.0, 0)])
def test_impossible_pictures_are_refused(focal_mm: float, width_px: int) -> None:
    """Faults of the reading, not of the photo."""
    with pytest.raises(DomainError):
        field_of_view_deg(focal_mm, width_px, 100)


@pytest.mark.parametrize(
    ("heading_deg", "bearing_deg", "turn_deg"),
    [(350.0, 10.0, 20.0), (10.0, 350.0, -20.0), (0.0, 180.0, 180.0), (180.0, 0.0, 180.0)],
)
def test_relative_bearing_turns_the_short_way(
    heading_deg: float, bearing_deg: float, turn_deg: float
) -> None:
    """Right is positive; straight behind is +180, never -180."""
    assert relative_bearing_deg(heading_deg, bearing_deg) == turn_deg


@given(ANGLES, ANGLES)
def test_heading_plus_relative_bearing_is_the_bearing(heading: float, bearing: float) -> None:
    """Whatever the numbers, within half a turn."""
    turn_deg = float(relative_bearing_deg(heading, bearing))

    assert -180.0 < turn_deg <= 180.0
    over = np.deg2rad(heading + turn_deg - bearing)
    assert np.cos(over) == pytest.approx(1.0)


def test_relative_bearing_a_hair_off_straight_behind_stays_within() -> None:
    """Rounding of the remainder must not give -180."""
    assert relative_bearing_deg(0.0, np.nextafter(180.0, 181.0)) == 180.0


def test_unknown_heading_has_no_relative_bearing() -> None:
    """Most phones write none."""
    assert np.isnan(relative_bearing_deg(np.nan, 10.0))


def test_the_middle_and_the_edges_of_a_picture() -> None:
    """What the camera looked at stands in the middle; half the field of view away, at the edge."""
    share = share_across([0.0, -20.0, 20.0], 40.0)

    assert share == pytest.approx([0.5, 0.0, 1.0])


def test_degrees_lie_wider_apart_towards_the_edge() -> None:
    """A ruler of equal steps would be 33 px of 1600 off at half way to the edge."""
    assert share_across(16.0, 64.0) - 0.5 == pytest.approx(0.2295, abs=5e-4)


@pytest.mark.parametrize("turn_deg", [90.0, -90.0, 135.0, 180.0])
def test_what_lies_behind_the_camera_is_nowhere_in_the_picture(turn_deg: float) -> None:
    """The tangent comes round again: without this a station behind would be drawn in front."""
    assert np.isnan(share_across(turn_deg, 60.0))


@pytest.mark.parametrize("view_deg", [0.0, 180.0])
def test_no_lens_sees_nothing_or_half_of_everything(view_deg: float) -> None:
    with pytest.raises(DomainError):
        share_across(0.0, view_deg)


@given(st.floats(-89.0, 89.0), st.floats(1.0, 170.0))
def test_left_and_right_are_mirrored(turn_deg: float, view_deg: float) -> None:
    right, left = share_across(turn_deg, view_deg), share_across(-turn_deg, view_deg)

    assert right + left == pytest.approx(1.0)


def test_near_the_station_the_photos_place_matters_more_than_its_compass() -> None:
    """10 m at 50 m are 11 degrees, at 1 km half a degree."""
    assert pointing_error_deg(10.0, 10.0, [50.0, 1000.0]) == pytest.approx(
        [np.hypot(10.0, np.rad2deg(np.arctan(0.2))), np.hypot(10.0, 0.57294)], abs=1e-3
    )


def test_a_station_nearer_than_the_error_of_position_may_lie_anywhere() -> None:
    assert np.isnan(pointing_error_deg(10.0, 10.0, 9.0))


@given(ANGLES, ANGLES)
def test_a_true_bearing_is_a_bearing(magnetic_deg: float, declination_deg: float) -> None:
    assert 0.0 <= true_bearing_deg(magnetic_deg, declination_deg) < 360.0
