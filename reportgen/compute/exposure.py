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
    duty_cycle_ratio: ArrayLike = 1.0,
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
    duty_cycle_ratio : array_like
        As in `time_averaged_power_w`; 1 is transmitting all the time, the careful default.

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
    mean_w = time_averaged_power_w(within("eirp_w", eirp_w, 0.0), duty_cycle_ratio)
    return floats(np.sqrt(factor * mean_w / (4.0 * np.pi * limit)))


def time_averaged_power_w(power_w: ArrayLike, duty_cycle_ratio: ArrayLike) -> NDArray[np.float64]:
    """Mean power of a transmitter that is on for part of the time.

    Parameters
    ----------
    power_w : array_like
        While it is on. [W], >= 0
    duty_cycle_ratio : array_like
        Share of the limit's averaging time (6 or 30 min) in which it is on, at the worst. Above
        0, up to 1

    Returns
    -------
    ndarray, broadcast shape
        [W]

    Raises
    ------
    DomainError
        If a number lies outside its range.

    Notes
    -----
    Only a duty cycle that the equipment cannot leave may be counted (47 CFR 2.1093(d)(5),
    "source-based"; from memory).
    """
    share = positive("duty_cycle_ratio", within("duty_cycle_ratio", duty_cycle_ratio, 0.0, 1.0))
    return floats(within("power_w", power_w, 0.0) * share)


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


def icnirp_occupational_limit_w_m2(frequency_hz: ArrayLike) -> NDArray[np.float64]:
    """Give the reference level of power density for people trained and at work, whole body.

    Parameters
    ----------
    frequency_hz : array_like
        [Hz], > 0

    Returns
    -------
    ndarray, same shape
        10 from 30 to 400 MHz, f/40 (f in MHz) to 2 GHz, 50 to 300 GHz, averaged over 30 min; NaN
        outside. [W/m^2]

    Raises
    ------
    DomainError
        If a frequency is not positive.

    References
    ----------
    .. [1] ICNIRP (2020), as for the general public, Table 5: from memory, five times the public
       level.
    """
    return floats(5.0 * icnirp_general_public_limit_w_m2(frequency_hz))


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


def fcc_occupational_limit_w_m2(frequency_hz: ArrayLike) -> NDArray[np.float64]:
    """Give the limit of power density for people trained and at work, controlled exposure.

    Parameters
    ----------
    frequency_hz : array_like
        [Hz], > 0

    Returns
    -------
    ndarray, same shape
        10 from 30 to 300 MHz, f/30 (f in MHz) to 1.5 GHz, 50 to 100 GHz, averaged over 6 min; NaN
        outside. The rule is written in mW/cm^2: 1, f/300 and 5. [W/m^2]

    Raises
    ------
    DomainError
        If a frequency is not positive.

    References
    ----------
    .. [1] 47 CFR 1.1310(e)(1), Table 1, limits for occupational/controlled exposure: f/300 and
       the 6 min seen second-hand, the two constant limits from memory.
    """
    return floats(5.0 * fcc_general_population_limit_w_m2(frequency_hz))


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


def is_within_near_field(distance_m: ArrayLike, frequency_hz: ArrayLike) -> NDArray[np.bool_]:
    """Tell whether a distance is one at which the far-field formulas say nothing.

    Parameters
    ----------
    distance_m : array_like
        From the antenna. [m], >= 0
    frequency_hz : array_like
        [Hz], > 0

    Returns
    -------
    ndarray of bool, broadcast shape
        True up to `reactive_near_field_edge_m`, the edge included; False where a number is NaN.

    Raises
    ------
    DomainError
        If a number lies outside its range.
    """
    edge_m = reactive_near_field_edge_m(frequency_hz)
    return np.asarray(within("distance_m", distance_m, 0.0) <= edge_m, dtype=np.bool_)


def _within_range(
    frequency_mhz: NDArray[np.float64], levels: NDArray[np.float64], low_mhz: float, high_mhz: float
) -> NDArray[np.float64]:
    is_covered = (frequency_mhz >= low_mhz) & (frequency_mhz <= high_mhz)
    return floats(np.where(is_covered, levels, np.nan))
