"""Tiles of the world map in Web Mercator: which one holds a place, and where its corners lie."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, within

LARGEST_LATITUDE_DEG = 85.051128779806604
"""arctan(sinh(pi)): where the square map of Web Mercator ends. [deg]"""


def tile_position(
    latitude_deg: ArrayLike, longitude_deg: ArrayLike, zoom: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Place on the map counted in tiles, from its north-west corner to the east and south.

    Parameters
    ----------
    latitude_deg, longitude_deg : array_like
        Within `LARGEST_LATITUDE_DEG` and 180 either way. [deg]
    zoom : int
        The map is 2**zoom tiles wide and high.

    Returns
    -------
    x, y : ndarray, broadcast shape
        The whole part numbers the tile, column and row.

    Raises
    ------
    DomainError
        If a place lies off the map.

    Notes
    -----
    x = 2^z (lon + 180) / 360; y = 2^z (1 - asinh(tan lat) / pi) / 2: rows counted from the north,
    as most servers do; the Tile Map Service counts them from the south.

    References
    ----------
    .. [1] EPSG:3857, WGS 84 / Pseudo-Mercator, and its square extent of 2 pi a (values checked
       against pyproj, tests/published).
    .. [2] OGC 17-083r4, Two Dimensional Tile Matrix Set, annex D, WebMercatorQuad (number of the
       annex from memory).
    """
    latitude = within("latitude_deg", latitude_deg, -LARGEST_LATITUDE_DEG, LARGEST_LATITUDE_DEG)
    longitude = within("longitude_deg", longitude_deg, -180.0, 180.0)
    count = 2.0**zoom
    x = count * (longitude + 180.0) / 360.0
    y = count * (1.0 - np.arcsinh(np.tan(np.deg2rad(latitude))) / np.pi) / 2.0
    return floats(x), floats(y)


def tile_corner(
    x: ArrayLike, y: ArrayLike, zoom: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Latitude and longitude of a place counted in tiles: the way back from `tile_position`.

    A tile's north-west corner has its own numbers, its south-east corner those one higher.

    Parameters
    ----------
    x, y : array_like
        From 0 to 2**zoom.
    zoom : int

    Returns
    -------
    latitude_deg, longitude_deg : ndarray, broadcast shape
        [deg]

    Raises
    ------
    DomainError
        If a number lies off the map.

    References
    ----------
    .. [1] As `tile_position`.
    """
    count = 2.0**zoom
    column, row = within("x", x, 0.0, count), within("y", y, 0.0, count)
    latitude = np.rad2deg(np.arctan(np.sinh(np.pi * (1.0 - 2.0 * row / count))))
    return floats(latitude), floats(360.0 * column / count - 180.0)
