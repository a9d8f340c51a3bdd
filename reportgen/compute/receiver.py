"""What a receiver adds of its own, how weak a signal it still reads, and what its levels mean.

Noise, sensitivity and signal power are at the receiver's connector.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.decibel import db_from_ratio, dbm_from_watts, ratio_from_db
from reportgen.compute.domain import floats, positive, within

BOLTZMANN_J_PER_K = 1.380_649e-23
"""Exact by definition of the kelvin (SI 2019). [J/K]"""

REFERENCE_TEMPERATURE_K = 290.0
"""T0, to which noise figures refer. [K]"""

SNR_LIMIT_DB = {
    5: -2.5,
    6: -5.0,
    7: -7.5,
    8: -10.0,
    9: -12.5,
    10: -15.0,
    11: -17.5,
    12: -20.0,
}
"""Least SNR at which a LoRa demodulator still works, by spreading factor. SF6 to SF12: SX1276
data sheet, Table 13. SF5: SX1261/2 data sheet, from memory. [dB]"""


def thermal_noise_dbm(
    bandwidth_hz: ArrayLike, noise_figure_db: ArrayLike = 0.0
) -> NDArray[np.float64]:
    """Noise power of a receiver, referred to its connector.

    Parameters
    ----------
    bandwidth_hz : array_like
        [Hz], > 0
    noise_figure_db : array_like
        0 for an ideal receiver. [dB], >= 0

    Returns
    -------
    ndarray, broadcast shape
        [dBm]

    Raises
    ------
    DomainError
        If a number lies outside its range.

    Notes
    -----
    10 log10(k T0 B / 1 mW) + F, with exact k and T0 = 290 K: -173.975 dBm/Hz, of which the usual
    -174 is the rounding. Noise from outside (engines, switched supplies) comes on top.
    """
    noise_w = BOLTZMANN_J_PER_K * REFERENCE_TEMPERATURE_K * positive("bandwidth_hz", bandwidth_hz)
    return floats(dbm_from_watts(noise_w) + within("noise_figure_db", noise_figure_db, 0.0))


def demodulation_snr_limit_db(spreading_factor: ArrayLike) -> NDArray[np.float64]:
    """Least SNR at which LoRa of that spreading factor is still demodulated.

    Parameters
    ----------
    spreading_factor : array_like
        NaN where unknown.

    Returns
    -------
    ndarray, same shape
        `SNR_LIMIT_DB`, NaN where the spreading factor is unknown or not in it. [dB]
    """
    factors = floats(spreading_factor)
    limits_db = np.full(factors.shape, np.nan)
    for factor, limit_db in SNR_LIMIT_DB.items():
        limits_db[factors == factor] = limit_db
    return limits_db


def sensitivity_dbm(
    bandwidth_hz: ArrayLike, noise_figure_db: ArrayLike, snr_limit_db: ArrayLike
) -> NDArray[np.float64]:
    """Least power at the receiver's connector that is still demodulated: noise plus SNR limit.

    Parameters
    ----------
    bandwidth_hz, noise_figure_db : array_like
        As in `thermal_noise_dbm`.
    snr_limit_db : array_like
        As `demodulation_snr_limit_db` gives it. [dB]

    Returns
    -------
    ndarray, broadcast shape
        [dBm]

    Raises
    ------
    DomainError
        As `thermal_noise_dbm`.

    Notes
    -----
    A data sheet may promise less: the SX1276's list is up to 1.5 dB worse at 125 kHz, and 2.5 dB at
    500 kHz, than what this gives with a noise figure of 6 dB.
    """
    return floats(thermal_noise_dbm(bandwidth_hz, noise_figure_db) + floats(snr_limit_db))


def signal_power_dbm(rssi_dbm: ArrayLike, snr_db: ArrayLike) -> NDArray[np.float64]:
    """Power of the signal alone, where RSSI counts signal and noise together.

    Parameters
    ----------
    rssi_dbm : array_like
        As the receiver reported it. [dBm]
    snr_db : array_like
        As the receiver reported it. [dB]

    Returns
    -------
    ndarray, broadcast shape
        NaN where either is NaN. [dBm]

    Notes
    -----
    S = RSSI - 10 log10(1 + 10^(-SNR/10)). Assumes that RSSI is the whole power in the channel
    during the frame and that SNR belongs to the same bandwidth; a receiver that reports a packet
    strength already corrected would be corrected twice. The makers' shortcut RSSI + SNR is
    0.41 dB higher at -10 dB and 3 dB higher at 0 dB.
    """
    return floats(floats(rssi_dbm) - db_from_ratio(1.0 + ratio_from_db(-floats(snr_db))))
