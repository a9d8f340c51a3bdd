"""How far a camera's clock ran ahead, by where its photos were taken and when a track was there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import fdtri

from reportgen.compute.domain import floats, positive, same_length, within

LEAST_PLACES = 3
"""Photos taken apart that it takes: two can't tell a wrong clock from a wrong place."""
LARGEST_S = 14.5 * 3600.0
"""No wrong zone is farther off than this from the right one on one side; our choice."""
WIDEST_S = 600.0
"""An answer that is not known to this is none."""
LEAST_SHIFT_S = 30.0
"""A position fix can be so old when the photo is taken: a smaller error is no clock's for sure
(common practice)."""
QUARTER_HOUR_S = 900.0
"""Zones of the world differ by whole numbers of this (common knowledge)."""
NARROW_FOR_A_ZONE_S = 300.0
"""A wider interval holds a whole quarter of an hour by chance in a third of all cases."""

_COARSE_S, _FINE_S = 2.0, 0.25
_BURST_S = 60.0
_REACH = 5.0
_BEARING_SHARE = 0.75
_SURE, _VERY_SURE = 0.965, 0.999
"""At 0.95 the interval held the truth in 93.5 % of simulated campaigns, since photos of one walk
share the track's slow error; at this level in 95 %, on other campaigns."""
_TO_ONE_AXIS = 2.45
"""Radius that holds 95 % of a round normal scatter, over its standard deviation along one axis."""

Numbers = NDArray[np.float64]


class NoClock(StrEnum):
    """Why nothing can be said of a camera's clock."""

    TOO_FEW = "too-few"
    NOT_ON_TRACK = "not-on-track"
    AMBIGUOUS = "ambiguous"
    CONTRADICTED = "contradicted"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TimedPath:
    """Where somebody was when, in metres around any origin that the photos share; times ascend."""

    time_s: Numbers
    east_m: Numbers
    north_m: Numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockEstimate:
    """What photos and tracks say of a clock.

    Attributes
    ----------
    ahead_s, low_s, high_s : float
        How far it ran ahead, with a 95 % interval. [s]
    count : int
        Photos that bear it: those that it puts within reach of where they were taken.
    residual_m, stated_residual_m : float
        Median distance of those photos from the track, with this error and with the stated one;
        infinite where the stated one puts half of them at times without a track. [m]
    is_clear : bool
        The photos rule the stated error out, and the two are at least `LEAST_SHIFT_S` apart.
    zone_error_s : float
        A whole number of quarter hours by which a zone may be wrong, 0 where it does not look
        so. [s]
    """

    ahead_s: float
    low_s: float
    high_s: float
    count: int
    residual_m: float
    stated_residual_m: float
    is_clear: bool
    zone_error_s: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Photos:
    """Photos in the order taken. `weight` is 1 over the number of photos of its burst."""

    shown_s: Numbers
    east_m: Numbers
    north_m: Numbers
    weight: Numbers
    burst: NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Fit:
    """The best error of all, and by how much a worse one may be worse."""

    ahead_s: float
    cost_m2: float
    bears: NDArray[np.bool_]
    scatter_m2: float
    sure_m2: float
    very_sure_m2: float


