"""Power densities, reference levels and caution distances against rules and worked examples."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.compute.exposure import (
    GROUND_REFLECTION_FACTOR,
    caution_distance_m,
    far_field_distance_m,
    fcc_general_population_limit_w_m2,
    fcc_occupational_limit_w_m2,
    icnirp_general_public_limit_w_m2,
    icnirp_occupational_limit_w_m2,
    power_density_w_m2,
    reactive_near_field_edge_m,
    time_averaged_power_w,
)
from reportgen.compute.time_on_air import duty_cycle_ratio
from tests.published.reference_rows import ReferenceRow, disagreements

FOOT_M = 0.3048
W_M2_PER_MW_CM2 = 10.0


def test_course_example_of_a_base_station() -> None:
    """Course text on base-station exposure: 60 dBm at 10 m is 0.80 W/m^2; 9 W/m^2 at 2.97 m."""
    assert power_density_w_m2(1_000.0, 10.0) == pytest.approx(0.80, abs=0.005)
    assert caution_distance_m(1_000.0, 9.0, reflection_factor=1.0) == pytest.approx(2.97, abs=0.005)


def test_table_line_of_an_amateur_array() -> None:
    """OET Bulletin 65, Supplement B: 1500 W into 24 dBi at 144 MHz, 287 ft and 642 ft.

    To 1 and 0.2 mW/cm^2 with the ground factor; seen as scanned text only, whose second figure is
    cut rather than rounded, hence one whole foot.
    """
    eirp_w = 1_500.0 * 10**2.4
    away_m = caution_distance_m(eirp_w, [10.0, 2.0], reflection_factor=GROUND_REFLECTION_FACTOR)

    assert away_m / FOOT_M == pytest.approx([287.0, 642.0], abs=1.0)


def test_ground_factor_is_a_field_raised_one_point_six_times() -> None:
    """OET Bulletin 65 (Ed. 97-01), section 2: field x 1.6, power density x 2.56."""
    assert pytest.approx(1.6**2, abs=1e-12) == GROUND_REFLECTION_FACTOR


def test_levels_of_the_two_rules_at_their_corners() -> None:
    """ICNIRP 2020 Table 5: 2, f/200, 10 W/m^2; 47 CFR 1.1310 Table 1: 0.2, f/1500, 1 mW/cm^2.

    The constant ICNIRP levels are from memory; f/200 and the rule of 47 CFR were seen quoted.
    """
    corners_hz = [30e6, 100e6, 400e6, 915e6, 2e9, 30e9]
    assert icnirp_general_public_limit_w_m2(corners_hz) == pytest.approx(
        [2.0, 2.0, 2.0, 4.575, 10.0, 10.0]
    )
    corners_hz = [30e6, 146e6, 300e6, 915e6, 1.5e9, 2.4e9]
    assert fcc_general_population_limit_w_m2(corners_hz) == pytest.approx(
        [2.0, 2.0, 2.0, 6.1, 10.0, 10.0]
    )


def test_levels_for_people_at_work_at_their_corners() -> None:
    """47 CFR 1.1310 Table 1: 1, f/300, 5 mW/cm^2; ICNIRP 2020 Table 5: 10, f/40, 50 W/m^2.

    f/300 was seen quoted; the rest is from memory ("five times the public level").
    """
    assert fcc_occupational_limit_w_m2([30e6, 300e6, 915e6, 1.5e9, 2.4e9]) == pytest.approx(
        [10.0, 10.0, 30.5, 50.0, 50.0]
    )
    assert icnirp_occupational_limit_w_m2([30e6, 400e6, 915e6, 2e9, 30e9]) == pytest.approx(
        [10.0, 10.0, 22.875, 50.0, 50.0]
    )


def test_far_field_of_a_metre_at_900_megahertz() -> None:
    """Rappaport, Wireless Communications, 2nd ed., section 4.2 example: 6 m."""
    assert far_field_distance_m(1.0, frequency_hz=900e6) == pytest.approx(6.0, abs=0.5)


@pytest.mark.shared
def test_all_reference_densities(shared_folder: Path) -> None:
    """Rows RFX-S and RFX-W1 (density), RFX-W3 (distance)."""

    def density(row: ReferenceRow) -> object:
        return power_density_w_m2(
            row.number("EIRP_W"), row.number("R_m"), reflection_factor=row.number("factor")
        )

    def distance(row: ReferenceRow) -> object:
        return caution_distance_m(
            row.number("EIRP_W"), row.number("S_W_m2"), reflection_factor=row.number("factor")
        )

    assert disagreements(shared_folder, r"RFX-(S\d|W1)", density, rows=7) == []
    assert disagreements(shared_folder, r"RFX-W3", distance, rows=1) == []


@pytest.mark.shared
def test_all_reference_caution_distances(shared_folder: Path) -> None:
    """Rows CD at 915 MHz, in centimetres; those for occupation rest on levels of status MEMORY."""

    def computed(row: ReferenceRow) -> object:
        away_m = caution_distance_m(
            row.number("EIRP_W"), row.number("S_W_m2"), reflection_factor=row.number("factor")
        )
        return away_m * 1e2

    assert disagreements(shared_folder, r"CD-.*", computed, rows=36) == []


@pytest.mark.shared
def test_all_reference_levels(shared_folder: Path) -> None:
    """Rows MPE (in mW/cm^2) and ICN, public and at work; ICN-OC has status MEMORY."""

    def fcc(row: ReferenceRow) -> object:
        is_at_work = row.key.startswith("MPE-OC")
        limit = fcc_occupational_limit_w_m2 if is_at_work else fcc_general_population_limit_w_m2
        return limit(row.number("f_MHz") * 1e6) / W_M2_PER_MW_CM2

    def icnirp(row: ReferenceRow) -> object:
        is_at_work = row.key.startswith("ICN-OC")
        limit = icnirp_occupational_limit_w_m2 if is_at_work else icnirp_general_public_limit_w_m2
        return limit(row.number("f_MHz") * 1e6)

    assert disagreements(shared_folder, r"MPE-((GP|OC)-.*|30|1500)", fcc, rows=8) == []
    assert disagreements(shared_folder, r"ICN-(GP|OC)-.*", icnirp, rows=6) == []


@pytest.mark.shared
def test_reference_edges_of_the_fields(shared_folder: Path) -> None:
    """Rows EXM-L (reactive near field, in cm) and FF-1 (far field)."""

    def near(row: ReferenceRow) -> object:
        return reactive_near_field_edge_m(row.number("f_MHz") * 1e6) * 1e2

    def far(row: ReferenceRow) -> object:
        return far_field_distance_m(row.number("D_m"), frequency_hz=row.number("f_MHz") * 1e6)

    assert disagreements(shared_folder, r"EXM-L", near, rows=1) == []
    assert disagreements(shared_folder, r"FF-1", far, rows=1) == []


@pytest.mark.shared
def test_reference_power_over_time(shared_folder: Path) -> None:
    """Row DUTY-1: 4 W for 2.79 s of every minute."""

    def computed(row: ReferenceRow) -> object:
        share = duty_cycle_ratio(row.number("toa_s"), row.number("period_s"))
        return time_averaged_power_w(row.number("EIRP_W"), share)

    assert disagreements(shared_folder, r"DUTY-1", computed, rows=1) == []
