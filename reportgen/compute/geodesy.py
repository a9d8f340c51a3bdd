"""Distances, bearings and angles on the WGS 84 ellipsoid."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pyproj import Geod

from reportgen.compute.domain import floats, same_length, within
from reportgen.errors import DomainError

COINCIDENT_M = 1e-3
"""Points nearer than this are one place: between them there is no bearing. [m]"""

MEAN_EARTH_RADIUS_M = 6_371_008.8
"""IUGG mean radius of the ellipsoid's three semi-axes. [m]"""

LEAST_DEGREE_M = 110_574.0
"""No degree of latitude is shorter: a (1 - e²) of WGS 84 (NGA.STND.0036, 2014) times pi/180,
rounded down. [m]"""

POLAR_RADIUS_M = 6_356_752.314
"""Semi-minor axis of WGS 84 (NGA.STND.0036, 2014), rounded down. [m]"""

_WGS84 = Geod(ellps="WGS84")
_LEAST_FOR_THREADS, _PORTIONS = 20_000, 8


def distance_m(
    from_latitude_deg: ArrayLike,
    from_longitude_deg: ArrayLike,
    to_latitude_deg: ArrayLike,
    to_longitude_deg: ArrayLike,
) -> NDArray[np.float64]:
    """Length of the shortest line on the ellipsoid between two points.

    Heights play no part: this is distance over the ground, not through the air.

    Parameters
    ----------
    from_latitude_deg, from_longitude_deg, to_latitude_deg, to_longitude_deg : array_like
        WGS 84 coordinates, of shapes that broadcast. [deg]

    Returns
    -------
    ndarray, broadcast shape
        NaN where a coordinate is NaN. [m]

    Raises
    ------
    DomainError
        If a latitude lies beyond a pole or a longitude is infinite.

    References
    ----------
    .. [1] C. F. F. Karney, "Algorithms for geodesics", J. Geodesy 87 (2013) 43-55; solved by
       pyproj.
    """
    return _inverse(from_latitude_deg, from_longitude_deg, to_latitude_deg, to_longitude_deg)[0]


def is_within(
    latitude_deg: float,
    longitude_deg: float,
    to_latitude_deg: NDArray[np.float64],
    to_longitude_deg: NDArray[np.float64],
    radius_m: float,
) -> NDArray[np.bool_]:
    """Tell which points lie within a radius of one point, as `distance_m` has it.

    Parameters
    ----------
    latitude_deg, longitude_deg : float
        The one point. [deg]
    to_latitude_deg, to_longitude_deg : ndarray, shape (n,)
        [deg]
    radius_m : float
        [m]

    Returns
    -------
    ndarray of bool, shape (n,)
        False where a coordinate is NaN.
    """
    rows = maybe_within(latitude_deg, longitude_deg, to_latitude_deg, to_longitude_deg, radius_m)
    away_m = distance_m(latitude_deg, longitude_deg, to_latitude_deg[rows], to_longitude_deg[rows])
    is_near = np.zeros(to_latitude_deg.shape, dtype=np.bool_)
    is_near[rows[away_m <= radius_m]] = True
    return is_near


def maybe_within(
    latitude_deg: float,
    longitude_deg: float,
    to_latitude_deg: NDArray[np.float64],
    to_longitude_deg: NDArray[np.float64],
    radius_m: float,
) -> NDArray[np.intp]:
    """Return the indexes of all points within a radius of one point, and of a few farther ones.

    Quicker than distances. Parameters are those of `is_within`.

    Notes
    -----
    The line between two latitudes is never shorter than the meridian's arc, which is curved most
    tightly at the equator. And no line is shorter than its shadow on the largest ball inside the
    ellipsoid, of the polar radius b: there the point lies b asin(cos(latitude) |sin(difference of
    longitude)|) or more from the plane of the other's meridian (seen from the centre its latitude
    is a little less, so that this is less than the truth).
    """
    rows = np.flatnonzero(np.abs(to_latitude_deg - latitude_deg) * LEAST_DEGREE_M <= radius_m)
    if radius_m >= 0.5 * np.pi * POLAR_RADIUS_M:
        return rows
    turn = np.sin(np.deg2rad(to_longitude_deg[rows] - longitude_deg))
    aside = np.cos(np.deg2rad(latitude_deg)) * np.abs(turn)
    # A billionth is a nanometre in a metre: room for rounding.
    is_far = aside > np.sin(radius_m / POLAR_RADIUS_M) * (1.0 + 1e-9) + 1e-15
    return np.asarray(rows[~is_far], dtype=np.intp)


