"""Distances, bearings and elevation angles against published lines and a reference library."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from pyproj import Transformer

from reportgen.compute.geodesy import (
    distance_m,
    elevation_angle_deg,
    from_local_metres,
    initial_bearing_deg,
    local_metres,
)
from tests.published.reference_rows import ReferenceRow, disagreements, reference_rows


def test_quarter_meridian_is_as_long_as_wgs_84_makes_it() -> None:
    """WGS 84 quarter meridian, printed 10001965.729 m (seen in reference vectors)."""
    assert distance_m(0.0, 0.0, 90.0, 0.0) == pytest.approx(10_001_965.729, abs=0.0005)


def test_one_degree_of_the_equator_is_an_arc_of_the_major_semi_axis() -> None:
    """Closed form: a pi/180 with a = 6378137 m is 111319.4908 m."""
    assert distance_m(0.0, 0.0, 0.0, 1.0) == pytest.approx(111_319.4908, abs=0.00005)


def test_wellington_to_salamanca() -> None:
    """GeographicLib documentation, Inverse example: 19959679.267 m; nearly antipodal."""
    assert distance_m(-41.32, 174.81, 40.96, -5.50) == pytest.approx(19_959_679.267, abs=0.0005)


def test_lands_end_to_john_o_groats() -> None:
    """Worked example of Vincenty's inverse as widely reproduced: 969954.166 m, 9.1419 deg out.

    The way back follows from the printed final bearing 11.2972 deg: 191.2972 deg.
    """
    line = (50.06632, -5.71475, 58.64402, -3.07009)
    back = (58.64402, -3.07009, 50.06632, -5.71475)

    assert distance_m(*line) == pytest.approx(969_954.166, abs=0.0005)
    assert initial_bearing_deg(*line) == pytest.approx(9.1419, abs=0.00005)
    assert initial_bearing_deg(*back) == pytest.approx(191.2972, abs=0.00005)


def test_short_line_of_the_geodesic_test_set() -> None:
    """Karney, "Test set for geodesics" (2010), a line of 76 m: 76.1479 m, 20.996797 deg.

    The walk's own scale, where a sphere's formula loses digits.
    """
    line = (19.707097385334, 0.0, 19.707739582810255, 0.000260256428101053)

    assert distance_m(*line) == pytest.approx(76.1479, abs=0.00005)
    assert initial_bearing_deg(*line) == pytest.approx(20.996797, abs=0.0000005)


@pytest.mark.shared
def test_all_reference_lines_on_wgs_84(shared_folder: Path) -> None:
    """Rows GEO-01 to GEO-30: distance, and bearing from either end; coincident ends have none."""

    def computed(row: ReferenceRow) -> object:
        names = ("lat1_deg", "lon1_deg", "lat2_deg", "lon2_deg")
        ends = [row.number(name) for name in names]
        if row.key.endswith(".s"):
            return distance_m(*ends)
        return initial_bearing_deg(*(ends if row.key.endswith(".ab") else ends[2:] + ends[:2]))

    pattern = r"GEO-(0\d|1\d|2\d|30)\.(s|ab|ba)"

    assert disagreements(shared_folder, pattern, computed, rows=88) == []


@pytest.mark.shared
def test_bearings_of_the_two_ends_differ_by_the_convergence(shared_folder: Path) -> None:
    """Rows GEO-C: the bearing back is not the bearing out plus half a turn."""
    lines = {row.key: row for row in reference_rows(shared_folder, r"GEO-\d\d\.s")}

    def computed(row: ReferenceRow) -> float:
        line = lines[row.inputs["pair"] + ".s"]
        names = ("lat1_deg", "lon1_deg", "lat2_deg", "lon2_deg")
        ends = [line.number(name) for name in names]
        out = float(initial_bearing_deg(*ends))
        return float(initial_bearing_deg(*ends[2:], *ends[:2])) - (out + 180.0)

    assert disagreements(shared_folder, r"GEO-C-\d\d", computed, rows=2) == []


@pytest.mark.parametrize(
    ("north_m", "east_m", "eye_m", "target_m"),
    [
        (35.0, 20.0, 1.6, 12.0),
        (-600.0, 200.0, 30.0, 5.0),
        (3_000.0, -4_000.0, 100.0, 140.0),
        (-20_000.0, 5_000.0, 1_500.0, 10.0),
        (0.0, 40_000.0, 2.0, 2.0),
        (15_000.0, 12_000.0, 100.0, 8_000.0),
    ],
)
def test_elevation_angle_is_that_of_topocentric_coordinates(
    north_m: float, east_m: float, eye_m: float, target_m: float
) -> None:
    """Reference library: PROJ's topocentric conversion (EPSG method 9837) on the ellipsoid.

    Ours is on a sphere; the ellipsoid's curvature differs from it by up to 0.7 %, which at 40 km
    is 0.0013 deg of the 0.18 deg that the earth falls away.
    """
    latitude, longitude = 47.4, 11.3
    target_latitude, target_longitude = from_local_metres(east_m, north_m, latitude, longitude)
    up = Transformer.from_pipeline(
        "+proj=pipeline +step +proj=cart +ellps=WGS84 "
        f"+step +proj=topocentric +ellps=WGS84 +lat_0={latitude} +lon_0={longitude} +h_0={eye_m}"
    )
    x_m, y_m, z_m = up.transform(float(target_longitude), float(target_latitude), target_m)
    expected_deg = np.rad2deg(np.arctan2(z_m, np.hypot(x_m, y_m)))

    angle_deg = elevation_angle_deg(np.hypot(north_m, east_m), eye_m, target_m)

    assert angle_deg == pytest.approx(expected_deg, abs=0.0015)


def test_local_metres_are_those_of_the_azimuthal_equidistant_projection() -> None:
    """Reference library: PROJ's `aeqd` on the WGS 84 ellipsoid, within a millimetre at 30 km."""
    latitude, longitude = 52.1, 5.3
    latitudes = np.array([52.1, 52.2, 51.9, 52.35])
    longitudes = np.array([5.31, 5.0, 5.5, 5.3])
    projection = Transformer.from_pipeline(
        f"+proj=aeqd +ellps=WGS84 +lat_0={latitude} +lon_0={longitude}"
    )

    east_m, north_m = local_metres(latitudes, longitudes, latitude, longitude)

    expected_m = np.array(projection.transform(longitudes, latitudes))
    assert np.array([east_m, north_m]) == pytest.approx(expected_m, abs=0.001)
