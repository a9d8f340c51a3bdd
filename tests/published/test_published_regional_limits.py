"""Regional limits against the rules they stand for."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from reportgen.compute.decibel import dbm_from_watts, eirp_from_erp_dbm, watts_from_dbm
from reportgen.compute.radiated_power import allowed_conducted_power_dbm
from reportgen.model.regional_limits import PowerLimit, band_of, limits_for
from tests.published.reference_rows import ReferenceRow, disagreements, reference_rows

MIDDLE_OF_US915_HZ = 915e6


def european(frequency_hz: float) -> PowerLimit:
    """Return the one sub-band of EN 300 220-2 around a frequency."""
    (limit,) = (found for found in limits_for("EU868", frequency_hz) if found.duty_cycle_ratio)
    return limit


@pytest.mark.parametrize(
    ("frequency_hz", "erp_mw", "duty_cycle"),
    [
        (864.0e6, 25, 0.001),
        (866.0e6, 25, 0.01),
        (868.3e6, 25, 0.01),
        (869.0e6, 25, 0.001),
        (869.525e6, 500, 0.1),
        (869.85e6, 25, 0.01),
    ],
)
def test_european_sub_bands(frequency_hz: float, erp_mw: float, duty_cycle: float) -> None:
    """ETSI EN 300 220-2 V3.2.1 (2018-06), annex B: e.r.p. and duty cycle, seen second-hand.

    The last, 869.7 to 870 MHz, is from memory. The table here is in e.i.r.p., to 0.01 dB.
    """
    limit = european(frequency_hz)

    assert limit.eirp_dbm == pytest.approx(
        float(eirp_from_erp_dbm(dbm_from_watts(erp_mw / 1e3))), abs=0.005
    )
    assert limit.duty_cycle_ratio == duty_cycle
    assert limit.is_from_memory == (frequency_hz > 869.7e6)


def test_american_powers() -> None:
    """47 CFR 15.247(b)(2), (b)(3): 1 W, and 0.25 W for hopping over 25 to 49 channels; (b)(4)."""
    limits = limits_for("US915", MIDDLE_OF_US915_HZ)
    powers_dbm = sorted(float(limit.conducted_dbm or 0.0) for limit in limits)

    assert watts_from_dbm(powers_dbm) == pytest.approx([0.25, 1.0, 1.0], abs=0.0005)
    assert {limit.antenna_gain_dbi_allowed for limit in limits} == {6.0}
    assert {limit.dwell_s for limit in limits} == {None, 0.4}


@pytest.mark.shared
def test_all_reference_limits(shared_folder: Path) -> None:
    """Rows LIM: 15.247 powers, gain and dwell; EN 300 220-2 sub-bands (E6 status MEMORY)."""
    digital, *hopping = sorted(
        limits_for("US915", MIDDLE_OF_US915_HZ),
        key=lambda limit: (limit.dwell_s is not None, -float(limit.conducted_dbm or 0.0)),
    )
    many, few = hopping
    ceiling_dbm = float(digital.conducted_dbm or 0.0) + float(digital.antenna_gain_dbi_allowed or 0)
    american = {
        "LIM-1": watts_from_dbm(float(digital.conducted_dbm or 0.0)),
        "LIM-2": digital.antenna_gain_dbi_allowed,
        "LIM-3": watts_from_dbm(ceiling_dbm),
        "LIM-4": allowed_conducted_power_dbm(
            float(digital.conducted_dbm or 0.0),
            antenna_gain_dbi=9.0,
            gain_allowed_dbi=float(digital.antenna_gain_dbi_allowed or 0.0),
        ),
        "LIM-6": watts_from_dbm(float(many.conducted_dbm or 0.0)),
        "LIM-7": round(float(watts_from_dbm(float(few.conducted_dbm or 0.0))), 3),
        "LIM-8": many.dwell_s,
        "LIM-9": few.dwell_s,
    }

    def european_row(row: ReferenceRow) -> object:
        low_mhz, high_mhz = (float(edge) for edge in re.findall(r"[\d.]+", SUB_BANDS[row.key[:6]]))
        # Two sub-bands overlap between 868.0 and 868.6 MHz only at their edge.
        limit = european((low_mhz + high_mhz) / 2.0 * 1e6)
        assert (limit.low_hz, limit.high_hz) == (low_mhz * 1e6, high_mhz * 1e6)
        if row.key.endswith("d"):
            return float(limit.duty_cycle_ratio or 0.0) * 100.0
        erp_w = watts_from_dbm(float(limit.eirp_dbm or 0.0) - 2.15)
        return round(float(erp_w) * 1e3, 0)

    assert (
        disagreements(shared_folder, r"LIM-[1-46-9]", lambda row: american[row.key], rows=8) == []
    )
    assert disagreements(shared_folder, r"LIM-E[1-6][pd]", european_row, rows=12) == []


SUB_BANDS = {
    "LIM-E1": "863-865",
    "LIM-E2": "865-868",
    "LIM-E3": "868.0-868.6",
    "LIM-E4": "868.7-869.2",
    "LIM-E5": "869.4-869.65",
    "LIM-E6": "869.7-870.0",
}
"""Edges of the rows, which name them in words. [MHz]"""


@pytest.mark.shared
def test_all_reference_default_powers(shared_folder: Path) -> None:
    """Rows EIRP: RP002 defaults; AU915 and AS923 have status MEMORY, EU433 is no plan here."""

    def computed(row: ReferenceRow) -> object:
        plan = row.inputs["region"]
        middle_hz = sum(band_of(plan)) / 2.0
        limits = limits_for(plan, middle_hz)
        return min(
            value
            for limit in limits
            for value in (limit.eirp_dbm, limit.conducted_dbm)
            if value is not None and (plan != "US915" or limit.dwell_s is None)
        )

    assert disagreements(shared_folder, r"EIRP-(EU868|AU915|AS923|US915)", computed, rows=4) == []


@pytest.mark.shared
def test_reference_channels_lie_in_their_bands(shared_folder: Path) -> None:
    """Rows CH: default uplink channels, and the ends of the American and Australian rasters."""
    raster_mhz = {
        "US915": (902.3, 902.3 + 63 * 0.2, 903.0 + 7 * 1.6),
        "AU915": (915.2, 927.8, 927.1),
    }
    rows = reference_rows(shared_folder, r"CH-(EU868|AS923|US915|AU915)")

    assert len(rows) == 4
    for row in rows:
        plan = row.inputs["region"]
        channels = raster_mhz.get(plan) or tuple(float(part) for part in row.expected.split("; "))
        low_hz, high_hz = band_of(plan)
        assert all(low_hz < mhz * 1e6 < high_hz and limits_for(plan, mhz * 1e6) for mhz in channels)
