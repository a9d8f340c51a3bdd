from __future__ import annotations

from dataclasses import replace

import pytest
from pyproj import CRS, Transformer

from reportgen.model.campaign import Tiles
from reportgen.model.station import Position
from reportgen.pages.charts.description import MapTiles, MapView
from reportgen.pages.charts.ink import WIDE
from reportgen.pages.charts.map_layout import extent_of, frame_of
from reportgen.pages.map_pictures import MOST_TILES, map_tiles
from tests.pages.chart_samples import map_of, points

ORIGIN = Position(latitude_deg=49.2, longitude_deg=-23.6)
TILES = Tiles(
    address="https://tiles.example.org/{z}/{x}/{y}.png",
    source="https://tiles.example.org",
    attribution="nobody",
    largest_zoom=19,
)


def walk_map() -> MapView:
    view = map_of(points((-700.0, 900.0), (-400.0, 800.0)))
    return replace(view, lines=(), photos=(), stations=())


def tiles_of(view: MapView, origin: Position = ORIGIN, largest_zoom: int = 19) -> MapTiles:
    found = map_tiles(replace(TILES, largest_zoom=largest_zoom), view, origin)
    assert found is not None
    return found


def test_each_tile_lies_where_its_corners_are_in_the_map() -> None:
    """The corner by EPSG:3857, the metres by PROJ's azimuthal equidistant projection."""
    ground = CRS.from_proj4(
        f"+proj=aeqd +lat_0={ORIGIN.latitude_deg} +lon_0={ORIGIN.longitude_deg} +ellps=WGS84"
    )
    way = Transformer.from_crs(CRS.from_epsg(3857), ground, always_xy=True)
    half_m = 20037508.342789244

    for tile in tiles_of(walk_map()).tiles:
        zoom, column, row = map(int, tile.href.removesuffix(".png").split("/")[-3:])
        edge_m = 2 * half_m / 2**zoom
        west, north = way.transform(column * edge_m - half_m, half_m - row * edge_m)
        east, south = way.transform((column + 1) * edge_m - half_m, half_m - (row + 1) * edge_m)
        # Meridians lean: a tile is a rectangle to within half a metre here.
        assert (tile.west, tile.east) == pytest.approx((west, east), abs=0.5)
        assert (tile.south, tile.north) == pytest.approx((south, north), abs=0.5)


@pytest.mark.parametrize("latitude_deg", [0.0, 49.2, -64.0, 79.0])
def test_tiles_cover_the_whole_drawing_and_are_few(latitude_deg: float) -> None:
    view = walk_map()
    frame = frame_of(extent_of(view), WIDE)
    west, north = frame.ground(0.0, 0.0)
    east, south = frame.ground(frame.width, frame.height)

    found = tiles_of(view, replace(ORIGIN, latitude_deg=latitude_deg)).tiles

    assert 1 < len(found) <= MOST_TILES
    assert min(tile.west for tile in found) <= west + 1.0
    assert max(tile.east for tile in found) >= east - 1.0
    assert min(tile.south for tile in found) <= south + 1.0
    assert max(tile.north for tile in found) >= north - 1.0


def test_no_tile_is_asked_for_beyond_the_servers_largest_zoom() -> None:
    zooms = {tile.href.split("/")[3] for tile in tiles_of(walk_map(), largest_zoom=11).tiles}

    assert zooms == {"11"}


@pytest.mark.parametrize(
    "origin",
    [
        Position(latitude_deg=89.9, longitude_deg=0.0),
        Position(latitude_deg=-16.8, longitude_deg=180.0),
    ],
    ids=["at the pole", "at 180 degrees"],
)
def test_where_the_world_map_ends_nothing_breaks(origin: Position) -> None:
    found = map_tiles(TILES, walk_map(), origin)

    assert found is None or len(found.tiles) <= MOST_TILES


def test_without_tiles_there_are_none() -> None:
    assert map_tiles(None, walk_map(), ORIGIN) is None
