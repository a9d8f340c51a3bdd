"""How far a level measured in passing may be from the local mean it is taken for.

Reflections make the level rise and fall within half a wavelength; a planner wants the mean
over some tens of wavelengths, which takes many samples. A node that sends now and then gives one.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, positive, within
from reportgen.compute.transmission_loss import wavelength_m

AVERAGING_WAVELENGTHS = 40.0
"""Length of a local mean: 20 to 40 wavelengths (W. C. Y. Lee and D. J. Y. Lee, "Integrated
Wireless Propagation Models", p. 222), of which this is the upper end."""

NEEDED_SAMPLES = 36
"""Samples in that length, lower figure: W. C. Y. Lee, "Estimate of local average power of a mobile
radio signal", IEEE Trans. Veh. Technol. 34 (1985) 22-27 (from memory; 50 elsewhere)."""

RAYLEIGH_STANDARD_DEVIATION_DB = float(10.0 / np.log(10.0) * np.pi / np.sqrt(6.0))
"""Standard deviation of single levels under Rayleigh fading, 5.57 dB: the logarithm of an
exponentially distributed power has the variance pi^2/6 of a Gumbel distribution. [dB]"""

RAYLEIGH_VARIATION_RATIO = float(np.sqrt(4.0 / np.pi - 1.0))
"""Standard deviation of a Rayleigh amplitude over its mean: 0.5227."""

UPPER_90_QUANTILE = 1.645
"""Quantile 0.95 of the standard normal distribution: two-sided 90 %."""


def averaging_length_m(
    frequency_hz: ArrayLike, wavelengths: ArrayLike = AVERAGING_WAVELENGTHS
) -> NDArray[np.float64]:
    """Length of a walk over which levels belong to one local mean.

    Parameters
    ----------
    frequency_hz : array_like
        [Hz], > 0
    wavelengths : array_like
        > 0

    Returns
    -------
    ndarray, broadcast shape
        [m]

    Raises
    ------
    DomainError
        If a number is not positive.
    """
    return floats(positive("wavelengths", wavelengths) * wavelength_m(frequency_hz))


def spacing_m(pace_mps: ArrayLike, interval_s: ArrayLike) -> NDArray[np.float64]:
    """Distance walked from one frame to the next: pace times interval.

    Parameters
    ----------
    pace_mps : array_like
        [m/s], >= 0
    interval_s : array_like
        [s], > 0

    Returns
    -------
    ndarray, broadcast shape
        [m]

    Raises
    ------
    DomainError
        If a number lies outside its range.
    """
    return floats(within("pace_mps", pace_mps, 0.0) * positive("interval_s", interval_s))


def samples_within(averaging_length_m: ArrayLike, spacing_m: ArrayLike) -> NDArray[np.float64]:
    """Frames that fall on average into one averaging length.

    Parameters
    ----------
    averaging_length_m : array_like
        As `averaging_length_m` gives it. [m], >= 0
    spacing_m : array_like
        As `spacing_m` gives it. [m], >= 0

    Returns
    -------
    ndarray, broadcast shape
        Below 1 where not even every length gets one; NaN for a spacing of 0: whoever stands still
        takes the same sample again.

    Raises
    ------
    DomainError
        If a number is negative.
    """
    length_m = within("averaging_length_m", averaging_length_m, 0.0)
    step_m = within("spacing_m", spacing_m, 0.0)
    return floats(length_m / np.where(step_m > 0.0, step_m, np.nan))


def local_mean_error_db(samples: ArrayLike) -> NDArray[np.float64]:
    """How far the mean of some samples lies above the local mean at most, nine times out of ten.

    Parameters
    ----------
    samples : array_like
        Independent ones in one averaging length; less than one counts as one. > 0

    Returns
    -------
    ndarray, same shape
        Upper end of the two-sided 90 % interval. The lower one is farther away. [dB]

    Raises
    ------
    DomainError
        If a number is not positive.

    Notes
    -----
    20 log10(1 + 1.645 v / sqrt(N)) with `RAYLEIGH_VARIATION_RATIO` for v; 36 samples give
    1.2 dB, 50 give 1.0 dB. The normal approximation is rough below some ten samples, and samples
    closer than about half a wavelength are not independent.

    References
    ----------
    .. [1] W. C. Y. Lee (1985), as for `NEEDED_SAMPLES`.
    """
    count = np.maximum(positive("samples", samples), 1.0)
    return floats(
        20.0 * np.log10(1.0 + UPPER_90_QUANTILE * RAYLEIGH_VARIATION_RATIO / np.sqrt(count))
    )


def rayleigh_level_exceeded_db(exceeded_ratio: ArrayLike) -> NDArray[np.float64]:
    """Level that a share of all samples exceeds under Rayleigh fading, relative to mean power.

    Parameters
    ----------
    exceeded_ratio : array_like
        Above 0, below 1.

    Returns
    -------
    ndarray, same shape
        10 log10(-ln p): -1.6 dB at one half, -9.8 dB at 0.9. [dB]

    Raises
    ------
    DomainError
        If a share lies outside 0 to 1.

    Notes
    -----
    The power behind a Rayleigh amplitude is exponentially distributed.
    """
    share = within("exceeded_ratio", exceeded_ratio, 0.0, 1.0)
    with np.errstate(divide="ignore"):
        return floats(10.0 * np.log10(-np.log(share)))
