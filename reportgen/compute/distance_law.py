"""How the level falls with distance, learnt from what was heard and from what was missed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import stdtrit

from reportgen.compute.censored_fit import (
    HIGHEST_LOST_RATIO,
    CensoredFit,
    CensoredRows,
    censored_fit,
)
from reportgen.compute.domain import floats, positive, same_length, within
from reportgen.compute.ground_cells import (
    CONFIDENCE_RATIO,
    GroundJackknife,
    ground_jackknife,
    independent_frames,
)
from reportgen.compute.heard_distance import (
    NO_ESTIMATE,
    Errors,
    Estimate,
    Reach,
    angle,
    design,
    estimate,
    ratio_of_angle,
    reach,
)
from reportgen.errors import DomainError

LEAST_HEARD = 20
"""With fewer frames heard no law is given: single shadows would decide it (our choice)."""

LEAST_DISTANCE_RATIO = 2.0
"""Farthest over nearest frame heard; with less, level and exponent can't be told apart (ours)."""

LawReason = Literal["", "too few heard", "no spread of distance", "not converged"]
IntervalReason = Literal["", "no law", "too few cells", "unstable"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class DistanceLaw:
    """Level expected at a distance d: level at 100 m - 10 exponent log10(d / 100 m), and spread.

    Attributes
    ----------
    exponent : Estimate
    level_at_reference_dbm : Estimate
        At `heard_distance.REFERENCE_DISTANCE_M`, 100 m. [dBm]
    shadowing_db : Estimate
        Standard deviation of levels about the expected one. [dB]
    lost_otherwise_ratio : Estimate
        Share of frames missed for causes that have nothing to do with their level.
    reaches : tuple of Reach
        One for each limit asked for.
    naive_exponent : Estimate
        Least squares of the heard frames alone, with the textbook's interval. Too small where
        frames were missed; to compare only.
    heard_count, missed_count : int
        Frames used: those with place and limit.
    cell_count : float
        Cells of ground behind the intervals, on average over placings of the grid; NaN where
        there are none.
    cell_size_m : float
        Edge of these cells. NaN where there are none. [m]
    reason : str
        Why there is no law: "too few heard", "no spread of distance", "not converged".
    interval_reason : str
        Why there are no intervals: "no law", "too few cells" of ground, "unstable" (without one of
        the cells there would be no law).
    """

    exponent: Estimate
    level_at_reference_dbm: Estimate
    shadowing_db: Estimate
    lost_otherwise_ratio: Estimate
    reaches: tuple[Reach, ...]
    naive_exponent: Estimate
    heard_count: int
    missed_count: int
    cell_count: float
    cell_size_m: float
    reason: LawReason
    interval_reason: IntervalReason

    @property
    def naive_error(self) -> float:
        """How far off the naive exponent is: naive minus this law's."""
        return self.naive_exponent.value - self.exponent.value


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frames:
    """Frames with place and limit."""

    distance_m: Floats
    east_m: Floats
    north_m: Floats
    level_dbm: Floats
    limit_dbm: Floats

    @property
    def is_heard(self) -> NDArray[np.bool_]:
        return ~np.isnan(self.level_dbm)

    @property
    def rows(self) -> CensoredRows:
        return CensoredRows(
            design=design(self.distance_m), level=self.level_dbm, limit=self.limit_dbm
        )


def distance_law(
    *,
    distance_m: ArrayLike,
    east_m: ArrayLike,
    north_m: ArrayLike,
    level_dbm: ArrayLike,
    limit_dbm: ArrayLike,
    reach_limits_dbm: tuple[float, ...] = (),
    highest_lost_ratio: float = HIGHEST_LOST_RATIO,
) -> DistanceLaw:
    """Return the law by which the level falls with distance, with intervals that cover it.

    Parameters
    ----------
    distance_m : array_like, shape (n,)
        From station to node, of each frame sent. [m], > 0
    east_m, north_m : array_like, shape (n,)
        Where it was sent, on a plane with any origin. [m]
    level_dbm : array_like, shape (n,)
        Of the frame itself, not of frame and noise together; NaN where missed. [dBm]
    limit_dbm : array_like, shape (n,)
        Level below which a frame of its data rate is missed. [dBm]
    reach_limits_dbm : tuple of float
        Limits for which distances are wanted. [dBm]
    highest_lost_ratio : float
        Bound of the share lost otherwise; 0 takes every miss as a matter of level. 0 to below 1

    Returns
    -------
    DistanceLaw
        Frames without distance, place or limit are left out.

    Raises
    ------
    DomainError
        If a distance is not positive, a level or a reach limit is infinite, the bound is out of
        range, or the arrays differ in length.

    Notes
    -----
    Log-normal shadowing about a straight line over log distance [1]_; a miss says that the level
    was below the limit, or that the frame was lost otherwise (`censored_fit`). Left out, as in
    the naive fit, misses make the level seem to fall too slowly.

    Shadows are the same along tens of metres and for every walk over the same ground. Intervals
    therefore come from leaving out one cell of ground after the other (`ground_cells`): exponent
    and level as they are, shadowing by its logarithm, shares by the arcsine of their root. A
    distance belongs to the interval of a share if the share heard there, with its own interval,
    can't be told from it. The limits are taken as known.

    References
    ----------
    .. [1] T. S. Rappaport, "Wireless Communications", 2nd ed., Prentice Hall (2002), sections
       4.9.1 and 4.9.2 (from memory).
    """
    frames = _frames(distance_m, east_m, north_m, level_dbm, limit_dbm)
    bound = _bound(highest_lost_ratio)
    fit, reason = _fit(frames, bound)
    if fit is None:
        return _law(frames, None, None, reach_limits_dbm, reason=reason, without="no law")
    errors = ground_jackknife(
        frames.rows, fit, east_m=frames.east_m, north_m=frames.north_m, highest_lost_ratio=bound
    )
    if errors is None:
        return _law(frames, fit, None, reach_limits_dbm, without="too few cells")
    if not errors.is_converged:
        return _law(frames, fit, None, reach_limits_dbm, without="unstable")
    return _law(frames, fit, errors, reach_limits_dbm)


def independent_frames_law(
    *,
    distance_m: ArrayLike,
    level_dbm: ArrayLike,
    limit_dbm: ArrayLike,
    reach_limits_dbm: tuple[float, ...] = (),
    highest_lost_ratio: float = HIGHEST_LOST_RATIO,
) -> DistanceLaw:
    """Return the same law with the textbook's intervals, which take frames as independent.

    They hold the truth in about six campaigns of ten, not nineteen of twenty. To compare only;
    parameters as for `distance_law`.
    """
    nowhere = np.zeros_like(floats(distance_m))
    frames = _frames(distance_m, nowhere, nowhere, level_dbm, limit_dbm)
    fit, reason = _fit(frames, _bound(highest_lost_ratio))
    if fit is None:
        return _law(frames, None, None, reach_limits_dbm, reason=reason, without="no law")
    errors = independent_frames(fit)
    if errors is None:
        return _law(frames, fit, None, reach_limits_dbm, without="unstable")
    return _law(frames, fit, errors, reach_limits_dbm)


def _frames(
    distance_m: ArrayLike,
    east_m: ArrayLike,
    north_m: ArrayLike,
    level_dbm: ArrayLike,
    limit_dbm: ArrayLike,
) -> _Frames:
    """Return the frames that can be used."""
    away_m, level = positive("distance_m", distance_m), floats(level_dbm)
    east, north, limit = floats(east_m), floats(north_m), floats(limit_dbm)
    same_length(distance_m=away_m, east_m=east, north_m=north, level_dbm=level, limit_dbm=limit)
    if np.any(np.isinf(level)):
        raise DomainError("level_dbm must be finite, or NaN where missed; found an infinite one")
    is_used = np.isfinite(away_m) & np.isfinite(east) & np.isfinite(north) & np.isfinite(limit)
    return _Frames(
        distance_m=away_m[is_used],
        east_m=east[is_used],
        north_m=north[is_used],
        level_dbm=level[is_used],
        limit_dbm=limit[is_used],
    )


def _bound(highest_lost_ratio: float) -> float:
    return float(within("highest_lost_ratio", highest_lost_ratio, 0.0, HIGHEST_LOST_RATIO))


def _fit(frames: _Frames, bound: float) -> tuple[CensoredFit | None, LawReason]:
    """Return the law's parameters, or why there are none."""
    heard_m = frames.distance_m[frames.is_heard]
    if heard_m.size < LEAST_HEARD:
        return None, "too few heard"
    if np.max(heard_m) < LEAST_DISTANCE_RATIO * np.min(heard_m):
        return None, "no spread of distance"
    fit = censored_fit(frames.rows, highest_lost_ratio=bound)
    return (fit, "") if fit.is_converged else (None, "not converged")


def _law(
    frames: _Frames,
    fit: CensoredFit | None,
    errors: Errors | None,
    limits_dbm: tuple[float, ...],
    *,
    reason: LawReason = "",
    without: IntervalReason = "",
) -> DistanceLaw:
    """Return the law as it is told, from its parameters and the errors of these."""
    if fit is None:
        exponent = level = shadowing = lost = NO_ESTIMATE
    else:
        own = _own_values(fit.parameters)[0]
        half_width = np.full(4, np.nan) if errors is None else errors.half_width(_own_values)
        low, high = own - half_width, own + half_width
        exponent = estimate(own[0], low[0], high[0])
        level = estimate(own[1], low[1], high[1])
        shadowing = estimate(*np.exp([own[2], low[2], high[2]]))
        lost = estimate(*ratio_of_angle(np.array([own[3], low[3], high[3]])))
    jackknife = errors if isinstance(errors, GroundJackknife) else None
    heard_count = int(np.count_nonzero(frames.is_heard))
    return DistanceLaw(
        exponent=exponent,
        level_at_reference_dbm=level,
        shadowing_db=shadowing,
        lost_otherwise_ratio=lost,
        reaches=tuple(
            reach(fit, errors, limit_dbm=limit, walked_m=frames.distance_m) for limit in limits_dbm
        ),
        naive_exponent=NO_ESTIMATE if fit is None else _naive_exponent(frames),
        heard_count=heard_count,
        missed_count=frames.level_dbm.size - heard_count,
        cell_count=np.nan if jackknife is None else jackknife.cell_count,
        cell_size_m=np.nan if jackknife is None else jackknife.size_m,
        reason=reason,
        interval_reason=without,
    )


def _own_values(parameters: Floats) -> Floats:
    """Return exponent, level at reference, log shadowing and lost share (as an angle)."""
    rows = np.atleast_2d(parameters)
    level, slope, log_spread, lost = rows.T
    return np.column_stack([-slope / 10.0, level, log_spread, angle(lost)])


def _naive_exponent(frames: _Frames) -> Estimate:
    """Return least squares of the heard frames, with the textbook's interval."""
    rows = design(frames.distance_m[frames.is_heard])
    level = frames.level_dbm[frames.is_heard]
    coefficients = np.linalg.lstsq(rows, level, rcond=None)[0]
    freedom = level.size - 2
    variance = float(np.sum((level - rows @ coefficients) ** 2)) / freedom
    error = np.sqrt(variance * np.linalg.inv(rows.T @ rows)[1, 1])
    half_width = stdtrit(freedom, 0.5 + 0.5 * CONFIDENCE_RATIO) * error
    exponent, width = -coefficients[1] / 10.0, half_width / 10.0
    return estimate(exponent, exponent - width, exponent + width)
