"""Free-space loss, Fresnel zones and horizons against Recommendations of the ITU."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.compute.transmission_loss import (
    free_space_basic_transmission_loss_db,
    fresnel_radius_m,
    radio_horizon_m,
    wavelength_m,
)
from tests.published.reference_rows import ReferenceRow, disagreements


def test_loss_at_one_megahertz_and_one_kilometre() -> None:
    """Rec. ITU-R P.525-5, Annex, practical-units form: constant 32.4 dB, printed to 0.1."""
    loss_db = free_space_basic_transmission_loss_db(1_000.0, frequency_hz=1e6)

    assert loss_db == pytest.approx(32.4, abs=0.05)


def test_loss_at_one_gigahertz() -> None:
    """Documentation example of a published library: 92.44778 dB at 1 km, 98.46838 dB at 2 km."""
    loss_db = free_space_basic_transmission_loss_db([1_000.0, 2_000.0], frequency_hz=1e9)

    assert loss_db == pytest.approx([92.44778, 98.46838], abs=0.000005)


def test_fresnel_radius_has_the_constant_of_the_practical_form() -> None:
    """Rec. ITU-R P.526-8, Annex 1, section 2, eq. (3): constant 550 (MHz, km), 0.45 % high.

    The constant is printed to two digits, hence half of the last: 5.
    """
    radius_m = fresnel_radius_m(1_000.0, 1_000.0, frequency_hz=1e6)

    assert radius_m * 2**0.5 == pytest.approx(550.0, abs=5.0)


def test_horizon_of_one_metre() -> None:
    """Radio horizon, seen in several handbooks: 4.12 km times root of height in m; optical 3.57."""
    assert radio_horizon_m(1.0) == pytest.approx(4_120.0, abs=5.0)
    assert radio_horizon_m(1.0, earth_radius_factor=1.0) == pytest.approx(3_570.0, abs=5.0)


@pytest.mark.shared
def test_all_reference_losses(shared_folder: Path) -> None:
    """Rows FSL for three bands and the published examples FSL-P."""

    def computed(row: ReferenceRow) -> object:
        return free_space_basic_transmission_loss_db(
            row.number("d_km") * 1e3, frequency_hz=row.number("f_MHz") * 1e6
        )

    assert disagreements(shared_folder, r"FSL-(433|868|915|P)-.*", computed, rows=20) == []


@pytest.mark.shared
def test_all_reference_fresnel_radii(shared_folder: Path) -> None:
    """Rows FZ, mid-path and off-centre, and the 60 % clearance FZ-06."""

    def computed(row: ReferenceRow) -> object:
        radius_m = fresnel_radius_m(
            row.number("d1_km") * 1e3,
            row.number("d2_km") * 1e3,
            frequency_hz=row.number("f_MHz") * 1e6,
            zone=int(row.inputs.get("n", "1")),
        )
        return float(row.inputs.get("fraction", "1")) * radius_m

    pattern = r"FZ-(433|868|915|OFF)-.*|FZ-N2|FZ-06"

    assert disagreements(shared_folder, pattern, computed, rows=16) == []


@pytest.mark.shared
def test_all_reference_horizons_and_wavelengths(shared_folder: Path) -> None:
    """Rows HOR (single, and the sum for two antennas) and LAM."""

    def horizon(row: ReferenceRow) -> object:
        return radio_horizon_m(row.number("h_m")) / 1e3

    def mutual(row: ReferenceRow) -> object:
        ends_m = radio_horizon_m([row.number("h1_m"), row.number("h2_m")])
        return ends_m.sum() / 1e3

    def wave(row: ReferenceRow) -> object:
        return wavelength_m(row.number("f_MHz") * 1e6)

    assert disagreements(shared_folder, r"HOR-[\d.]+", horizon, rows=5) == []
    assert disagreements(shared_folder, r"HOR-MUT", mutual, rows=1) == []
    assert disagreements(shared_folder, r"LAM-.*", wave, rows=3) == []
