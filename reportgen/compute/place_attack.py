"""Where a station must stand, by what is published of it: distances, or levels alone.

What anybody could do with a site's tables; done here so that an author sees the metres first.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import least_squares

from reportgen.compute.domain import floats, same_length

LEAST_PLACES = 4
"""Two unknowns, or three with a law's exponent, and one place to tell a fit from chance."""
STARTS = 5
"""Of these places, how many of the best a law is fitted from."""
GRID = 61
"""Places tried along each side of the ground, to begin with."""
_NEAR_M = 10.0
"""Below this a law of distance is not steep any more: an antenna has a height."""
FLATTEST_DB = -1.0
"""A law that falls less in a decade of distance is chance: free space falls 20. [dB]"""
_ODD_DB = 4.0
"""Levels farther off the law than this count less: a house stood in the way (our choice)."""

_Place = tuple[float, float]
_Floats = NDArray[np.float64]
NO_PLACE: _Place = (float("nan"), float("nan"))


def place_by_distances(east_m: ArrayLike, north_m: ArrayLike, distance_m: ArrayLike) -> _Place:
    """Place that fits distances from known places best, by least squares.

    Parameters
    ----------
    east_m, north_m : array_like, shape (n,)
        Known places. [m]
    distance_m : array_like, shape (n,)
        From each to the place looked for, rounded or not. [m]

    Returns
    -------
    (float, float)
        Metres east and north; NaN where fewer than `LEAST_PLACES` places are complete. [m]

    Raises
    ------
    DomainError
        If the arrays differ in length.

    Notes
    -----
    Multilateration: min Σ (|p - p_i| - d_i)² over p, by a trust-region method from the middle and
    from the answer of the linear equations that differences of squares give. A straight walk has
    a mirror image, which an attacker tells apart by eye: of equal fits any may be returned.

    References
    ----------
    .. [1] P. J. G. Teunissen and O. Montenbruck (eds.), "Springer Handbook of Global Navigation
       Satellite Systems" (2017), chapter on range-based positioning (from memory; textbook).
    """
    east, north, away = _complete(east_m, north_m, distance_m)
    if east.size < LEAST_PLACES:
        return NO_PLACE
    middle = np.array([east.mean(), north.mean()])

    def off(place: _Floats) -> _Floats:
        return floats(np.hypot(east - place[0], north - place[1]) - away)

    # Of the circles' equations less their mean, what is left is linear in the place.
    x, y = east - middle[0], north - middle[1]
    squares = x**2 + y**2 - away**2
    linear, *_ = np.linalg.lstsq(
        2.0 * np.column_stack([x, y]), squares - squares.mean(), rcond=1e-6
    )
    side = np.array([-linear[1], linear[0]]) + np.array([1.0, 1.0])
    starts = (middle + linear, middle + linear + side, middle + linear - side, middle + 1.0)
    fits = [least_squares(off, start) for start in starts]
    best = min(fits, key=lambda fit: float(fit.cost))
    return float(best.x[0]), float(best.x[1])


def place_by_levels(
    east_m: ArrayLike, north_m: ArrayLike, level_dbm: ArrayLike, group: ArrayLike
) -> _Place:
    """Place from which levels fall with the logarithm of distance best, robustly.

    Parameters
    ----------
    east_m, north_m : array_like, shape (n,)
        Known places. [m]
    level_dbm : array_like, shape (n,)
        Received there, or sent from there and received at the place looked for. [dBm]
    group : array_like, shape (n,)
        Levels of one number were sent with one power and antenna and share a law's offset.

    Returns
    -------
    (float, float)
        Metres east and north; NaN where fewer than `LEAST_PLACES` are complete, or where nowhere
        do the levels fall with distance. [m]

    Raises
    ------
    DomainError
        If the arrays differ in length.

    Notes
    -----
    level = a_g - 10 n log10 d with unknown place, exponent n and offset a_g of each group: a grid
    of places over the ground and half its size around it, then least squares of a soft absolute
    loss from the best of them and from the answer of `place_by_strongest`. Of each group the
    stronger half is used: the weaker one lies behind things, or is what is left of frames of
    which most were missed, and draws the answer away.
    """
    of_group = np.unique(np.asarray(group), return_inverse=True)[1].astype(np.float64)
    east, north, level, of_group = _stronger(*_complete(east_m, north_m, level_dbm, of_group))
    if east.size < LEAST_PLACES:
        return NO_PLACE
    member = np.equal.outer(np.unique(of_group), of_group).astype(np.float64)
    member = member / member.sum(axis=1, keepdims=True)
    places = _grid(east, north)
    costs = np.array([_cost(place, east, north, level, member) for place in places])
    if not np.isfinite(costs).any():
        return NO_PLACE
    starts = [*places[np.argsort(costs)[:STARTS]], np.array(place_by_strongest(east, north, level))]
    fits = [_refined(start, east, north, level, member) for start in starts]
    _, place = min(fits, key=lambda fit: fit[0])
    return place


