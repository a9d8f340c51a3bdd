"""The distance at which a share of the frames is heard, by the law of the level over distance."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from reportgen.compute.censored_fit import CensoredFit
from reportgen.compute.ground_cells import Function, GroundJackknife, IndependentFrames
from reportgen.errors import DomainError

REFERENCE_DISTANCE_M = 100.0

HALF_RATIO = 0.5
NINE_TENTHS_RATIO = 0.9

DistanceReason = Literal["", "no law", "lost otherwise", "level does not fall"]

Floats = NDArray[np.float64]

Errors = GroundJackknife | IndependentFrames

_LOG_DISTANCES = np.linspace(0.0, 5.5, 221)
"""Where shares heard are compared, as decimal logarithms: 1 m to over 300 km."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A value and the ends of its 95 % interval; NaN where there is none."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardDistance:
    """The distance at which a share of the frames is heard.

    Attributes
    ----------
    distance_m : Estimate
        `low` is 0 where the share may be reached nowhere: too many frames may be lost otherwise.
        `high` is infinite where the level may not fall with distance at all. [m]
    reason : str
        Why there is no distance: "no law"; "lost otherwise", so many that the share is reached
        nowhere; "level does not fall" with distance.
    is_beyond_walked, is_before_walked : bool
        Whether the law speaks of ground farther than the farthest frame, or nearer than the
        nearest: extrapolation.
    """

    distance_m: Estimate
    reason: DistanceReason
    is_beyond_walked: bool
    is_before_walked: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How far frames are heard whose level must not be below a limit. [dBm]"""

    limit_dbm: float
    half_heard: HeardDistance
    nine_tenths_heard: HeardDistance


def estimate(value: float, low: float, high: float) -> Estimate:
    """Return numbers of any kind as an estimate."""
    return Estimate(value=float(value), low=float(low), high=float(high))


NO_ESTIMATE = Estimate(value=np.nan, low=np.nan, high=np.nan)


def reach(
    fit: CensoredFit | None, errors: Errors | None, *, limit_dbm: float, walked_m: Floats
) -> Reach:
    """Return how far half and nine tenths of the frames are heard.

    Parameters
    ----------
    fit : CensoredFit or None
        Of levels against `design`.
    errors : Errors or None
        What its parameters may be off.
    limit_dbm : float
        [dBm]
    walked_m : ndarray, shape (n,)
        Distances of the frames behind the fit; read only where there is a fit. [m]

    Raises
    ------
    DomainError
        If the limit is not finite.
    """
    if not np.isfinite(limit_dbm):
        raise DomainError(f"reach_limits_dbm must be finite; found {limit_dbm:g}")
    half, nine_tenths = (
        _heard_distance(fit, errors, limit_dbm, ratio, walked_m)
        for ratio in (HALF_RATIO, NINE_TENTHS_RATIO)
    )
    return Reach(limit_dbm=limit_dbm, half_heard=half, nine_tenths_heard=nine_tenths)


def _heard_distance(
    fit: CensoredFit | None,
    errors: Errors | None,
    limit_dbm: float,
    ratio: float,
    walked_m: Floats,
) -> HeardDistance:
    """Return where (1 - q) Phi((mu(d) - L) / s) is a ratio."""
    if fit is None:
        return _no_distance("no law")
    level, slope = fit.coefficients
    needed = ratio / (1.0 - fit.lost_ratio)
    if needed >= 1.0:
        return _no_distance("lost otherwise")
    if slope >= 0.0:
        return _no_distance("level does not fall")
    log_away = (limit_dbm + fit.spread * ndtri(needed) - level) / slope
    away_m = float(REFERENCE_DISTANCE_M * 10.0 ** np.clip(log_away, -300.0, 300.0))
    low_m, high_m = (
        (np.nan, np.nan) if errors is None else _distance_ends(fit, errors, limit_dbm, ratio)
    )
    return HeardDistance(
        distance_m=estimate(away_m, low_m, high_m),
        reason="",
        is_beyond_walked=away_m > float(np.max(walked_m)),
        is_before_walked=away_m < float(np.min(walked_m)),
    )


def _distance_ends(
    fit: CensoredFit, errors: Errors, limit_dbm: float, ratio: float
) -> tuple[float, float]:
    """Return the nearest and farthest distance whose share heard can't be told from a ratio."""
    share = _share_heard(limit_dbm)
    heard, half_width = share(fit.parameters[np.newaxis])[0], errors.half_width(share)
    wanted = float(angle(np.array(ratio)))
    return _last_crossing_m(heard - half_width - wanted), _last_crossing_m(
        heard + half_width - wanted
    )


def _last_crossing_m(excess: Floats) -> float:
    """Return where an excess along `_LOG_DISTANCES` turns negative for good.

    0 if it never is positive, infinite if it still is at the end.
    """
    above = np.flatnonzero(excess >= 0.0)
    if above.size == 0:
        return 0.0
    last = int(above[-1])
    if last == excess.size - 1:
        return np.inf
    part = excess[last] / (excess[last] - excess[last + 1])
    log_away = _LOG_DISTANCES[last] + part * (_LOG_DISTANCES[last + 1] - _LOG_DISTANCES[last])
    return float(10.0**log_away)


def _share_heard(limit_dbm: float) -> Function:
    """Return the share heard along `_LOG_DISTANCES` as a function of parameters, as an angle."""
    along = design(10.0**_LOG_DISTANCES)

    def share(parameters: Floats) -> Floats:
        margin_db = parameters[:, :-2] @ along.T - limit_dbm
        return angle((1.0 - parameters[:, -1:]) * ndtr(margin_db / np.exp(parameters[:, -2:-1])))

    return share


def design(distance_m: Floats) -> Floats:
    """Return the rows whose products with (level at reference, level per decade) are levels."""
    decades = np.log10(distance_m / REFERENCE_DISTANCE_M)
    return np.column_stack([np.ones_like(decades), decades])


def angle(ratio: Floats) -> Floats:
    """Return a share on the scale on which its error hardly depends on it."""
    return np.asarray(np.arcsin(np.sqrt(np.clip(ratio, 0.0, 1.0))), dtype=np.float64)


def ratio_of_angle(angle: Floats) -> Floats:
    """Return the share behind an angle, which an error may have carried out of its range."""
    return np.asarray(np.sin(np.clip(angle, 0.0, np.pi / 2.0)) ** 2, dtype=np.float64)


def _no_distance(reason: DistanceReason) -> HeardDistance:
    return HeardDistance(
        distance_m=NO_ESTIMATE, reason=reason, is_beyond_walked=False, is_before_walked=False
    )
