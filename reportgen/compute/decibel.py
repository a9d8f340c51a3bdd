"""Levels and ratios: dBm and watts, decibels and power ratios, means in a named domain."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, positive

DIPOLE_GAIN_DBI = 2.15
"""Gain of a lossless half-wave dipole, the reference of e.r.p. and dBd, as usually rounded: the
integral of its pattern gives 2.151 dBi. [dBi]"""


def ratio_from_db(level_db: ArrayLike) -> NDArray[np.float64]:
    """Power ratio of a level in decibels: 10^(L/10).

    Parameters
    ----------
    level_db : array_like
        [dB]

    Returns
    -------
    ndarray, same shape

    References
    ----------
    .. [1] IEC 60027-3 (2002), definition of the level of a power quantity (from memory).
    """
    return floats(10.0 ** (floats(level_db) / 10.0))


def db_from_ratio(ratio: ArrayLike) -> NDArray[np.float64]:
    """Level in decibels of a power ratio: 10 log10 r. [dB]

    Raises
    ------
    DomainError
        If any ratio is zero or less.
    """
    return floats(10.0 * np.log10(positive("ratio", ratio)))


def watts_from_dbm(power_dbm: ArrayLike) -> NDArray[np.float64]:
    """Power in watts of a level relative to one milliwatt: 10^((P-30)/10). [W]"""
    return ratio_from_db(floats(power_dbm) - 30.0)


def dbm_from_watts(power_w: ArrayLike) -> NDArray[np.float64]:
    """Level relative to one milliwatt. [dBm]

    Raises
    ------
    DomainError
        If any power is zero or less: no level stands for nothing.
    """
    return floats(10.0 * np.log10(positive("power_w", power_w)) + 30.0)


def mean_power_dbm(power_dbm: ArrayLike) -> np.float64:
    """Level of the mean power: averages milliwatts, not decibels.

    Strong values rule it: the mean of -90 and -100 dBm is -92.6 dBm. For a typical level take
    the median, which is the same in both domains.

    Parameters
    ----------
    power_dbm : array_like
        NaN (not measured) is left out. [dBm]

    Returns
    -------
    float64
        NaN where nothing is left. [dBm]
    """
    levels = floats(power_dbm)
    measured = levels[~np.isnan(levels)]
    if measured.size == 0:
        return np.float64(np.nan)
    return np.float64(dbm_from_watts(np.mean(watts_from_dbm(measured))))


def eirp_from_erp_dbm(erp_dbm: ArrayLike) -> NDArray[np.float64]:
    """Radiated power relative to an isotropic antenna, from that relative to a dipole. [dBm]

    Adds `DIPOLE_GAIN_DBI`. Definitions: Radio Regulations, Nos. 1.161 (e.i.r.p.) and 1.162
    (e.r.p.), numbers from memory.
    """
    return floats(floats(erp_dbm) + DIPOLE_GAIN_DBI)


def erp_from_eirp_dbm(eirp_dbm: ArrayLike) -> NDArray[np.float64]:
    """Radiated power relative to a half-wave dipole, from that relative to isotropic. [dBm]"""
    return floats(floats(eirp_dbm) - DIPOLE_GAIN_DBI)


def dbi_from_dbd(gain_dbd: ArrayLike) -> NDArray[np.float64]:
    """Gain over an isotropic antenna, from the gain over a half-wave dipole. [dBi]"""
    return eirp_from_erp_dbm(gain_dbd)


def dbd_from_dbi(gain_dbi: ArrayLike) -> NDArray[np.float64]:
    """Gain over a half-wave dipole, from the gain over an isotropic antenna. [dBd]"""
    return erp_from_eirp_dbm(gain_dbi)