def clock_ahead(
    shown_s: ArrayLike,
    east_m: ArrayLike,
    north_m: ArrayLike,
    paths: Sequence[TimedPath],
    *,
    position_error_m: float,
    longest_gap_s: float,
    stated_s: float = 0.0,
) -> ClockEstimate | NoClock:
    """Return how far a clock ran ahead, or why that can't be said.

    Parameters
    ----------
    shown_s : array_like, shape (n,)
        Times of photos by the camera's clock. [s]
    east_m, north_m : array_like, shape (n,)
        Where they were taken by their own position. [m]
    paths : sequence of TimedPath
        The tracks, by a clock that is right.
    position_error_m : float
        How far a recorded position may be off: radius that holds 95 %. [m], > 0
    longest_gap_s : float
        Across a longer gap of a path nobody knows where it was. [s], >= 0
    stated_s : float
        What the clock is taken to be ahead by otherwise. [s]

    Returns
    -------
    ClockEstimate or NoClock
        `TOO_FEW`: fewer than `LEAST_PLACES` bursts of photos. `NOT_ON_TRACK`: no error puts so many
        on a track. `AMBIGUOUS`: errors more than `WIDEST_S` apart fit about as well.
        `CONTRADICTED`: more than a quarter of the photos that the best error puts into the time of
        a track were taken elsewhere.

    Raises
    ------
    DomainError
        If arrays differ in length, the error is not positive or the gap negative.

    Notes
    -----
    Least squares of the distance between a photo's place and the track's at the corrected time,
    each distance counted up to 5 position errors, so that photos taken off the track pull at
    nothing. Photos within a minute of the one before share one weight: their fixes err alike.
    The scatter is that of the bearing photos, not below the position error; the interval holds
    the errors that an F test of one parameter does not rule out; "ruled out" for good is one at
    99.9 %. The error given is the mean weighted by likelihood: somebody who stood still for a
    minute fits any time of it, and no end of it is better than the middle. Simulated campaigns
    say how often the interval holds the truth (DEVELOPERS.md).

    References
    ----------
    .. [1] D. M. Bates and D. G. Watts, "Nonlinear Regression Analysis and Its Applications",
       Wiley 1988, profile likelihood (chapter 6, from memory).
    """
    photos = _photos(shown_s, east_m, north_m)
    reach_m = _REACH * float(positive("position_error_m", position_error_m))
    gap_s = float(within("longest_gap_s", longest_gap_s, 0.0))
    if photos.shown_s.size == 0 or photos.burst[-1] + 1 < LEAST_PLACES:
        return NoClock.TOO_FEW
    squares = _Squares(photos, tuple(paths), reach_m, gap_s)
    coarse_s = stated_s + np.arange(-LARGEST_S, LARGEST_S + _COARSE_S, _COARSE_S)
    coarse_m2 = squares.cost(coarse_s)
    rough_s = float(coarse_s[np.argmin(coarse_m2)])
    fine_s = rough_s + np.arange(-WIDEST_S, WIDEST_S + _FINE_S, _FINE_S)
    fine_m2 = squares.cost(fine_s)
    fit = _fit(squares, float(fine_s[np.argmin(fine_m2)]), position_error_m)
    if len(np.unique(photos.burst[fit.bears])) < LEAST_PLACES:
        return NoClock.NOT_ON_TRACK
    if _is_contradicted(squares, fit):
        return NoClock.CONTRADICTED
    possible_s = coarse_s[coarse_m2 <= fit.cost_m2 + fit.very_sure_m2]
    if np.any(np.abs(possible_s - fit.ahead_s) > WIDEST_S):
        return NoClock.AMBIGUOUS
    likely_s = fine_s[fine_m2 <= fit.cost_m2 + fit.sure_m2]
    chance = np.exp((fit.cost_m2 - fine_m2) / (2.0 * fit.scatter_m2))
    return _estimate(
        squares,
        replace(fit, ahead_s=float(np.average(fine_s, weights=chance))),
        float(likely_s.min()),
        float(likely_s.max()),
        stated_s,
    )


