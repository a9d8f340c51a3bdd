"""Noise, SNR limits and sensitivity against data sheets and exact constants."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from reportgen.compute.receiver import (
    demodulation_snr_limit_db,
    sensitivity_dbm,
    signal_power_dbm,
    thermal_noise_dbm,
)
from tests.published.reference_rows import ReferenceRow, disagreements, reference_rows

ROUNDED_DENSITY_DB = 0.025
"""How far the usual -174 dBm/Hz, on which the rows stand, lies below the exact -173.975."""


def test_snr_limits_of_the_data_sheet() -> None:
    """SX1276/77/78/79 data sheet, Table 13: SF6 to SF12, -5 to -20 dB in steps of 2.5 dB.

    SF5, -2.5 dB, continues the steps; SX1261/2 data sheet, from memory.
    """
    limits_db = demodulation_snr_limit_db([5, 6, 7, 8, 9, 10, 11, 12])

    assert limits_db.tolist() == [-2.5, -5.0, -7.5, -10.0, -12.5, -15.0, -17.5, -20.0]


def test_noise_density_at_the_reference_temperature() -> None:
    """SI 2019: k = 1.380649e-23 J/K exactly; at 290 K -173.975, in textbooks -174 dBm/Hz."""
    assert thermal_noise_dbm(1.0) == pytest.approx(-174.0, abs=0.5)
    assert thermal_noise_dbm(1.0) == pytest.approx(-173.975, abs=0.0005)


def test_data_sheet_promises_up_to_a_decibel_and_a_half_less() -> None:
    """SX1276 data sheet Rev. 7, RFS_L125_HF: -123, -126, -129, -132, -133, -136 dBm, SF7 to SF12.

    Printed in whole decibels, hence half of one; derived figures assume a noise figure of 6 dB.
    """
    sheet_dbm = np.array([-123.0, -126.0, -129.0, -132.0, -133.0, -136.0])

    derived_dbm = sensitivity_dbm(125e3, 6.0, demodulation_snr_limit_db([7, 8, 9, 10, 11, 12]))

    assert sheet_dbm - derived_dbm == pytest.approx(0.75, abs=0.75 + 0.5)


@pytest.mark.shared
def test_all_reference_snr_limits(shared_folder: Path) -> None:
    """Rows SNR; SNR-6 has status MEMORY there (it is in the data sheet's Table 13)."""

    def computed(row: ReferenceRow) -> object:
        return demodulation_snr_limit_db(row.number("SF"))

    assert disagreements(shared_folder, r"SNR-.*", computed, rows=7) == []


@pytest.mark.shared
def test_all_reference_noise_floors_and_sensitivities(shared_folder: Path) -> None:
    """Rows KTB-1, NF and SEN, the latter two less the rounding of -174."""

    def density(row: ReferenceRow) -> object:
        assert row.number("T_K") == 290.0
        return thermal_noise_dbm(1.0)

    def noise(row: ReferenceRow) -> object:
        return thermal_noise_dbm(row.number("BW_kHz") * 1e3) - ROUNDED_DENSITY_DB

    def sensitivity(row: ReferenceRow) -> object:
        limit_db = demodulation_snr_limit_db(row.number("SF"))
        exact_dbm = sensitivity_dbm(row.number("BW_kHz") * 1e3, row.number("NF_dB"), limit_db)
        return exact_dbm - ROUNDED_DENSITY_DB

    assert disagreements(shared_folder, r"KTB-1", density, rows=1) == []
    assert disagreements(shared_folder, r"NF-.*", noise, rows=4) == []
    assert disagreements(shared_folder, r"SEN-\d+-\d+", sensitivity, rows=9) == []


@pytest.mark.shared
def test_all_reference_signal_powers(shared_folder: Path) -> None:
    """Rows SP: what to add to RSSI; SP-E1 a worked level."""

    def computed(row: ReferenceRow) -> object:
        return signal_power_dbm(float(row.inputs.get("RSSI_dBm", "0")), row.number("SNR_dB"))

    assert disagreements(shared_folder, r"SP-.*", computed, rows=8) == []


@pytest.mark.shared
@pytest.mark.parametrize(
    ("pattern", "count", "noise_figure_db", "within_db"),
    [(r"DSS-\d+-\d+", 18, 7.0, 1.6), (r"GWS-\d+", 6, 3.5, 1.6)],
    ids=["node", "gateway"],
)
def test_data_sheets_are_met_by_one_noise_figure(
    pattern: str, count: int, noise_figure_db: float, within_db: float, shared_folder: Path
) -> None:
    """Rows DSS (SX1276 Rev. 7, high-frequency port) and GWS (SX1302, Table 3-6, one source).

    Sensitivity is noise plus SNR limit: one noise figure must explain a whole data sheet over 9 dB
    of bandwidth and 15 dB of SNR limit. Printed in whole and half decibels.
    """
    rows = reference_rows(shared_folder, pattern)
    factor = np.array([row.number("SF") for row in rows])
    bandwidth_hz = np.array([row.number("BW_kHz") for row in rows]) * 1e3
    sheet_dbm = np.array([float(row.expected) for row in rows])

    limit_db = demodulation_snr_limit_db(factor)
    derived_dbm = sensitivity_dbm(bandwidth_hz, noise_figure_db, limit_db)

    assert len(rows) == count
    assert np.abs(derived_dbm - sheet_dbm).max() < within_db
