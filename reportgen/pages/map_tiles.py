"""Which tiles of the author's choice cover a map, each placed by its own corners."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from reportgen.compute.geodesy import from_local_metres, local_metres
from reportgen.compute.map_tiles import LARGEST_LATITUDE_DEG, tile_corner, tile_position
from reportgen.model.campaign import Tiles
from reportgen.model.station import Position
from reportgen.pages.charts.description import MapPicture, MapTiles, MapView
from reportgen.pages.charts.ink import WIDE
from reportgen.pages.charts.map_layout import extent_of, frame_of

MOST_TILES = 30
"""Of one map: enough for a sharp picture, few enough to be no burden to their server."""
LEAST_ZOOM = 8
"""Tiles of 156 km at the equator; wider ones are no rectangles on the ground."""
OPACITY_RATIO = 0.7
"""So that marks stand out on ground of any colour."""


def map_tiles(tiles: Tiles | None, view: MapView, origin: Position) -> MapTiles | None:
    """Return the tiles that cover a map as it opens.

    None where the author names none, and for a map across 180 degrees or hundreds of kilometres
    wide, which no few flat tiles can cover.
    """
    if tiles is None:
        return None
    for zoom in range(tiles.largest_zoom, LEAST_ZOOM - 1, -1):
        columns, rows = _numbers(view, origin, zoom)
        if len(columns) * len(rows) <= MOST_TILES:
            numbers = [(column, row) for row in rows for column in columns]
            pictures = tuple(_pictures(tiles, numbers, zoom, origin))
            host = tiles.source.partition("://")[2]
            return MapTiles(host=host, attribution=tiles.attribution, tiles=pictures)
    return None


def _numbers(view: MapView, origin: Position, zoom: int) -> tuple[range, range]:
    """Return columns and rows of the tiles that the drawing shows a part of."""
    frame = frame_of(extent_of(view), WIDE)
    shares = (0.0, 0.5, 1.0)
    places = [frame.ground(x * frame.width, y * frame.height) for x in shares for y in shares]
    east_m, north_m = zip(*places, strict=True)
    latitude, longitude = from_local_metres(
        east_m, north_m, origin.latitude_deg, origin.longitude_deg
    )
    x, y = tile_position(
        np.clip(latitude, -LARGEST_LATITUDE_DEG, LARGEST_LATITUDE_DEG), longitude, zoom
    )
    last = 2**zoom - 1
    return (
        range(int(x.min()), min(int(x.max()), last) + 1),
        range(int(y.min()), min(int(y.max()), last) + 1),
    )


def _pictures(
    tiles: Tiles, numbers: list[tuple[int, int]], zoom: int, origin: Position
) -> Iterator[MapPicture]:
    for column, row in numbers:
        latitude, longitude = tile_corner(
            [column, column + 1, column, column + 1], [row, row, row + 1, row + 1], zoom
        )
        east, north = local_metres(latitude, longitude, origin.latitude_deg, origin.longitude_deg)
        numbered = (("{z}", zoom), ("{x}", column), ("{y}", row))
        address = tiles.address
        for name, number in numbered:
            address = address.replace(name, str(number))
        yield MapPicture(
            title="",
            href=address,
            west=float(east[[0, 2]].mean()),
            east=float(east[[1, 3]].mean()),
            south=float(north[[2, 3]].mean()),
            north=float(north[[0, 1]].mean()),
            opacity_ratio=OPACITY_RATIO,
        )
