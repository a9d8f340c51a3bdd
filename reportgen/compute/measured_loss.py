"""Loss of the path itself, out of a received level, and whether it can be true."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, within
from reportgen.compute.exposure import is_within_near_field
from reportgen.compute.transmission_loss import free_space_basic_transmission_loss_db

RSSI_ERROR_DB = 3.0
"""How far a radio's own level report may be out (common practice; calibrate to do better). [dB]"""

REFLECTION_GAIN_DB = 6.0
"""Most that one reflection adds: full, and in phase, it doubles the field. [dB]"""


def basic_transmission_loss_db(
    received_dbm: ArrayLike,
    *,
    eirp_dbm: ArrayLike,
    receive_gain_dbi: ArrayLike,
    receive_loss_db: ArrayLike,
) -> NDArray[np.float64]:
    """Loss between isotropic antennas in place of the real ones.

    Parameters
    ----------
    received_dbm : array_like
        Power of the signal at the receiver's connector. [dBm]
    eirp_dbm : array_like
        Of the transmitter, towards the receiver. [dBm]
    receive_gain_dbi : array_like
        Of the receiver's antenna, towards the transmitter. [dBi]
    receive_loss_db : array_like
        Line, connectors and mismatch between that antenna and the receiver. [dB], >= 0

    Returns
    -------
    ndarray, broadcast shape
        Positive when power is lost; NaN where a number is NaN. [dB]

    Raises
    ------
    DomainError
        If the receiver's loss is negative.

    Notes
    -----
    Gains are those of the antennas in their best direction unless the caller knows better; what
    a beam misses is then counted as the path's.

    References
    ----------
    .. [1] Rec. ITU-R P.341-7 (08/2019), section 1: basic transmission loss (from memory).
    """
    lost_db = within("receive_loss_db", receive_loss_db, 0.0)
    return floats(floats(eirp_dbm) + floats(receive_gain_dbi) - lost_db - floats(received_dbm))


def excess_loss_db(
    loss_db: ArrayLike, distance_m: ArrayLike, frequency_hz: ArrayLike
) -> NDArray[np.float64]:
    """Loss of a path beyond free space: terrain, trees, buildings, bodies.

    Parameters
    ----------
    loss_db : array_like
        Basic transmission loss. [dB]
    distance_m : array_like
        [m], >= 0
    frequency_hz : array_like
        [Hz], > 0

    Returns
    -------
    ndarray, broadcast shape
        Negative where the level is stronger than over free space; NaN within the reactive near
        field, where no such loss is defined. [dB]

    Raises
    ------
    DomainError
        If a number lies outside its range.
    """
    return floats(floats(loss_db) - _free_space_db(distance_m, frequency_hz))


def least_plausible_loss_db(
    distance_m: ArrayLike,
    *,
    frequency_hz: ArrayLike,
    rssi_error_db: ArrayLike = RSSI_ERROR_DB,
    reflection_db: ArrayLike = REFLECTION_GAIN_DB,
    position_error_m: ArrayLike = 0.0,
) -> NDArray[np.float64]:
    """Loss below which a level is too strong to be true for its distance.

    Parameters
    ----------
    distance_m : array_like
        [m], >= 0
    frequency_hz : array_like
        [Hz], > 0
    rssi_error_db : array_like
        [dB], >= 0
    reflection_db : array_like
        [dB], >= 0
    position_error_m : array_like
        By which the two ends may be closer than they seem. [m], >= 0

    Returns
    -------
    ndarray, broadcast shape
        NaN where nothing can be said: an unknown number, or ends that may lie within each other's
        reactive near field. [dB]

    Raises
    ------
    DomainError
        If a number lies outside its range.

    Notes
    -----
    Free space over the shortest distance that the position error allows, less what a reflection
    adds and less the error of the level.
    """
    away_m = within("distance_m", distance_m, 0.0)
    shortest_m = np.maximum(away_m - within("position_error_m", position_error_m, 0.0), 0.0)
    allowance_db = within("reflection_db", reflection_db, 0.0) + within(
        "rssi_error_db", rssi_error_db, 0.0
    )
    return floats(_free_space_db(shortest_m, frequency_hz) - allowance_db)


def is_too_strong(loss_db: ArrayLike, least_plausible_db: ArrayLike) -> NDArray[np.bool_]:
    """Tell whether a path lost less than it can: levels, powers or places are wrong somewhere.

    Parameters
    ----------
    loss_db : array_like
        As `basic_transmission_loss_db` gives it. [dB]
    least_plausible_db : array_like
        As `least_plausible_loss_db` gives it. [dB]

    Returns
    -------
    ndarray of bool, broadcast shape
        False where either is NaN: nothing can be said.
    """
    return np.asarray(floats(loss_db) < floats(least_plausible_db), dtype=np.bool_)


def _free_space_db(distance_m: ArrayLike, frequency_hz: ArrayLike) -> NDArray[np.float64]:
    """Return free-space loss, NaN where the distance is within the reactive near field."""
    is_near = is_within_near_field(distance_m, frequency_hz)
    far_m = np.where(is_near, np.nan, floats(distance_m))
    return free_space_basic_transmission_loss_db(far_m, frequency_hz=frequency_hz)
