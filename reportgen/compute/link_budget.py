"""Noise, sensitivity, radiated power, and what a mismatched line adds.

Reference points: noise and sensitivity are at the receiver's connector, transmit power at the
transmitter's, radiated power beyond the antenna.
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
    A data sheet may promise less: at SF11 and SF12 the SX1276's list is up to 1.5 dB worse than
    what this gives with a noise figure of 6 dB.
    """
    return floats(thermal_noise_dbm(bandwidth_hz, noise_figure_db) + floats(snr_limit_db))


def eirp_dbm(
    transmit_power_dbm: ArrayLike,
    *,
    feeder_loss_db: ArrayLike,
    antenna_gain_dbi: ArrayLike,
    mismatch_loss_db: ArrayLike = 0.0,
) -> NDArray[np.float64]:
    """Equivalent isotropically radiated power in the antenna's best direction.

    Parameters
    ----------
    transmit_power_dbm : array_like
        At the transmitter's connector. [dBm]
    feeder_loss_db : array_like
        Matched loss of line and connectors. [dB], >= 0
    antenna_gain_dbi : array_like
        [dBi]
    mismatch_loss_db : array_like
        At the antenna's terminals. [dB], >= 0

    Returns
    -------
    ndarray, broadcast shape
        [dBm]

    Raises
    ------
    DomainError
        If a loss is negative.

    References
    ----------
    .. [1] Radio Regulations, No. 1.161 (number from memory): power supplied to the antenna times
       its gain over an isotropic antenna.
    """
    losses_db = within("feeder_loss_db", feeder_loss_db, 0.0) + within(
        "mismatch_loss_db", mismatch_loss_db, 0.0
    )
    return floats(floats(transmit_power_dbm) - losses_db + floats(antenna_gain_dbi))


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


def reflection_coefficient(vswr: ArrayLike) -> NDArray[np.float64]:
    """Magnitude of the reflection coefficient: (s - 1)/(s + 1).

    Parameters
    ----------
    vswr : array_like
        Voltage standing-wave ratio, infinite for an open or shorted line. >= 1

    Returns
    -------
    ndarray, same shape
        From 0 (all goes through) to 1 (all comes back).

    Raises
    ------
    DomainError
        If a ratio is below 1: no passive load does that.
    """
    return floats(1.0 - 2.0 / (within("vswr", vswr, 1.0) + 1.0))


def return_loss_db(vswr: ArrayLike) -> NDArray[np.float64]:
    """How far below the forward wave the reflected one lies: -20 log10 of its coefficient.

    Returns
    -------
    ndarray, same shape
        Infinite for a perfect match. [dB]

    Raises
    ------
    DomainError
        If a ratio is below 1.
    """
    with np.errstate(divide="ignore"):
        return floats(-20.0 * np.log10(reflection_coefficient(vswr)) + 0.0)


def vswr_from_return_loss(return_loss_db: ArrayLike) -> NDArray[np.float64]:
    """Voltage standing-wave ratio of a return loss: the way back from `return_loss_db`.

    Returns
    -------
    ndarray, same shape
        Infinite at 0 dB.

    Raises
    ------
    DomainError
        If a return loss is negative.
    """
    magnitude = ratio_from_db(-within("return_loss_db", return_loss_db, 0.0) / 2.0)
    with np.errstate(divide="ignore"):
        return floats((1.0 + magnitude) / (1.0 - magnitude))


def mismatch_loss_db(vswr: ArrayLike) -> NDArray[np.float64]:
    """Share of the power that doesn't enter the load: -10 log10(1 - g^2).

    Returns
    -------
    ndarray, same shape
        Infinite where everything comes back. [dB]

    Raises
    ------
    DomainError
        If a ratio is below 1.
    """
    with np.errstate(divide="ignore"):
        return floats(-10.0 * np.log10(1.0 - reflection_coefficient(vswr) ** 2) + 0.0)


def vswr_at_antenna(
    vswr_at_radio: ArrayLike, matched_line_loss_db: ArrayLike
) -> NDArray[np.float64]:
    """Standing-wave ratio at the far end of a line, from that read at the near end.

    A lossy line flatters the antenna: the reflected wave has crossed it twice.

    Parameters
    ----------
    vswr_at_radio : array_like
        >= 1
    matched_line_loss_db : array_like
        One way, of the matched line. [dB], >= 0

    Returns
    -------
    ndarray, broadcast shape
        NaN where the two contradict each other: even a line left open would have read better.

    Raises
    ------
    DomainError
        If a ratio is below 1 or a loss negative.

    Notes
    -----
    Return loss at the antenna = return loss at the radio - 2 x one-way loss (rule and worked
    answer: UK amateur Full licence syllabus, item 4e). Magnitudes only; the line has the meter's
    impedance.
    """
    two_way_db = 2.0 * within("matched_line_loss_db", matched_line_loss_db, 0.0)
    at_antenna_db = return_loss_db(vswr_at_radio) - two_way_db
    return vswr_from_return_loss(np.where(at_antenna_db < 0.0, np.nan, at_antenna_db))


def mismatched_line_loss_db(
    matched_line_loss_db: ArrayLike, vswr_at_load: ArrayLike
) -> NDArray[np.float64]:
    """Total loss inside a line whose load is not matched to it.

    Parameters
    ----------
    matched_line_loss_db : array_like
        One way, of the matched line. [dB], >= 0
    vswr_at_load : array_like
        At the antenna's end. >= 1

    Returns
    -------
    ndarray, broadcast shape
        At least the matched loss; infinite where everything comes back. [dB]

    Raises
    ------
    DomainError
        If a ratio is below 1 or a loss negative.

    Notes
    -----
    10 log10((a^2 - g^2) / (a (1 - g^2))), a = 10^(L/10), g the reflection coefficient at the load.
    What the line turns into heat when the transmitter is matched to its input; it takes the place
    of matched loss plus mismatch loss and is not added to them.

    References
    ----------
    .. [1] ARRL Antenna Book, chapter on transmission lines: formula from memory.
    """
    loss_ratio = ratio_from_db(within("matched_line_loss_db", matched_line_loss_db, 0.0))
    returned = reflection_coefficient(vswr_at_load) ** 2
    with np.errstate(divide="ignore", invalid="ignore"):
        total = (loss_ratio**2 - returned) / (loss_ratio * (1.0 - returned))
    # A line without loss turns nothing into heat, even if everything comes back (0/0 above).
    is_idle = (loss_ratio == 1.0) & (returned == 1.0)
    return db_from_ratio(np.where(is_idle, 1.0, total))
