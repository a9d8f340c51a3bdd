"""What lies under a map: the author's pictures, and tiles of the author's choice."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike

from reportgen.compute.geodesy import from_local_metres, local_metres
from reportgen.compute.map_tiles import LARGEST_LATITUDE_DEG, tile_corner, tile_position
from reportgen.model.campaign import Tiles
from reportgen.model.station import Position
from reportgen.pages.charts.description import MapPicture, MapTiles, MapView
from reportgen.pages.charts.ink import WIDE
from reportgen.pages.charts.map_layout import extent_of, frame_of
from reportgen.pages.context import PICTURES, Context
from reportgen.pages.file_names import overlay_title

MOST_TILES = 30
"""Of one map: enough for a sharp picture, few enough to be no burden to their server."""
LEAST_ZOOM = 8
"""Tiles of 156 km at the equator; wider ones are no rectangles on the ground."""
OPACITY_RATIO = 0.7
"""So that marks stand out on ground of any colour."""


def overlay_pictures(context: Context, origin: Position, up: str) -> tuple[MapPicture, ...]:
    """Return the author's pictures as they were published; `up` leads to the site's root."""
    pictures = []
    for overlay in context.campaign.picture_overlays:
        published = context.published.get(overlay.key)
        if published is None or not published.pictures:
            continue
        corners = (overlay.north_west, overlay.south_east)
        west, east, south, north = _sides(
            [corner.latitude_deg for corner in corners],
            [corner.longitude_deg for corner in corners],
            origin,
        )
        picture = MapPicture(
            title=overlay_title(context.words, overlay.path, overlay.title),
            href=f"{up}{PICTURES}/{published.pictures[-1].name}",
            west=west,
            east=east,
            south=south,
            north=north,
            opacity_ratio=overlay.opacity_ratio,
        )
        pictures.append(picture)
    return tuple(pictures)


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
        latitude_deg, longitude_deg = tile_corner([column, column + 1], [row, row + 1], zoom)
        address = tiles.address
        for name, number in (("{z}", zoom), ("{x}", column), ("{y}", row)):
            address = address.replace(name, str(number))
        west, east, south, north = _sides(latitude_deg, longitude_deg, origin)
        yield MapPicture(
            title="", href=address, west=west, east=east, south=south, north=north,
            opacity_ratio=OPACITY_RATIO,
        )  # fmt: skip


def _sides(
    latitude_deg: ArrayLike, longitude_deg: ArrayLike, origin: Position
) -> tuple[float, float, float, float]:
    """Return west, east, south and north of a picture between two corners, north-west first.

    Sides are taken by their middle: north up, a picture is all but a rectangle, as meridians lean
    by metres over kilometres. [m]
    """
    (north, south), (west, east) = np.asarray(latitude_deg), np.asarray(longitude_deg)
    x, y = local_metres(
        [[north, north], [south, south]],
        [[west, east], [west, east]],
        origin.latitude_deg,
        origin.longitude_deg,
    )
    (left, right), (top, bottom) = x.mean(axis=0), y.mean(axis=1)
    return float(left), float(right), float(bottom), float(top)