def initial_bearing_deg(
    from_latitude_deg: ArrayLike,
    from_longitude_deg: ArrayLike,
    to_latitude_deg: ArrayLike,
    to_longitude_deg: ArrayLike,
) -> NDArray[np.float64]:
    """Direction in which the shortest line leaves its first point.

    The bearing back is that of the reversed line; meridians converge, so it is not this plus 180.

    Parameters
    ----------
    from_latitude_deg, from_longitude_deg, to_latitude_deg, to_longitude_deg : array_like
        WGS 84 coordinates, of shapes that broadcast. [deg]

    Returns
    -------
    ndarray, broadcast shape
        Clockwise from true north, in [0, 360); NaN where a coordinate is NaN, and between points
        less than `COINCIDENT_M` apart. [deg]

    Raises
    ------
    DomainError
        If a latitude lies beyond a pole or a longitude is infinite.

    References
    ----------
    .. [1] As `distance_m`.
    """
    return distance_and_bearing(
        from_latitude_deg, from_longitude_deg, to_latitude_deg, to_longitude_deg
    )[1]


def distance_and_bearing(
    from_latitude_deg: ArrayLike,
    from_longitude_deg: ArrayLike,
    to_latitude_deg: ArrayLike,
    to_longitude_deg: ArrayLike,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return `distance_m` and `initial_bearing_deg` of the same lines, solved once. [m], [deg]

    Parameters and errors are those of both.
    """
    length_m, azimuth_deg = _inverse(
        from_latitude_deg, from_longitude_deg, to_latitude_deg, to_longitude_deg
    )
    turned_deg = np.mod(azimuth_deg, 360.0)
    # The remainder of a tiny negative angle rounds up to 360 itself.
    turned_deg = np.where(turned_deg >= 360.0, 0.0, turned_deg)
    return length_m, floats(np.where(length_m < COINCIDENT_M, np.nan, turned_deg))


def elevation_angle_deg(
    distance_m: ArrayLike, height_from_m: ArrayLike, height_to_m: ArrayLike
) -> NDArray[np.float64]:
    """Angle above the horizontal at which one point sees another over the round earth.

    Parameters
    ----------
    distance_m : array_like
        Over the ground, along the geodesic. [m], >= 0
    height_from_m, height_to_m : array_like
        Of the observer's eye and of what is looked at, in one datum. [m]

    Returns
    -------
    ndarray, broadcast shape
        Positive upwards; NaN where both are one point. [deg]

    Raises
    ------
    DomainError
        If a distance is negative.

    Notes
    -----
    tan e = ((R + h2) cos(d/R) - (R + h1)) / ((R + h2) sin(d/R)), plane trigonometry in the
    triangle of the earth's centre and both points, on a sphere of radius `MEAN_EARTH_RADIUS_M`.
    The angle is the geometric one: the air's refraction, which lifts distant things a little, is
    left out, and so is whatever stands in between. The expected values come from topocentric
    coordinates on the ellipsoid (tests/published).
    """
    theta = within("distance_m", distance_m, 0.0) / MEAN_EARTH_RADIUS_M
    low_m, high_m = floats(height_from_m), floats(height_to_m)
    # cos a - 1 = -2 sin^2(a/2) keeps the metres that a difference of two radii would lose.
    up_m = high_m - low_m - 2.0 * (MEAN_EARTH_RADIUS_M + high_m) * np.sin(theta / 2.0) ** 2
    along_m = (MEAN_EARTH_RADIUS_M + high_m) * np.sin(theta)
    is_one_point = (up_m == 0.0) & (along_m == 0.0)
    return floats(np.where(is_one_point, np.nan, np.rad2deg(np.arctan2(up_m, along_m))))


def slant_range_m(
    ground_distance_m: ArrayLike, height_difference_m: ArrayLike
) -> NDArray[np.float64]:
    """Straight line between two points at different heights: Pythagoras. [m]

    Good to a millimetre per kilometre below 20 km, where the earth's roundness does not count.

    Raises
    ------
    DomainError
        If a distance is negative.
    """
    return floats(
        np.hypot(within("ground_distance_m", ground_distance_m, 0.0), floats(height_difference_m))
    )


def local_metres(
    latitude_deg: ArrayLike,
    longitude_deg: ArrayLike,
    origin_latitude_deg: float,
    origin_longitude_deg: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Metres east and north of an origin, true to distance and bearing from it.

    For drawing: the azimuthal equidistant projection, in which only lines through the origin keep
    their length.

    Parameters
    ----------
    latitude_deg, longitude_deg : array_like
        [deg]
    origin_latitude_deg, origin_longitude_deg : float
        [deg]

    Returns
    -------
    east_m, north_m : ndarray, same shape
        NaN where a coordinate is NaN. [m]

    Raises
    ------
    DomainError
        If a latitude lies beyond a pole or a longitude is infinite.

    References
    ----------
    .. [1] J. P. Snyder, "Map Projections: A Working Manual", USGS Professional Paper 1395 (1987),
       chapter 25 (chapter number from memory).
    """
    length_m, azimuth_deg = _inverse(
        origin_latitude_deg, origin_longitude_deg, latitude_deg, longitude_deg
    )
    azimuth = np.deg2rad(azimuth_deg)
    return floats(length_m * np.sin(azimuth)), floats(length_m * np.cos(azimuth))


def from_local_metres(
    east_m: ArrayLike,
    north_m: ArrayLike,
    origin_latitude_deg: float,
    origin_longitude_deg: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Latitude and longitude of metres east and north: the way back from `local_metres`.

    Parameters
    ----------
    east_m, north_m : array_like
        [m]
    origin_latitude_deg, origin_longitude_deg : float
        [deg]

    Returns
    -------
    latitude_deg, longitude_deg : ndarray, broadcast shape
        Longitude in [-180, 180]; NaN where a number is NaN. [deg]

    Raises
    ------
    DomainError
        If the origin is no place on the earth.
    """
    east, north = np.broadcast_arrays(floats(east_m), floats(north_m))
    latitude, longitude = _places(origin_latitude_deg, origin_longitude_deg)
    to_longitude, to_latitude, _ = _WGS84.fwd(
        np.broadcast_to(longitude, east.shape),
        np.broadcast_to(latitude, east.shape),
        np.rad2deg(np.arctan2(east, north)),
        np.hypot(east, north),
    )
    return floats(to_latitude), floats(to_longitude)


def path_length_m(
    latitude_deg: ArrayLike, longitude_deg: ArrayLike, segment: ArrayLike
) -> np.float64:
    """Length of a walked line: the sum of its steps, none of them across a break.

    Parameters
    ----------
    latitude_deg, longitude_deg : array_like, shape (n,)
        Points in the order walked; those without a position are left out. [deg]
    segment : array_like, shape (n,)
        Number of the segment of each point; a step joins two neighbours of one segment.

    Returns
    -------
    float64
        0 for fewer than two points. [m]

    Raises
    ------
    DomainError
        If the arrays differ in length, or a place is not on the earth.
    """
    latitude, longitude, part = floats(latitude_deg), floats(longitude_deg), np.asarray(segment)
    same_length(latitude_deg=latitude, longitude_deg=longitude, segment=part)
    is_known = ~(np.isnan(latitude) | np.isnan(longitude))
    latitude, longitude, part = latitude[is_known], longitude[is_known], part[is_known]
    step_m = distance_m(latitude[:-1], longitude[:-1], latitude[1:], longitude[1:])
    return np.float64(np.sum(step_m[part[1:] == part[:-1]]))


def _inverse(
    from_latitude_deg: ArrayLike,
    from_longitude_deg: ArrayLike,
    to_latitude_deg: ArrayLike,
    to_longitude_deg: ArrayLike,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return length and forward azimuth of the geodesics."""
    latitude_1, longitude_1 = _places(from_latitude_deg, from_longitude_deg)
    latitude_2, longitude_2 = _places(to_latitude_deg, to_longitude_deg)
    ends = np.broadcast_arrays(longitude_1, latitude_1, longitude_2, latitude_2)
    if ends[0].ndim != 1 or ends[0].size < _LEAST_FOR_THREADS:
        return _solved(*ends)
    # The solver lets other threads run meanwhile; each line is solved for itself.
    with ThreadPoolExecutor() as pool:
        solved = list(pool.map(_solved, *(np.array_split(each, _PORTIONS) for each in ends)))
    return (
        np.concatenate([length_m for length_m, _ in solved]),
        np.concatenate([azimuth_deg for _, azimuth_deg in solved]),
    )


def _solved(
    longitude_1: NDArray[np.float64],
    latitude_1: NDArray[np.float64],
    longitude_2: NDArray[np.float64],
    latitude_2: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    azimuth_deg, _, length_m = _WGS84.inv(longitude_1, latitude_1, longitude_2, latitude_2)
    return floats(length_m), floats(azimuth_deg)


def _places(
    latitude_deg: ArrayLike, longitude_deg: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    latitude = within("latitude_deg", latitude_deg, -90.0, 90.0)
    longitude = floats(longitude_deg)
    if np.any(np.isinf(longitude)):
        raise DomainError("longitude_deg must be finite; found inf")
    return latitude, longitude
