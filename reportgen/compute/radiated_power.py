"""Power that leaves an antenna, by either reference: isotropic radiator or half-wave dipole."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.decibel import DIPOLE_GAIN_DBI, erp_from_eirp_dbm
from reportgen.compute.domain import floats, within

__all__ = ["DIPOLE_GAIN_DBI", "allowed_conducted_power_dbm", "eirp_dbm", "erp_dbm"]


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


def erp_dbm(eirp_dbm: ArrayLike) -> NDArray[np.float64]:
    """Effective radiated power: what a half-wave dipole would need in place of the isotrope.

    Parameters
    ----------
    eirp_dbm : array_like
        As `eirp_dbm` gives it. [dBm]

    Returns
    -------
    ndarray, same shape
        Less by `DIPOLE_GAIN_DBI`. [dBm]
    """
    return erp_from_eirp_dbm(eirp_dbm)


def allowed_conducted_power_dbm(
    limit_dbm: ArrayLike, *, antenna_gain_dbi: ArrayLike, gain_allowed_dbi: ArrayLike
) -> NDArray[np.float64]:
    """Power allowed at the antenna's terminals where a rule takes off what the gain exceeds.

    Parameters
    ----------
    limit_dbm : array_like
        Conducted limit with an antenna up to the gain allowed. [dBm]
    antenna_gain_dbi : array_like
        Of the antenna used. [dBi]
    gain_allowed_dbi : array_like
        Beyond it, one decibel less for each decibel more. [dBi]

    Returns
    -------
    ndarray, broadcast shape
        [dBm]

    References
    ----------
    .. [1] 47 CFR 15.247(b)(4): 6 dBi (seen second-hand).
    """
    excess_db = floats(antenna_gain_dbi) - floats(gain_allowed_dbi)
    return floats(floats(limit_dbm) - np.maximum(excess_db, 0.0))