def place_by_strongest(east_m: ArrayLike, north_m: ArrayLike, level_dbm: ArrayLike) -> _Place:
    """Place that power itself points to: the mean of the places, each with its milliwatts.

    Parameters
    ----------
    east_m, north_m : array_like, shape (n,)
        Known places. [m]
    level_dbm : array_like, shape (n,)
        [dBm]

    Returns
    -------
    (float, float)
        Metres east and north; NaN where no place with a level is known. [m]

    Raises
    ------
    DomainError
        If the arrays differ in length.

    Notes
    -----
    Weighted centroid. It needs no law, and is hard to beat where somebody walked past the house.
    """
    east, north, level = _complete(east_m, north_m, level_dbm)
    if not east.size:
        return NO_PLACE
    power = 10.0 ** ((level - level.max()) / 10.0)
    return float(power @ east / power.sum()), float(power @ north / power.sum())


def _stronger(
    east: _Floats, north: _Floats, level: _Floats, of_group: _Floats
) -> tuple[_Floats, _Floats, _Floats, _Floats]:
    """Return the rows of the stronger half of each group."""
    is_strong = np.zeros(level.shape, dtype=bool)
    for number in np.unique(of_group):
        mine = of_group == number
        is_strong |= mine & (level >= np.median(level[mine]))
    return east[is_strong], north[is_strong], level[is_strong], of_group[is_strong]


def _complete(*columns: ArrayLike) -> tuple[_Floats, ...]:
    """Return columns without the rows in which any is unknown."""
    arrays = [floats(column) for column in columns]
    same_length(**{f"column_{index}": array for index, array in enumerate(arrays)})
    is_known = np.all([np.isfinite(array) for array in arrays], axis=0)
    return tuple(array[is_known] for array in arrays)


def _grid(east: _Floats, north: _Floats) -> _Floats:
    """Return places over the ground and half its size around it, shape (GRID², 2)."""
    room = max(float(np.ptp(east)), float(np.ptp(north)), 100.0) / 2.0
    xs = np.linspace(east.min() - room, east.max() + room, GRID)
    ys = np.linspace(north.min() - room, north.max() + room, GRID)
    return np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)


def _decades(place: _Floats, east: _Floats, north: _Floats) -> _Floats:
    away = np.hypot(east - place[0], north - place[1])
    return floats(np.log10(np.hypot(away, _NEAR_M)))


def _less_mean(values: _Floats, member: _Floats) -> _Floats:
    """Return values less the mean of their group."""
    return floats(values - (member @ values) @ (member > 0.0))


def _slope(decades: _Floats, level: _Floats) -> float:
    spread = float(decades @ decades)
    return float(decades @ level) / spread if spread > 0.0 else 0.0


def _cost(place: _Floats, east: _Floats, north: _Floats, level: _Floats, member: _Floats) -> float:
    """Return the sum of squares that a law around a place leaves; infinite where none falls."""
    decades = _less_mean(_decades(place, east, north), member)
    levels = _less_mean(level, member)
    slope = _slope(decades, levels)
    return float(np.sum((levels - slope * decades) ** 2)) if slope < FLATTEST_DB else float("inf")


def _refined(
    start: _Floats, east: _Floats, north: _Floats, level: _Floats, member: _Floats
) -> tuple[float, _Place]:
    """Return what a law leaves, softly counted, with the place that leaves least near a start."""
    is_in = member > 0.0

    def off(unknown: _Floats) -> _Floats:
        place, slope, offsets = 100.0 * unknown[:2], unknown[2], unknown[3:]
        return floats(level - slope * _decades(place, east, north) - offsets @ is_in)

    decades = _decades(start, east, north)
    slope = _slope(_less_mean(decades, member), _less_mean(level, member))
    first = np.concatenate([start / 100.0, [slope], member @ (level - slope * decades)])
    found = least_squares(off, first, loss="soft_l1", f_scale=_ODD_DB)
    return float(found.cost), (100.0 * float(found.x[0]), 100.0 * float(found.x[1]))
