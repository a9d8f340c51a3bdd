"""Fields near an antenna: physics and limits of validity."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reportgen.compute.exposure import (
    GROUND_REFLECTION_FACTOR,
    caution_distance_m,
    far_field_distance_m,
    fcc_general_population_limit_w_m2,
    fcc_occupational_limit_w_m2,
    icnirp_general_public_limit_w_m2,
    icnirp_occupational_limit_w_m2,
    is_within_near_field,
    power_density_w_m2,
    reactive_near_field_edge_m,
    time_averaged_power_w,
)
from reportgen.errors import DomainError


@given(st.floats(0.001, 1e4), st.floats(0.1, 100.0), st.sampled_from([1.0, 2.56, 4.0]))
def test_density_at_the_caution_distance_is_the_limit(
    eirp_w: float, limit_w_m2: float, factor: float
) -> None:
    """The two functions are one formula, solved both ways."""
    away_m = caution_distance_m(eirp_w, limit_w_m2, reflection_factor=factor)

    density_w_m2 = power_density_w_m2(eirp_w, away_m, reflection_factor=factor)

    assert density_w_m2 == pytest.approx(limit_w_m2)


def test_caution_counts_the_ground_unless_told_otherwise() -> None:
    """The careful value is the default: 1.6 times the free-space distance."""
    assert GROUND_REFLECTION_FACTOR == 2.56
    ratio = caution_distance_m(1.0, 4.5) / caution_distance_m(1.0, 4.5, reflection_factor=1.0)
    assert ratio == pytest.approx(1.6)


def test_density_over_the_whole_sphere_is_the_radiated_power() -> None:
    """Conservation of energy, at any distance."""
    away_m = np.array([0.5, 2.0, 30.0])

    assert power_density_w_m2(3.0, away_m) * 4 * np.pi * away_m**2 == pytest.approx([3.0] * 3)


def test_silent_transmitter_needs_no_distance() -> None:
    """And an unknown limit gives an unknown distance."""
    assert caution_distance_m(0.0, 4.5) == 0.0
    assert np.isnan(caution_distance_m(1.0, np.nan))


def test_levels_end_where_their_tables_do() -> None:
    """Below 30 MHz and above the last row other quantities count, so no number is given."""
    outside_hz = [29.9e6, 301e9, np.nan]

    assert np.isnan(icnirp_general_public_limit_w_m2(outside_hz)).all()
    assert np.isnan(fcc_general_population_limit_w_m2(outside_hz)).all()
    assert np.isnan(fcc_general_population_limit_w_m2(101e9))
    assert fcc_general_population_limit_w_m2(100e9) == 10.0
    assert icnirp_general_public_limit_w_m2([101e9, 300e9]).tolist() == [10.0, 10.0]


def test_near_field_edges_follow_the_wavelength() -> None:
    """At 300 MHz the wavelength is a metre: 0.16 m, and 4.5 m for an antenna of 1.5 m."""
    frequency_hz = 299_792_458.0

    assert reactive_near_field_edge_m(frequency_hz) == pytest.approx(1 / (2 * np.pi))
    assert far_field_distance_m(1.5, frequency_hz=frequency_hz) == pytest.approx(4.5)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: power_density_w_m2(1.0, 0.0), "distance_m must be above 0"),
        (lambda: power_density_w_m2(-1.0, 1.0), "eirp_w must be 0 or more"),
        (
            lambda: caution_distance_m(1.0, 1.0, reflection_factor=0.0),
            "reflection_factor must be above 0",
        ),
        (lambda: caution_distance_m(1.0, 0.0), "limit_w_m2 must be above 0"),
        (lambda: icnirp_general_public_limit_w_m2(0.0), "frequency_hz must be above 0"),
        (
            lambda: far_field_distance_m(0.0, frequency_hz=868e6),
            "largest_dimension_m must be above 0",
        ),
    ],
)
def test_numbers_out_of_range_are_refused(call: object, message: str) -> None:
    """A caution distance must not come from a slip of the keyboard."""
    assert callable(call)
    with pytest.raises(DomainError, match=message):
        call()


def test_transmitting_part_of_the_time_shortens_the_distance_by_the_root() -> None:
    """A quarter of the power on average, half the distance; all the time is the default."""
    always_m = float(caution_distance_m(1.0, 4.5))

    assert caution_distance_m(1.0, 4.5, duty_cycle_ratio=[1.0, 0.25]) == pytest.approx(
        [always_m, always_m / 2]
    )
    assert time_averaged_power_w(4.0, [1.0, 0.01]).tolist() == [4.0, 0.04]


@pytest.mark.parametrize("share", [0.0, 1.01, -0.1])
def test_impossible_duty_cycle_is_refused(share: float) -> None:
    """A share given in per cent would shrink the distance to nothing, or stretch it."""
    with pytest.raises(DomainError, match="duty_cycle_ratio must be"):
        caution_distance_m(1.0, 4.5, duty_cycle_ratio=share)


def test_people_at_work_are_allowed_five_times_as_much() -> None:
    """Everywhere in both tables, and nothing outside of them."""
    frequency_hz = [100e6, 868e6, 1e9, 2.4e9, 1e6]

    for public, occupational in (
        (icnirp_general_public_limit_w_m2, icnirp_occupational_limit_w_m2),
        (fcc_general_population_limit_w_m2, fcc_occupational_limit_w_m2),
    ):
        ratio = occupational(frequency_hz) / public(frequency_hz)
        assert ratio[:4] == pytest.approx([5.0] * 4)
        assert np.isnan(ratio[4])


def test_near_field_ends_with_its_edge() -> None:
    """The edge belongs to it; an unknown distance does not."""
    edge_m = float(reactive_near_field_edge_m(868e6))

    within = is_within_near_field([0.0, edge_m, edge_m * 1.001, np.nan], 868e6)

    assert within.tolist() == [True, True, False, False]
