"""Free space, Fresnel zones, horizons: physics."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reportgen.compute.transmission_loss import (
    free_space_basic_transmission_loss_db,
    fresnel_radius_m,
    radio_horizon_m,
    wavelength_m,
)
from reportgen.errors import DomainError

DISTANCES = st.floats(1.0, 1e5)
FREQUENCIES = st.floats(1e8, 6e9)


@given(DISTANCES, FREQUENCIES)
def test_twice_as_far_or_twice_the_frequency_costs_six_decibels(
    away_m: float, frequency_hz: float
) -> None:
    """Power spreads over a sphere: 20 log 2 = 6.0206 dB."""
    loss_db = free_space_basic_transmission_loss_db(away_m, frequency_hz=frequency_hz)
    for farther in (
        free_space_basic_transmission_loss_db(2 * away_m, frequency_hz=frequency_hz),
        free_space_basic_transmission_loss_db(away_m, frequency_hz=2 * frequency_hz),
    ):
        assert farther - loss_db == pytest.approx(6.0206, abs=0.00005)


def test_loss_is_that_of_a_sphere_and_an_isotropic_aperture() -> None:
    """Independent closed form: power over 4 pi d^2, caught by an aperture lambda^2 / 4 pi."""
    away_m, frequency_hz = 350.0, 868e6
    caught = (299_792_458.0 / frequency_hz) ** 2 / (4 * np.pi) / (4 * np.pi * away_m**2)

    loss_db = free_space_basic_transmission_loss_db(away_m, frequency_hz=frequency_hz)

    assert loss_db == pytest.approx(-10 * np.log10(caught), abs=1e-9)


@given(st.floats(0.1, 0.9), st.floats(100.0, 1e4), st.integers(1, 5))
def test_detour_over_a_zone_edge_is_half_wavelengths(
    share: float, path_m: float, zone: int
) -> None:
    """Definition of the ellipsoid, checked where the radius is small against the path."""
    frequency_hz = 50e9
    one_m, other_m = share * path_m, (1 - share) * path_m
    radius_m = fresnel_radius_m(one_m, other_m, frequency_hz=frequency_hz, zone=zone)

    detour_m = np.hypot(one_m, radius_m) + np.hypot(other_m, radius_m) - path_m

    assert detour_m == pytest.approx(zone * wavelength_m(frequency_hz) / 2, rel=0.005)


def test_zone_is_widest_in_the_middle_and_closes_at_the_antennas() -> None:
    """Clearance matters most at mid-path."""
    along_m = np.linspace(0.0, 1_000.0, 11)
    radius_m = fresnel_radius_m(along_m, 1_000.0 - along_m, frequency_hz=868e6)

    assert radius_m[[0, -1]].tolist() == [0.0, 0.0]
    assert radius_m.argmax() == 5
    assert radius_m == pytest.approx(radius_m[::-1])


def test_horizon_is_where_a_tangent_touches() -> None:
    """Right triangle at the tangent point, without refraction: exact root of 2Rh + h^2."""
    horizon_m = radio_horizon_m(30.0, earth_radius_factor=1.0)

    assert horizon_m == pytest.approx(np.sqrt(2 * 6_371e3 * 30.0 + 30.0**2), rel=1e-5)
    assert radio_horizon_m(0.0) == 0.0


def test_unknown_stays_unknown() -> None:
    """A row without distance has no loss."""
    assert np.isnan(free_space_basic_transmission_loss_db([np.nan], frequency_hz=868e6)).all()


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: wavelength_m(0.0), "frequency_hz must be above 0"),
        (
            lambda: free_space_basic_transmission_loss_db([5.0, 0.0], frequency_hz=868e6),
            "distance_m must be above 0; found 0",
        ),
        (
            lambda: fresnel_radius_m(0.0, 0.0, frequency_hz=868e6),
            "path length in m must be above 0",
        ),
        (
            lambda: fresnel_radius_m(1.0, 1.0, frequency_hz=868e6, zone=0),
            "zone must be 1 or more",
        ),
        (lambda: radio_horizon_m(-1.0), "height_m must be 0 or more"),
        (
            lambda: radio_horizon_m(1.0, earth_radius_factor=0.0),
            "earth_radius_factor must be above 0",
        ),
    ],
)
def test_numbers_out_of_range_are_refused(call: object, message: str) -> None:
    """Zero metres would be a gain without end."""
    assert callable(call)
    with pytest.raises(DomainError, match=message):
        call()
