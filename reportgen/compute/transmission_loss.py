"""What free space, and the roundness of the earth, do to a radio path."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, positive, within

SPEED_OF_LIGHT_MPS = 299_792_458.0
"""Exact by definition of the metre. [m/s]"""

HORIZON_EARTH_RADIUS_M = 6_371_000.0
"""Mean radius as rounded for radio paths (Rec. ITU-R P.526: 8 500 km is 4/3 of it). [m]"""

STANDARD_EARTH_RADIUS_FACTOR = 4.0 / 3.0
"""Effective earth radius over the true one in the standard atmosphere."""


def wavelength_m(frequency_hz: ArrayLike) -> NDArray[np.float64]:
    """Wavelength in free space: c/f. [m]

    Raises
    ------
    DomainError
        If a frequency is not positive.
    """
    return floats(SPEED_OF_LIGHT_MPS / positive("frequency_hz", frequency_hz))


def free_space_basic_transmission_loss_db(
    distance_m: ArrayLike, *, frequency_hz: ArrayLike
) -> NDArray[np.float64]:
    """Free-space basic transmission loss between isotropic antennas.

    Parameters
    ----------
    distance_m : array_like
        Straight-line path length, antenna to antenna. [m], > 0
    frequency_hz : array_like
        Carrier frequency. [Hz], > 0

    Returns
    -------
    ndarray, broadcast shape
        Positive when power is lost; NaN where a number is NaN. [dB]

    Raises
    ------
    DomainError
        If a distance or frequency is not positive.

    Notes
    -----
    L_bf = 20 log10(4 pi d / lambda). Holds for d much greater than the wavelength; no ground, no
    clutter: the least that a path can lose, not what it does lose.

    References
    ----------
    .. [1] Rec. ITU-R P.341-7 (08/2019), section 1.1: definition.
    .. [2] Rec. ITU-R P.525-5 (11/2024), Annex: formula; its 32.4 dB (MHz, km) is 32.448 rounded.
    """
    wavelengths = positive("distance_m", distance_m) / wavelength_m(frequency_hz)
    return floats(20.0 * np.log10(4.0 * np.pi * wavelengths))


def fresnel_radius_m(
    from_one_end_m: ArrayLike,
    from_other_end_m: ArrayLike,
    *,
    frequency_hz: ArrayLike,
    zone: int = 1,
) -> NDArray[np.float64]:
    """Radius of a Fresnel ellipsoid at a point along the path.

    Parameters
    ----------
    from_one_end_m, from_other_end_m : array_like
        Distances from the point to either antenna. [m], >= 0, not both 0
    frequency_hz : array_like
        [Hz], > 0
    zone : int
        Number of the zone. >= 1

    Returns
    -------
    ndarray, broadcast shape
        0 at the antennas. [m]

    Raises
    ------
    DomainError
        If a number lies outside its range.

    Notes
    -----
    R_n = sqrt(n lambda d1 d2 / (d1 + d2)). Not valid close to the antennas.

    References
    ----------
    .. [1] Rec. ITU-R P.526, Annex 1, section 2 (read in edition 8, whose eq. (3) is the form in
       practical units; its constant 550 is 547.5 rounded and reads 0.45 % high).
    """
    one_m = within("from_one_end_m", from_one_end_m, 0.0)
    other_m = within("from_other_end_m", from_other_end_m, 0.0)
    path_m = positive("path length in m", one_m + other_m)
    number = within("zone", zone, 1.0)
    return floats(np.sqrt(number * wavelength_m(frequency_hz) * one_m * other_m / path_m))


def radio_horizon_m(
    height_m: ArrayLike, *, earth_radius_factor: float = STANDARD_EARTH_RADIUS_FACTOR
) -> NDArray[np.float64]:
    """Distance to the horizon of an antenna over smooth earth.

    Two antennas see each other up to the sum of their horizons, if nothing stands between.

    Parameters
    ----------
    height_m : array_like
        Of the antenna above the ground. [m], >= 0
    earth_radius_factor : float
        4/3 in the standard atmosphere, 1 without refraction. > 0

    Returns
    -------
    ndarray, same shape
        [m]

    Raises
    ------
    DomainError
        If a number lies outside its range.

    Notes
    -----
    d = sqrt(2 k R h): 4.12 km times the root of the height in metres at k = 4/3.

    References
    ----------
    .. [1] Rec. ITU-R P.526, Annex 1, section 1: effective earth radius (read in edition 8).
    """
    factor = positive("earth_radius_factor", earth_radius_factor)
    height = within("height_m", height_m, 0.0)
    return floats(np.sqrt(2.0 * factor * HORIZON_EARTH_RADIUS_M * height))
