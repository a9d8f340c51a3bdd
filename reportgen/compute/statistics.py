"""Summaries of levels, and of frames heard among frames sent."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import isotonic_regression

from reportgen.compute.domain import floats, same_length, within
from reportgen.errors import DomainError

NORMAL_QUANTILE_95 = 1.959964
"""Quantile 0.975 of the standard normal distribution: two-sided 95 %."""

LEAST_FRAMES = 20
"""With fewer frames no half distance is given: single misses would decide it (our choice)."""

HalfDistanceReason = Literal["", "never below half", "below half from start", "too few"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelSummary:
    """Count and spread of levels; every number but `count` is NaN where nothing was measured."""

    count: int
    median: float
    lower_quartile: float
    upper_quartile: float
    best: float
    worst: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HalfDistance:
    """The distance at which half the frames are heard, or why there is none.

    Attributes
    ----------
    distance_m : float
        NaN where `reason` is not blank. [m]
    reason : str
        "never below half" (as far as was walked), "below half from start", "too few" frames.
    count : int
        Frames used: those with a distance.
    """

    distance_m: float
    reason: HalfDistanceReason
    count: int


def level_summary(values: ArrayLike) -> LevelSummary:
    """Return count, median, quartiles, best (largest) and worst (smallest) of levels.

    Parameters
    ----------
    values : array_like
        NaN (not measured) is left out. [dBm or dB]

    Returns
    -------
    LevelSummary

    Notes
    -----
    Quartiles by linear interpolation between order statistics, type 7 of R. J. Hyndman and
    Y. Fan, "Sample quantiles in statistical packages", The American Statistician 50 (1996)
    361-365. Levels never heard are in no such summary: it describes what got through.
    """
    levels = floats(values)
    measured = levels[~np.isnan(levels)]
    if measured.size == 0:
        measured, count = np.array([np.nan]), 0
    else:
        count = measured.size
    worst, lower, median, upper, best = np.quantile(
        measured, [0.0, 0.25, 0.5, 0.75, 1.0], method="linear"
    ).tolist()
    return LevelSummary(
        count=count,
        median=median,
        lower_quartile=lower,
        upper_quartile=upper,
        best=best,
        worst=worst,
    )


def wilson_interval(
    heard: ArrayLike, sent: ArrayLike, z: float = NORMAL_QUANTILE_95
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Interval for the share of frames that are heard: Wilson's score, without correction.

    Parameters
    ----------
    heard, sent : array_like
        Counts, 0 <= heard <= sent.
    z : float
        Quantile of the standard normal distribution. > 0

    Returns
    -------
    lower, upper : ndarray, broadcast shape
        NaN where nothing was sent.

    Raises
    ------
    DomainError
        If a count is negative, or more were heard than sent.

    Notes
    -----
    ((p + z^2/2n) -/+ z sqrt(p(1-p)/n + z^2/4n^2)) / (1 + z^2/n). Takes frames as independent;
    along a walk neighbours share their shadows, so the truth is wider.

    References
    ----------
    .. [1] R. G. Newcombe, "Two-sided confidence intervals for the single proportion", Statistics
       in Medicine 17 (1998) 857-872, method 3.
    """
    count, trials = within("heard", heard, 0.0), within("sent", sent, 0.0)
    if np.any(count > trials):
        raise DomainError("heard must not exceed sent")
    known = np.where(trials > 0.0, trials, np.nan)
    share, extra = count / known, z**2 / known
    centre = share + extra / 2.0
    spread = z * np.sqrt(share * (1.0 - share) / known + (extra / (2.0 * z)) ** 2)
    # Where none or all were heard a limit is exactly 0 or 1; rounding must not step over it.
    lower = np.where(count == 0.0, 0.0 * known, (centre - spread) / (1.0 + extra))
    upper = np.where(count == trials, known / known, (centre + spread) / (1.0 + extra))
    return floats(lower), floats(upper)


def half_distance_m(distance_m: ArrayLike, is_heard: ArrayLike) -> HalfDistance:
    """Return the distance beyond which fewer than half of the frames are heard.

    Parameters
    ----------
    distance_m : array_like, shape (n,)
        Of each frame from the station; frames without one are left out. [m], >= 0
    is_heard : array_like of bool, shape (n,)

    Returns
    -------
    HalfDistance

    Raises
    ------
    DomainError
        If a distance is negative, or the arrays differ in length.

    Notes
    -----
    The share heard is fitted as a function of distance that never rises (least squares; frames at
    one distance count together). Between the last distance where the fit is at least one half and
    the first where it is less, the fit is taken as a straight line; where that crosses one half
    is the answer. It is no nearer to the truth than the walk was even: a stretch walked only
    behind a hill says more about the hill. The order of the rows doesn't matter, and distances in
    another unit give the answer in that unit.

    References
    ----------
    .. [1] R. E. Barlow, D. J. Bartholomew, J. M. Bremner, H. D. Brunk, "Statistical Inference
       under Order Restrictions", Wiley (1972): pool-adjacent-violators (from memory); solved by
       scipy.
    """
    away_m = within("distance_m", distance_m, 0.0)
    heard = np.asarray(is_heard, dtype=np.bool_)
    same_length(distance_m=away_m, is_heard=heard)
    is_placed = ~np.isnan(away_m)
    away_m, heard = away_m[is_placed], heard[is_placed]
    count = int(away_m.size)
    if count < LEAST_FRAMES:
        return HalfDistance(distance_m=np.nan, reason="too few", count=count)
    places_m, share = _share_heard(away_m, heard)
    if share[0] < 0.5:
        return HalfDistance(distance_m=np.nan, reason="below half from start", count=count)
    if share[-1] >= 0.5:
        return HalfDistance(distance_m=np.nan, reason="never below half", count=count)
    first_below = int(np.argmax(share < 0.5))
    ends = slice(first_below - 1, first_below + 1)
    # interp wants rising abscissae, and the share falls.
    crossing_m = float(np.interp(0.5, share[ends][::-1], places_m[ends][::-1]))
    return HalfDistance(distance_m=crossing_m, reason="", count=count)


def _share_heard(
    away_m: NDArray[np.float64], heard: NDArray[np.bool_]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the distinct distances, ascending, and the fitted share heard at each."""
    places_m, group, frames = np.unique(away_m, return_inverse=True, return_counts=True)
    heard_there = np.bincount(group, weights=heard)
    fit = isotonic_regression(heard_there / frames, weights=floats(frames), increasing=False)
    # Means of means may miss one half by the last bit, and one half is what decides.
    return places_m, floats(np.round(fit.x, 12))
