"""Noise, sensitivity, radiated power and mismatch: physics and properties."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reportgen.compute.link_budget import (
    demodulation_snr_limit_db,
    eirp_dbm,
    mismatch_loss_db,
    mismatched_line_loss_db,
    reflection_coefficient,
    return_loss_db,
    sensitivity_dbm,
    signal_power_dbm,
    thermal_noise_dbm,
    vswr_at_antenna,
    vswr_from_return_loss,
)
from reportgen.errors import DomainError

RATIOS = st.floats(1.001, 100.0)
LOSSES = st.floats(0.0, 20.0)


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


def test_radiated_power_takes_losses_away_and_adds_gain() -> None:
    """The sign follows the name."""
    assert eirp_dbm(
        14.0, feeder_loss_db=2.0, antenna_gain_dbi=5.0, mismatch_loss_db=0.5
    ) == pytest.approx(16.5)


@pytest.mark.parametrize("name", ["feeder_loss_db", "mismatch_loss_db"])
def test_negative_loss_is_refused(name: str) -> None:
    """A loss written with a minus sign would turn into a gain."""
    losses = {"feeder_loss_db": 1.0, "mismatch_loss_db": 0.0} | {name: -1.0}

    with pytest.raises(DomainError, match=f"{name} must be 0 or more; found -1"):
        eirp_dbm(14.0, antenna_gain_dbi=2.0, **losses)


@given(st.floats(-150.0, 0.0), st.floats(-25.0, 30.0))
def test_signal_and_noise_add_up_to_what_was_reported(rssi_dbm: float, snr_db: float) -> None:
    """Signal power plus noise power (signal less SNR) is the RSSI again."""
    signal_dbm = float(signal_power_dbm(rssi_dbm, snr_db))
    noise_dbm = signal_dbm - snr_db

    total_dbm = 10 * np.log10(10 ** (signal_dbm / 10) + 10 ** (noise_dbm / 10))

    assert total_dbm == pytest.approx(rssi_dbm, abs=1e-9)
    assert signal_dbm <= rssi_dbm


@given(RATIOS)
def test_ratio_and_return_loss_are_two_words_for_one_thing(vswr: float) -> None:
    """There and back; what is not reflected enters the load."""
    assert vswr_from_return_loss(return_loss_db(vswr)) == pytest.approx(vswr, rel=1e-9)
    entering = 10 ** (-mismatch_loss_db(vswr) / 10)
    assert entering + reflection_coefficient(vswr) ** 2 == pytest.approx(1.0)


def test_perfect_match_and_total_reflection() -> None:
    """The ends of the scale are infinite, not errors."""
    assert return_loss_db([1.0, np.inf]).tolist() == [np.inf, 0.0]
    assert mismatch_loss_db([1.0, np.inf]).tolist() == [0.0, np.inf]
    assert vswr_from_return_loss([0.0, np.inf]).tolist() == [np.inf, 1.0]
    assert reflection_coefficient([1.0, np.inf]).tolist() == [0.0, 1.0]


@given(RATIOS, LOSSES)
def test_antenna_is_never_better_than_the_radio_sees_it(vswr: float, loss_db: float) -> None:
    """A line can flatter, not slander; without loss it does neither."""
    at_antenna = vswr_at_antenna(vswr, loss_db)

    assert np.isnan(at_antenna) or at_antenna >= vswr * (1 - 1e-9)
    assert vswr_at_antenna(vswr, 0.0) == pytest.approx(vswr, rel=1e-9)


def test_line_loss_that_contradicts_the_reading_gives_no_number() -> None:
    """2:1 through 6 dB: an open line would read 1.67:1, so one of the two is wrong."""
    assert np.isnan(vswr_at_antenna(2.0, 6.0))
    assert vswr_at_antenna(np.inf, 0.0) == np.inf
    assert np.isnan(vswr_at_antenna(np.nan, 1.0))


def test_impossible_readings_are_refused() -> None:
    """Below 1, below 0 dB."""
    with pytest.raises(DomainError, match=r"vswr must be 1 or more; found 0\.5"):
        mismatch_loss_db(0.5)
    with pytest.raises(DomainError, match="return_loss_db must be 0 or more"):
        vswr_from_return_loss(-1.0)
    with pytest.raises(DomainError, match="matched_line_loss_db must be 0 or more"):
        vswr_at_antenna(1.5, -1.0)


@given(RATIOS, LOSSES)
def test_mismatch_adds_to_a_lossy_line_and_never_more_than_its_own_loss(
    vswr: float, loss_db: float
) -> None:
    """Between the matched loss and matched plus mismatch loss."""
    total_db = mismatched_line_loss_db(loss_db, vswr)

    assert total_db >= loss_db - 1e-9
    assert total_db <= loss_db + mismatch_loss_db(vswr) + 1e-9


def test_line_without_loss_heats_nothing() -> None:
    """Whatever comes back; a lossy line in front of an open port keeps everything."""
    assert mismatched_line_loss_db([0.0, 0.0, 1.0], [3.0, np.inf, np.inf]).tolist() == [
        0.0,
        0.0,
        np.inf,
    ]
    assert mismatched_line_loss_db(2.0, 1.0) == pytest.approx(2.0)
    assert np.isnan(mismatched_line_loss_db(0.0, np.nan))
