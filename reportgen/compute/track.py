"""Where somebody was at a time, by the points of a track around it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, positive, same_length, within
from reportgen.compute.geodesy import distance_m


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InterpolatedPosition:
    """Positions worked out between track points; arrays of shape (m,), one per time asked for.

    Attributes
    ----------
    latitude_deg, longitude_deg, height_m : ndarray
        NaN outside the track and across gaps longer than allowed.
    gap_s : ndarray
        Time between the neighbours used, 0 on a point, NaN outside the track. Given also where it
        is too long. [s]
    before_index, after_index : ndarray of float64
        Rows of the neighbours as the track was passed in, NaN outside it. Floating point, so that
        an absent one can't be taken for a row.
    """

    latitude_deg: NDArray[np.float64]
    longitude_deg: NDArray[np.float64]
    height_m: NDArray[np.float64]
    gap_s: NDArray[np.float64]
    before_index: NDArray[np.float64]
    after_index: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NearestInTime:
    """Nearest points in time; arrays of shape (m,), NaN where there is none.

    `residual_s` is the point's time less the time asked for. [s]
    """

    index: NDArray[np.float64]
    residual_s: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NearestInPlace:
    """Nearest points in place; arrays of shape (m,), NaN where there is none. `distance_m` in m."""

    index: NDArray[np.float64]
    distance_m: NDArray[np.float64]


def interpolated_position(
    time_s: ArrayLike,
    track_time_s: ArrayLike,
    track_latitude_deg: ArrayLike,
    track_longitude_deg: ArrayLike,
    track_height_m: ArrayLike,
    *,
    longest_gap_s: float,
) -> InterpolatedPosition:
    """Return positions between the neighbours in time.

    Parameters
    ----------
    time_s : array_like, shape (m,)
        Times asked for. [s]
    track_time_s, track_latitude_deg, track_longitude_deg, track_height_m : array_like, shape (n,)
        In any order; points without time or place are left out, heights may be NaN. [s, deg, m]
    longest_gap_s : float
        Across a longer gap no position is given. Where one segment ends and the next begins is of
        no account here: the gap is. [s], >= 0

    Returns
    -------
    InterpolatedPosition

    Raises
    ------
    DomainError
        If the track's arrays differ in length, or `longest_gap_s` is negative.

    Notes
    -----
    Linear in time, latitude and longitude, the short way round the antimeridian. Nothing is
    claimed before the first and after the last point. At a time that several points share, the
    first of them in the order passed in; between times, the last one before and the first after.
    """
    asked_s, times_s = floats(time_s), floats(track_time_s)
    latitude, longitude = floats(track_latitude_deg), floats(track_longitude_deg)
    height = floats(track_height_m)
    same_length(time_s=times_s, latitude_deg=latitude, longitude_deg=longitude, height_m=height)
    same_length(time_s=asked_s)
    longest_s = within("longest_gap_s", longest_gap_s, 0.0)
    order = _in_time_order(times_s, latitude + longitude)
    is_inside, before, after = _neighbours(asked_s, times_s[order])
    before, after = order[before], order[after]
    gap_s = times_s[after] - times_s[before]
    share = (asked_s[is_inside] - times_s[before]) / np.where(gap_s > 0.0, gap_s, 1.0)
    share[~(gap_s <= longest_s)] = np.nan
    turn_deg = _half_turn_deg(longitude[after] - longitude[before])

    def spread(values: NDArray[np.generic]) -> NDArray[np.float64]:
        everywhere = np.full(asked_s.shape, np.nan)
        everywhere[is_inside] = values
        return everywhere

    return InterpolatedPosition(
        latitude_deg=spread(latitude[before] + share * (latitude[after] - latitude[before])),
        longitude_deg=spread(_wrapped_deg(longitude[before] + share * turn_deg)),
        height_m=spread(height[before] + share * (height[after] - height[before])),
        gap_s=spread(gap_s),
        before_index=spread(before),
        after_index=spread(after),
    )


def nearest_in_time(time_s: ArrayLike, track_time_s: ArrayLike) -> NearestInTime:
    """Return for each time the point nearest to it.

    Parameters
    ----------
    time_s : array_like, shape (m,)
        Times asked for. [s]
    track_time_s : array_like, shape (n,)
        In any order, NaN where unknown. [s]

    Returns
    -------
    NearestInTime
        Of two equally near, the earlier; of several at one time, the first in the order passed in.
    """
    asked_s, times_s = floats(time_s), floats(track_time_s)
    same_length(time_s=asked_s)
    same_length(track_time_s=times_s)
    rows = np.flatnonzero(np.isfinite(times_s))
    index, residual_s = np.full(asked_s.shape, np.nan), np.full(asked_s.shape, np.nan)
    if rows.size:
        distinct_s, first = np.unique(times_s[rows], return_index=True)
        is_known = np.isfinite(asked_s)
        known_s = asked_s[is_known]
        after = np.minimum(np.searchsorted(distinct_s, known_s), distinct_s.size - 1)
        before = np.maximum(after - 1, 0)
        is_later = np.abs(distinct_s[after] - known_s) < np.abs(distinct_s[before] - known_s)
        nearest = np.where(is_later, after, before)
        index[is_known] = rows[first[nearest]]
        residual_s[is_known] = distinct_s[nearest] - known_s
    return NearestInTime(index=index, residual_s=residual_s)


def nearest_in_place(
    latitude_deg: ArrayLike,
    longitude_deg: ArrayLike,
    among_latitude_deg: ArrayLike,
    among_longitude_deg: ArrayLike,
) -> NearestInPlace:
    """Return for each place the point nearest to it over the ground.

    Parameters
    ----------
    latitude_deg, longitude_deg : array_like, shape (m,)
        Places asked for, NaN where unknown. [deg]
    among_latitude_deg, among_longitude_deg : array_like, shape (n,)
        Points to choose from, NaN where unknown. [deg]

    Returns
    -------
    NearestInPlace
        Of several equally near, the first in the order passed in.

    Raises
    ------
    DomainError
        If arrays of one pair differ in length, or a place is not on the earth.
    """
    latitude, longitude = floats(latitude_deg), floats(longitude_deg)
    others = floats(among_latitude_deg), floats(among_longitude_deg)
    same_length(latitude_deg=latitude, longitude_deg=longitude)
    same_length(among_latitude_deg=others[0], among_longitude_deg=others[1])
    index, nearest_m = np.full(latitude.shape, np.nan), np.full(latitude.shape, np.nan)
    for row, place in enumerate(zip(latitude, longitude, strict=True)):
        away_m = distance_m(*place, *others)
        if not np.all(np.isnan(away_m)):
            index[row] = np.nanargmin(away_m)
            nearest_m[row] = away_m[int(index[row])]
    return NearestInPlace(index=index, distance_m=nearest_m)


def speed_mps(
    time_s: ArrayLike, latitude_deg: ArrayLike, longitude_deg: ArrayLike
) -> NDArray[np.float64]:
    """Mean speed at which each point was reached from the one before it.

    Parameters
    ----------
    time_s, latitude_deg, longitude_deg : array_like, shape (n,)
        Points in the order to judge them. [s, deg]

    Returns
    -------
    ndarray, shape (n,)
        NaN for the first point, where something is unknown, and where no time has passed or it
        ran backwards. [m/s]

    Raises
    ------
    DomainError
        If the arrays differ in length, or a place is not on the earth.
    """
    step_s, step_m = _steps(time_s, latitude_deg, longitude_deg)
    return floats(step_m / np.where(step_s > 0.0, step_s, np.nan))


def is_jump(
    time_s: ArrayLike,
    latitude_deg: ArrayLike,
    longitude_deg: ArrayLike,
    *,
    fastest_mps: float,
    shortest_step_s: float = 1.0,
) -> NDArray[np.bool_]:
    """Tell the points that nobody could have reached from the one before in the time between.

    Parameters
    ----------
    time_s, latitude_deg, longitude_deg : array_like, shape (n,)
        Points in the order to judge them. [s, deg]
    fastest_mps : float
        Fastest plausible speed. [m/s], > 0
    shortest_step_s : float
        Shorter steps count as this long: times are often whole seconds, and a jump of a metre
        within one of them is none. [s], >= 0

    Returns
    -------
    ndarray of bool, shape (n,)
        False for the first point and where something is unknown.

    Raises
    ------
    DomainError
        If a number lies outside its range, or the arrays differ in length.
    """
    step_s, step_m = _steps(time_s, latitude_deg, longitude_deg)
    shortest_s = within("shortest_step_s", shortest_step_s, 0.0)
    reach_m = positive("fastest_mps", fastest_mps) * np.maximum(np.abs(step_s), shortest_s)
    return np.asarray(step_m > reach_m, dtype=np.bool_)


def _in_time_order(times_s: NDArray[np.float64], places: NDArray[np.float64]) -> NDArray[np.intp]:
    """Return the rows with time and place, by time, rows of one time as they came."""
    usable = np.flatnonzero(np.isfinite(times_s) & np.isfinite(places))
    return np.asarray(usable[np.argsort(times_s[usable], kind="stable")], dtype=np.intp)


def _neighbours(
    asked_s: NDArray[np.float64], sorted_s: NDArray[np.float64]
) -> tuple[NDArray[np.bool_], NDArray[np.intp], NDArray[np.intp]]:
    """Return which times lie within the span, and for those the points on either side."""
    after = np.searchsorted(sorted_s, asked_s, side="left")
    before = np.searchsorted(sorted_s, asked_s, side="right") - 1
    is_inside = (after < sorted_s.size) & (before >= 0)
    after, before = after[is_inside], before[is_inside]
    # On a point both are that point, and the first of those that share the time.
    before = np.where(sorted_s[after] == asked_s[is_inside], after, before)
    return is_inside, before, after


def _steps(
    time_s: ArrayLike, latitude_deg: ArrayLike, longitude_deg: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return time and distance from the point before, NaN for the first."""
    times_s, latitude, longitude = floats(time_s), floats(latitude_deg), floats(longitude_deg)
    same_length(time_s=times_s, latitude_deg=latitude, longitude_deg=longitude)
    step_s, step_m = np.full(times_s.shape, np.nan), np.full(times_s.shape, np.nan)
    step_s[1:] = np.diff(times_s)
    step_m[1:] = distance_m(latitude[:-1], longitude[:-1], latitude[1:], longitude[1:])
    return step_s, step_m


def _half_turn_deg(angle_deg: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return an angle as one of at most half a turn either way."""
    return floats(np.mod(angle_deg + 180.0, 360.0) - 180.0)


def _wrapped_deg(longitude_deg: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return longitudes within [-180, 180], those already there untouched."""
    is_beyond = np.abs(longitude_deg) > 180.0
    return floats(np.where(is_beyond, _half_turn_deg(longitude_deg), longitude_deg))