def _photos(shown_s: ArrayLike, east_m: ArrayLike, north_m: ArrayLike) -> _Photos:
    shown, east, north = floats(shown_s), floats(east_m), floats(north_m)
    same_length(shown_s=shown, east_m=east, north_m=north)
    order = np.argsort(shown, kind="stable")
    order = order[np.isfinite(shown + east + north)[order]]
    shown = shown[order]
    burst = np.cumsum(np.diff(shown, prepend=shown[:1]) > _BURST_S)
    sizes = np.bincount(burst) if burst.size else np.zeros(0)
    return _Photos(
        shown_s=shown,
        east_m=east[order],
        north_m=north[order],
        weight=floats(1.0 / sizes[burst]),
        burst=burst.astype(np.int64),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Squares:
    """Squared distances between photos and tracks for errors of the clock."""

    photos: _Photos
    paths: tuple[TimedPath, ...]
    reach_m: float
    longest_gap_s: float

    def cost(self, ahead_s: Numbers) -> Numbers:
        """Return the sum of squares of each error, every photo counted up to the reach. [m²]"""
        total = np.zeros(ahead_s.shape)
        for index, weight in enumerate(self.photos.weight):
            total += weight * np.minimum(self.of_photo(index, ahead_s), self.reach_m**2)
        return total

    def of_photo(self, index: int, ahead_s: Numbers) -> Numbers:
        """Return the squares of one photo, infinite at times without a track. [m²]"""
        time_s = self.photos.shown_s[index] - ahead_s
        nearest = np.full(ahead_s.shape, np.inf)
        for path in self.paths:
            inside = np.flatnonzero((time_s >= path.time_s[0]) & (time_s <= path.time_s[-1]))
            if inside.size == 0:
                continue
            at_s = time_s[inside]
            east = np.interp(at_s, path.time_s, path.east_m) - self.photos.east_m[index]
            north = np.interp(at_s, path.time_s, path.north_m) - self.photos.north_m[index]
            after = np.clip(np.searchsorted(path.time_s, at_s), 1, path.time_s.size - 1)
            is_gap = path.time_s[after] - path.time_s[after - 1] > self.longest_gap_s
            found = np.where(is_gap, np.inf, east**2 + north**2)
            nearest[inside] = np.minimum(nearest[inside], found)
        return nearest

    def at(self, ahead_s: float) -> Numbers:
        """Return the squares of every photo at one error. [m²]"""
        one = np.array([ahead_s])
        return floats([self.of_photo(i, one)[0] for i in range(self.photos.shown_s.size)])


def _fit(squares: _Squares, ahead_s: float, position_error_m: float) -> _Fit:
    found = squares.at(ahead_s)
    bears = found <= squares.reach_m**2
    places = float(squares.photos.weight[bears].sum())
    freedom = max(2.0 * places - 1.0, 1.0)
    scatter_m2 = float((squares.photos.weight * found)[bears].sum()) / freedom
    scatter_m2 = max(scatter_m2, (position_error_m / _TO_ONE_AXIS) ** 2)
    return _Fit(
        ahead_s=ahead_s,
        cost_m2=float(squares.cost(np.array([ahead_s]))[0]),
        bears=bears,
        scatter_m2=scatter_m2,
        sure_m2=scatter_m2 * float(fdtri(1.0, freedom, _SURE)),
        very_sure_m2=scatter_m2 * float(fdtri(1.0, freedom, _VERY_SURE)),
    )


def _is_contradicted(squares: _Squares, fit: _Fit) -> bool:
    speaks = np.isfinite(squares.at(fit.ahead_s))
    weight = squares.photos.weight
    return bool(weight[fit.bears].sum() < _BEARING_SHARE * weight[speaks].sum())


def _estimate(
    squares: _Squares, fit: _Fit, low_s: float, high_s: float, stated_s: float
) -> ClockEstimate:
    stated_m2 = squares.at(stated_s)[fit.bears]
    stated_cost_m2 = float(squares.cost(np.array([stated_s]))[0])
    shift_s = fit.ahead_s - stated_s
    return ClockEstimate(
        ahead_s=fit.ahead_s,
        low_s=low_s,
        high_s=high_s,
        count=int(fit.bears.sum()),
        residual_m=float(np.sqrt(np.median(squares.at(fit.ahead_s)[fit.bears]))),
        stated_residual_m=float(np.sqrt(np.median(stated_m2))),
        is_clear=stated_cost_m2 > fit.cost_m2 + fit.very_sure_m2 and abs(shift_s) >= LEAST_SHIFT_S,
        zone_error_s=_zone_error_s(shift_s, low_s - stated_s, high_s - stated_s),
    )


def _zone_error_s(shift_s: float, low_s: float, high_s: float) -> float:
    whole_s = QUARTER_HOUR_S * round(shift_s / QUARTER_HOUR_S)
    is_narrow = high_s - low_s <= NARROW_FOR_A_ZONE_S
    return whole_s if is_narrow and low_s <= whole_s <= high_s else 0.0
