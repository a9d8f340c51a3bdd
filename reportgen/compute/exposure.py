"""How strong the field near an antenna may be, and how far away it falls to a reference level.

Plain far-field arithmetic for a caution sign: worst case on the axis of the beam, transmitting
all the time. It proves nothing about a station; local rules and licensed people decide.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, positive, within
from reportgen.compute.transmission_loss import wavelength_m

GROUND_REFLECTION_FACTOR = 2.56
"""Power density over that of free space where the ground raises the field 1.6 times (1.6^2): FCC
OET Bulletin 65 (Ed. 97-01), section 2, seen second-hand. Full reflection in phase would be 4."""


def power_density_w_m2(
    eirp_w: ArrayLike, distance_m: ArrayLike, *, reflection_factor: float = 1.0
) -> NDArray[np.float64]:
    """Power density in the far field on the axis of the beam.

    Parameters
    ----------
    eirp_w : array_like
        [W], >= 0
    distance_m : array_like
        From the antenna. [m], > 0
    reflection_factor : float
        1 in free space, `GROUND_REFLECTION_FACTOR` over ground. > 0

    Returns
    -------
    ndarray, broadcast shape
        [W/m^2]

    Raises
    ------
    DomainError
        If a number lies outside its range.

    Notes
    -----
    S = F EIRP / (4 pi R^2). Says nothing closer than `reactive_near_field_edge_m`.

    References
    ----------
    .. [1] FCC OET Bulletin 65 (Ed. 97-01), section 2 (seen second-hand).
    """
    sphere_m2 = 4.0 * np.pi * positive("distance_m", distance_m) ** 2
    factor = positive("reflection_factor", reflection_factor)
    return floats(factor * within("eirp_w", eirp_w, 0.0) / sphere_m2)


def caution_distance_m(
    eirp_w: ArrayLike,
    limit_w_m2: ArrayLike,
    *,
    reflection_factor: float = GROUND_REFLECTION_FACTOR,
) -> NDArray[np.float64]:
    """Distance at which the power density has fallen to a limit.

    Parameters
    ----------
    eirp_w : array_like
        [W], >= 0
    limit_w_m2 : array_like
        [W/m^2], > 0
    reflection_factor : float
        As in `power_density_w_m2`. > 0

    Returns
    -------
    ndarray, broadcast shape
        NaN where a number is NaN. [m]

    Raises
    ------
    DomainError
        If a number lies outside its range.

    Notes
    -----
    R = sqrt(F EIRP / (4 pi S)), `power_density_w_m2` solved for the distance. A result below
    `reactive_near_field_edge_m` is not valid: that edge is the least distance to state.
    """
    limit = positive("limit_w_m2", limit_w_m2)
    factor = positive("reflection_factor", reflection_factor)
    return floats(np.sqrt(factor * within("eirp_w", eirp_w, 0.0) / (4.0 * np.pi * limit)))


def icnirp_general_public_limit_w_m2(frequency_hz: ArrayLike) -> NDArray[np.float64]:
    """Give the reference level of power density for the general public, whole body.

    Parameters
    ----------
    frequency_hz : array_like
        [Hz], > 0

    Returns
    -------
    ndarray, same shape
        2 from 30 to 400 MHz, f/200 (f in MHz) to 2 GHz, 10 to 300 GHz, averaged over 30 min; NaN
        outside. [W/m^2]

    Raises
    ------
    DomainError
        If a frequency is not positive.

    References
    ----------
    .. [1] ICNIRP, "Guidelines for limiting exposure to electromagnetic fields (100 kHz to
       300 GHz)", Health Physics 118 (2020) 483-524, Table 5: f/200 seen second-hand, the two
       constant levels and the averaging time from memory.
    """
    frequency_mhz = positive("frequency_hz", frequency_hz) / 1e6
    levels = np.clip(frequency_mhz / 200.0, 2.0, 10.0)
    return _within_range(frequency_mhz, levels, 30.0, 300e3)


def fcc_general_population_limit_w_m2(frequency_hz: ArrayLike) -> NDArray[np.float64]:
    """Give the limit of power density for the general population, uncontrolled exposure.

    Parameters
    ----------
    frequency_hz : array_like
        [Hz], > 0

    Returns
    -------
    ndarray, same shape
        2 from 30 to 300 MHz, f/150 (f in MHz) to 1.5 GHz, 10 to 100 GHz, averaged over 30 min; NaN
        outside. The rule is written in mW/cm^2: 0.2, f/1500 and 1. [W/m^2]

    Raises
    ------
    DomainError
        If a frequency is not positive.

    References
    ----------
    .. [1] 47 CFR 1.1310(e)(1), Table 1, limits for general population/uncontrolled exposure
       (seen second-hand).
    """
    frequency_mhz = positive("frequency_hz", frequency_hz) / 1e6
    levels = np.clip(frequency_mhz / 150.0, 2.0, 10.0)
    return _within_range(frequency_mhz, levels, 30.0, 100e3)


def far_field_distance_m(
    largest_dimension_m: ArrayLike, *, frequency_hz: ArrayLike
) -> NDArray[np.float64]:
    """Distance from which an antenna's far field is taken to begin: 2 D^2 / lambda.

    Parameters
    ----------
    largest_dimension_m : array_like
        Of the antenna. [m], > 0
    frequency_hz : array_like
        [Hz], > 0

    Returns
    -------
    ndarray, broadcast shape
        Of an antenna large against the wavelength; for a small one
        `reactive_near_field_edge_m` is the larger, and holds. [m]

    Raises
    ------
    DomainError
        If a number is not positive.

    References
    ----------
    .. [1] T. S. Rappaport, "Wireless Communications", 2nd ed., section 4.2.
    """
    dimension_m = positive("largest_dimension_m", largest_dimension_m)
    return floats(2.0 * dimension_m**2 / wavelength_m(frequency_hz))


def reactive_near_field_edge_m(frequency_hz: ArrayLike) -> NDArray[np.float64]:
    """Distance below which the far-field formula says nothing: lambda / (2 pi). [m]

    Raises
    ------
    DomainError
        If a frequency is not positive.

    References
    ----------
    .. [1] 47 CFR 1.1307(b)(3)(i)(C): least distance of its table (seen second-hand).
    """
    return floats(wavelength_m(frequency_hz) / (2.0 * np.pi))


def _within_range(
    frequency_mhz: NDArray[np.float64], levels: NDArray[np.float64], low_mhz: float, high_mhz: float
) -> NDArray[np.float64]:
    is_covered = (frequency_mhz >= low_mhz) & (frequency_mhz <= high_mhz)
    return floats(np.where(is_covered, levels, np.nan))
