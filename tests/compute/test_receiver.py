"""Noise, sensitivity and what a reported level means: physics and properties."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reportgen.compute.receiver import (
    demodulation_snr_limit_db,
    sensitivity_dbm,
    signal_power_dbm,
    thermal_noise_dbm,
)
from reportgen.errors import DomainError


def test_twice_the_bandwidth_is_three_decibels_more_noise() -> None:
    """And a noise figure adds to it one to one."""
    noise_dbm = thermal_noise_dbm([125e3, 250e3], 6.0)

    assert noise_dbm[1] - noise_dbm[0] == pytest.approx(3.0103, abs=0.00005)
    assert noise_dbm - thermal_noise_dbm([125e3, 250e3]) == pytest.approx(6.0)


def test_unknown_spreading_factor_has_no_limit() -> None:
    """Blank, foreign and half numbers alike."""
    limits_db = demodulation_snr_limit_db([7.0, np.nan, 4.0, 13.0, 7.5])

    assert limits_db[0] == -7.5
    assert np.isnan(limits_db[1:]).all()
    assert demodulation_snr_limit_db(7) == -7.5


def test_sensitivity_of_an_unknown_limit_is_unknown() -> None:
    """An unknown is not the best case."""
    assert np.isnan(sensitivity_dbm(125e3, 6.0, np.nan))


@given(st.floats(-150.0, 0.0), st.floats(-25.0, 30.0))
def test_signal_and_noise_add_up_to_what_was_reported(rssi_dbm: float, snr_db: float) -> None:
    """Signal power plus noise power (signal less SNR) is the RSSI again."""
    signal_dbm = float(signal_power_dbm(rssi_dbm, snr_db))
    noise_dbm = signal_dbm - snr_db

    total_dbm = 10 * np.log10(10 ** (signal_dbm / 10) + 10 ** (noise_dbm / 10))

    assert total_dbm == pytest.approx(rssi_dbm, abs=1e-9)
    assert signal_dbm <= rssi_dbm


@pytest.mark.parametrize(
    ("bandwidth_hz", "noise_figure_db", "message"),
    [
        (0.0, 6.0, "bandwidth_hz must be above 0"),
        (125e3, -1.0, "noise_figure_db must be 0 or more"),
    ],
)
def test_impossible_receivers_are_refused(
    bandwidth_hz: float, noise_figure_db: float, message: str
) -> None:
    """No receiver is quieter than its own temperature."""
    with pytest.raises(DomainError, match=message):
        thermal_noise_dbm(bandwidth_hz, noise_figure_db)
