"""Web Mercator tiles against EPSG:3857 as pyproj computes it, and the square it is cut from."""

from __future__ import annotations

import math

import numpy as np
import pytest
from pyproj import CRS, Transformer

from reportgen.compute.map_tiles import LARGEST_LATITUDE_DEG, tile_corner, tile_position
from reportgen.errors import DomainError

HALF_M = math.pi * 6_378_137.0
"""Half the side of the square map: pi times the semi-major axis of WGS 84 (EPSG:7030)."""
TO_METRES = Transformer.from_crs(CRS.from_epsg(4326), CRS.from_epsg(3857), always_xy=True)


@pytest.mark.parametrize("zoom", [0, 1, 13, 19])
def test_a_place_falls_where_epsg_3857_puts_it(zoom: int) -> None:
    """PROJ's projection to metres, scaled to tiles of 2 pi a / 2^z, rows from the north."""
    chance = np.random.default_rng(12)
    longitude, latitude = chance.uniform(-180, 180, 200), chance.uniform(-85, 85, 200)
    east_m, north_m = TO_METRES.transform(longitude, latitude)
    tile_m = 2 * HALF_M / 2**zoom

    x, y = tile_position(latitude, longitude, zoom)

    # A millimetre on the ground's map.
    assert x * tile_m == pytest.approx(east_m + HALF_M, abs=1e-3)
    assert y * tile_m == pytest.approx(HALF_M - north_m, abs=1e-3)


@pytest.mark.parametrize(("x", "y", "zoom"), [(0, 0, 0), (4093, 2724, 13), (261_966, 174_348, 19)])
def test_the_corners_of_a_tile_are_those_of_epsg_3857(x: int, y: int, zoom: int) -> None:
    tile_m = 2 * HALF_M / 2**zoom
    longitude, latitude = TO_METRES.transform(
        [x * tile_m - HALF_M, (x + 1) * tile_m - HALF_M],
        [HALF_M - y * tile_m, HALF_M - (y + 1) * tile_m],
        direction="INVERSE",
    )

    got_latitude, got_longitude = tile_corner([x, x + 1], [y, y + 1], zoom)

    assert got_latitude == pytest.approx(latitude, abs=1e-9)
    assert got_longitude == pytest.approx(longitude, abs=1e-9)


def test_the_map_ends_at_the_latitude_that_makes_it_square() -> None:
    """85.0511 degrees in OGC tile matrix sets (printed digits from memory): atan(sinh pi)."""
    assert pytest.approx(85.0511, abs=5e-5) == LARGEST_LATITUDE_DEG
    assert pytest.approx(math.degrees(math.atan(math.sinh(math.pi)))) == LARGEST_LATITUDE_DEG
    assert tile_position(LARGEST_LATITUDE_DEG, -180.0, 5)[1] == pytest.approx(0.0, abs=1e-9)
    with pytest.raises(DomainError):
        tile_position(86.0, 0.0, 5)


def test_there_and_back_is_the_same_place() -> None:
    latitude, longitude = tile_corner(*tile_position([49.2, -33.9], [-23.6, 151.2], 15), 15)

    assert latitude == pytest.approx([49.2, -33.9], abs=1e-10)
    assert longitude == pytest.approx([-23.6, 151.2], abs=1e-10)
