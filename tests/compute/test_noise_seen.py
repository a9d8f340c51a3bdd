"""The noise behind reported levels."""

from __future__ import annotations

import math

import numpy as np
import pytest

from reportgen.compute.noise_seen import LEAST_ROWS, noise_level_dbm
from reportgen.errors import DomainError


@pytest.mark.parametrize("snr_db", [-0.1, -3.0, -10.0, -20.0])
def test_noise_is_what_is_left_of_the_total(snr_db: float) -> None:
    """Signal and noise added in milliwatts make the total that is reported."""
    noise_mw = 10.0 ** (-118.0 / 10.0)
    total_dbm = 10.0 * math.log10(noise_mw * (1.0 + 10.0 ** (snr_db / 10.0)))

    found = noise_level_dbm([total_dbm] * LEAST_ROWS, [snr_db] * LEAST_ROWS)

    assert found == pytest.approx(-118.0, abs=1e-9)


def test_rows_above_the_noise_and_unknown_ones_do_not_count() -> None:
    """There the level tells of the signal, and strong ratios are clipped by receivers."""
    rssi_dbm = [-117.0] * 5 + [-60.0] * 20 + [np.nan, -50.0, -40.0]
    snr_db = [-20.0] * 5 + [0.0] * 20 + [-5.0, np.nan, -np.inf]

    assert noise_level_dbm(rssi_dbm, snr_db) == pytest.approx(-117.0432, abs=0.0001)


def test_one_odd_row_moves_the_median_little() -> None:
    """A burst of a neighbour's traffic is not the noise of the place."""
    assert noise_level_dbm([-117.0] * 5 + [-80.0], [-20.0] * 6) == pytest.approx(-117.04, abs=0.01)


def test_too_few_rows_give_no_noise() -> None:
    assert math.isnan(noise_level_dbm([-117.0] * 4, [-20.0] * 4))
    assert math.isnan(noise_level_dbm([], []))


def test_columns_of_unequal_length_are_refused() -> None:
    with pytest.raises(DomainError, match=r"found rssi_dbm \(2,\), snr_db \(1,\)"):
        noise_level_dbm([-100.0, -100.0], [-5.0])
