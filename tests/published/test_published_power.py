"""Levels, radiated power and a worked link against published figures."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.compute.decibel import (
    DIPOLE_GAIN_DBI,
    dbd_from_dbi,
    dbi_from_dbd,
    dbm_from_watts,
    eirp_from_erp_dbm,
    mean_power_dbm,
    watts_from_dbm,
)
from reportgen.compute.radiated_power import allowed_conducted_power_dbm, eirp_dbm, erp_dbm
from reportgen.compute.transmission_loss import free_space_basic_transmission_loss_db
from tests.published.reference_rows import ReferenceRow, disagreements


def test_half_a_watt_erp_is_820_milliwatts_eirp() -> None:
    """500 mW e.r.p. seen printed as "about 820 mW" e.i.r.p. (European short-range rules)."""
    eirp = eirp_from_erp_dbm(dbm_from_watts(0.5))

    assert watts_from_dbm(eirp) == pytest.approx(0.820, abs=0.0005)


def test_effective_radiated_power_is_less_by_a_dipole() -> None:
    """The same pair the other way: 820 mW e.i.r.p. is half a watt e.r.p."""
    assert watts_from_dbm(erp_dbm(dbm_from_watts(0.820))) == pytest.approx(0.5, abs=0.0005)


def test_gain_beyond_six_decibels_comes_off_the_power() -> None:
    """47 CFR 15.247(b)(3) and (b)(4): 1 W up to 6 dBi, 36 dBm e.i.r.p.; 27 dBm at 9 dBi."""
    allowed_dbm = allowed_conducted_power_dbm(
        30.0, antenna_gain_dbi=[0.0, 6.0, 9.0], gain_allowed_dbi=6.0
    )

    assert allowed_dbm.tolist() == [30.0, 30.0, 27.0]
    assert watts_from_dbm(allowed_dbm[1] + 6.0) == pytest.approx(3.981, abs=0.0005)


def test_dipole_gain_is_the_integral_of_its_pattern_rounded() -> None:
    """Half-wave dipole, numerical integral of the pattern: 2.151 dBi, printed as 2.15."""
    assert pytest.approx(2.151, abs=0.0015) == DIPOLE_GAIN_DBI


def test_fifty_watts_at_900_megahertz_and_100_metres() -> None:
    """Rappaport, Wireless Communications, 2nd ed., section 4.2 example: -24.5 dBm.

    Unity gains; the answer at 10 km is -64.5 dBm.
    """
    for away_m, answer_dbm in ((100.0, -24.5), (10_000.0, -64.5)):
        lost_db = free_space_basic_transmission_loss_db(away_m, frequency_hz=900e6)

        assert dbm_from_watts(50.0) - lost_db == pytest.approx(answer_dbm, abs=0.05)


@pytest.mark.shared
def test_all_reference_powers(shared_folder: Path) -> None:
    """Rows PW: dBm to watts."""

    def computed(row: ReferenceRow) -> object:
        return watts_from_dbm(row.number("P_dBm"))

    assert disagreements(shared_folder, r"PW-.*", computed, rows=13) == []


@pytest.mark.shared
def test_all_reference_radiated_powers(shared_folder: Path) -> None:
    """Rows ERP (dBm and, ending in w, mW), DBD and the mean in the power domain DBM-1."""

    def erp(row: ReferenceRow) -> object:
        level_dbm = eirp_from_erp_dbm(dbm_from_watts(row.number("ERP_mW") / 1e3))
        return watts_from_dbm(level_dbm) * 1e3 if row.key.endswith("w") else level_dbm

    def gain(row: ReferenceRow) -> object:
        if "gain_dBd" in row.inputs:
            return dbi_from_dbd(row.number("gain_dBd"))
        return dbd_from_dbi(row.number("gain_dBi"))

    def mean(row: ReferenceRow) -> object:
        return mean_power_dbm([float(x) for x in row.inputs["x_dBm"].strip("[]").split(",")])

    assert disagreements(shared_folder, r"ERP-.*", erp, rows=6) == []
    assert disagreements(shared_folder, r"DBD-.*", gain, rows=2) == []
    assert disagreements(shared_folder, r"DBM-1", mean, rows=1) == []


@pytest.mark.shared
def test_reference_link(shared_folder: Path) -> None:
    """Row LB-1: radio less line less connectors plus antenna; LB-2: received over free space."""

    def radiated(row: ReferenceRow) -> object:
        return eirp_dbm(
            row.number("Ptx_dBm"),
            feeder_loss_db=row.number("line_dB") + row.number("connectors_dB"),
            antenna_gain_dbi=row.number("ant_dBi"),
        )

    def received(row: ReferenceRow) -> object:
        lost_db = free_space_basic_transmission_loss_db(
            row.number("d_km") * 1e3, frequency_hz=row.number("f_MHz") * 1e6
        )
        return row.number("EIRP_dBm") - lost_db + row.number("Grx_dBi")

    assert disagreements(shared_folder, r"LB-1", radiated, rows=1) == []
    assert disagreements(shared_folder, r"LB-2", received, rows=1) == []
