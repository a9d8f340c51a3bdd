"""Declination against the values that the makers of the field model publish with it."""

from __future__ import annotations

import pytest

from reportgen.compute.declination import magnetic_declination
from reportgen.compute.photo_view import true_bearing_deg


@pytest.mark.parametrize(
    ("year", "latitude_deg", "longitude_deg", "printed_deg"),
    [
        (2025.0, 80.0, 0.0, 1.28),
        (2025.0, 0.0, 120.0, -0.16),
        (2025.0, -80.0, 240.0, 68.78),
        (2027.5, 80.0, 0.0, 2.59),
        (2027.5, 0.0, 120.0, -0.24),
        (2027.5, -80.0, 240.0, 68.49),
        (2020.0, 80.0, 0.0, -1.28),
        (2020.0, 0.0, 120.0, 0.16),
        (2020.0, -80.0, 240.0, 69.36),
        (2022.5, 80.0, 0.0, 0.01),
        (2022.5, 0.0, 120.0, -0.06),
        (2022.5, -80.0, 240.0, 69.13),
    ],
)
def test_test_values_of_the_world_magnetic_model(
    year: float, latitude_deg: float, longitude_deg: float, printed_deg: float
) -> None:
    """WMM2025 and WMM2020 test values at height 0 (NOAA NCEI), D printed to 0.01 degrees.

    Seen second-hand, in test data of two programs that carry the published tables.
    """
    found = magnetic_declination(latitude_deg, longitude_deg, decimal_year=year)

    assert found is not None
    assert found.value_deg == pytest.approx(printed_deg, abs=0.005 + 1e-9)


def test_error_of_the_model_at_mid_latitude() -> None:
    """WMM2025 error model: sqrt(0.26² + (5417/H)²) degrees, one sigma; from memory.

    H is near 21 000 nT at 49 N 24 W, which gives 0.37 degrees; 1.96 of it is 0.72.
    """
    found = magnetic_declination(49.2, -23.6, decimal_year=2026.44)

    assert found is not None
    assert found.error_deg == pytest.approx(0.72, abs=0.01)


@pytest.mark.parametrize(
    ("magnetic_deg", "declination_deg", "true_deg"),
    [(100.0, 10.5, 110.5), (355.0, 10.5, 5.5), (156.5, -6.5, 150.0)],
)
def test_true_heading_from_a_magnetic_one(
    magnetic_deg: float, declination_deg: float, true_deg: float
) -> None:
    """Rows IMG-3 and IMG-4 of the reference table: true = magnetic + east declination."""
    assert true_bearing_deg(magnetic_deg, declination_deg) == pytest.approx(true_deg)
