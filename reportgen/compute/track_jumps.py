"""Points of a track where nobody was: the receiver jumped there, alone or for a while."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, same_length
from reportgen.compute.geodesy import distance_m
from reportgen.compute.track import is_jump

FASTEST_MPS = 70.0
"""Faster than this between two points is no walk, ride or drive (our choice)."""

SWIFT_MPS = 15.0
AWAY_M = 50.0
LONGEST_AWAY = 5
"""Up to `LONGEST_AWAY` points that lie `AWAY_M` off, reached and left at `SWIFT_MPS` or more while
the points on either side of them can be walked between: out and back like that is the receiver's
doing, where the steps around it are those of somebody on foot or a bicycle. Who turns round in a
car is as swift, but so are the steps before and after (our choices)."""

ON_FOOT_MPS = 6.0
STEPS_AROUND = 5
"""Pace around an excursion up to which it is called one: the median of so many steps either side
(our choice)."""

_LOOK_BACK = 64
"""Runs of points between two jumps that a chain may leave out in one go."""

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


def is_out_of_place(time_s: ArrayLike, latitude_deg: ArrayLike, longitude_deg: ArrayLike) -> Flags:
    """Tell the points of one walk at which nobody can have been.

    Parameters
    ----------
    time_s, latitude_deg, longitude_deg : array_like, shape (n,)
        Points of one receiver, in any order. [s, deg]

    Returns
    -------
    ndarray of bool, shape (n,)
        False where time or place is unknown.

    Raises
    ------
    DomainError
        If the arrays differ in length, or a place is not on the earth.

    Notes
    -----
    The points that stay are the most that can follow each other at `FASTEST_MPS`, less those that
    went out and came back. Where two halves of a track can't both be true the larger one stays.
    """
    times_s, latitude, longitude = floats(time_s), floats(latitude_deg), floats(longitude_deg)
    same_length(time_s=times_s, latitude_deg=latitude, longitude_deg=longitude)
    flags = np.zeros(times_s.shape, dtype=np.bool_)
    rows = np.flatnonzero(np.isfinite(times_s) & np.isfinite(latitude) & np.isfinite(longitude))
    rows = rows[np.argsort(times_s[rows], kind="stable")]
    points = (times_s[rows], latitude[rows], longitude[rows])
    stays = _longest_chain(*points)
    flags[rows[~stays]] = True
    rows = rows[stays]
    flags[rows[_out_and_back(times_s[rows], latitude[rows], longitude[rows])]] = True
    return flags


def _longest_chain(time_s: Floats, latitude_deg: Floats, longitude_deg: Floats) -> Flags:
    """Return which points, in order of time, belong to the largest chain without a jump."""
    points = (time_s, latitude_deg, longitude_deg)
    starts = np.flatnonzero(is_jump(*points, fastest_mps=FASTEST_MPS))
    if starts.size == 0:
        return np.ones(time_s.shape, dtype=np.bool_)
    firsts = np.append(0, starts)
    lasts = np.append(starts, time_s.size) - 1
    best, before = lasts - firsts + 1, np.full(firsts.size, -1)
    for run in range(1, firsts.size):
        earlier = np.arange(max(0, run - _LOOK_BACK), run)
        fits = earlier[_can_reach(points, lasts[earlier], firsts[run])]
        if fits.size:
            # Of equals the latest run: it is the nearest in time.
            before[run] = fits[::-1][np.argmax(best[fits[::-1]])]
            best[run] += best[before[run]]
    stays = np.zeros(time_s.shape, dtype=np.bool_)
    run = int(np.argmax(best))
    while run >= 0:
        stays[firsts[run] : lasts[run] + 1] = True
        run = int(before[run])
    return stays


def _can_reach(
    points: tuple[Floats, Floats, Floats], start: NDArray[np.intp], end: int
) -> NDArray[np.bool_]:
    """Return from which points another can be reached; whole seconds may hide one of them."""
    time_s, latitude, longitude = points
    step_m = distance_m(latitude[start], longitude[start], latitude[end], longitude[end])
    reach_m = FASTEST_MPS * np.maximum(time_s[end] - time_s[start], 1.0)
    return np.asarray(step_m <= reach_m, dtype=np.bool_)


def _out_and_back(time_s: Floats, latitude_deg: Floats, longitude_deg: Floats) -> Flags:
    """Return which points, in order of time, lie at the far end of a way out and back."""
    points = (time_s, latitude_deg, longitude_deg)
    flags = np.zeros(time_s.shape, dtype=np.bool_)
    each = np.arange(max(time_s.size - 1, 0))
    step_m, pace_mps = _step(points, each, each + 1)
    is_leap = (step_m > AWAY_M) & (pace_mps > SWIFT_MPS)
    for width in range(1, LONGEST_AWAY + 1):
        before = np.arange(time_s.size - width - 1)
        # Few points lie between two leaps; only for those the way across is worked out.
        before = before[is_leap[before] & is_leap[before + width]]
        after = before + width + 1
        across_m, across_mps = _step(points, before, after)
        shorter_m = np.minimum(step_m[before], step_m[after - 1])
        is_back = (across_mps <= SWIFT_MPS) & (across_m <= 0.5 * shorter_m)
        for start in before[is_back]:
            if _is_on_foot(pace_mps, start, start + width + 1):
                flags[start + 1 : start + 1 + width] = True
    return flags


def _is_on_foot(pace_mps: Floats, before: int, after: int) -> bool:
    """Whether the steps up to one point and on from another are those of no car."""
    around = np.concatenate(
        [pace_mps[max(0, before - STEPS_AROUND) : before], pace_mps[after : after + STEPS_AROUND]]
    )
    return around.size > 0 and bool(np.median(around) <= ON_FOOT_MPS)


def _step(
    points: tuple[Floats, Floats, Floats], start: NDArray[np.intp], end: NDArray[np.intp]
) -> tuple[Floats, Floats]:
    """Return length and mean speed of the ways between points; steps count at least 1 s."""
    time_s, latitude, longitude = points
    step_m = distance_m(latitude[start], longitude[start], latitude[end], longitude[end])
    return floats(step_m), floats(step_m / np.maximum(time_s[end] - time_s[start], 1.0))
