"""A map as a still drawing: equal metres both ways, rings, scale bar, north up."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from reportgen.pages.charts import ink, marks
from reportgen.pages.charts.description import (
    ChartWords,
    LineSeries,
    LineStyle,
    MapPhoto,
    MapStation,
    MapView,
    PointSeries,
)
from reportgen.pages.charts.ticks import ring_radii_m, scale_bar_m
from reportgen.pages.formats import number_text, with_unit

LEAST_SPAN_M = 120.0
"""A map of one spot still shows some ground around it."""
ROOM = 0.07


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """Width of a drawing, and how high it may grow."""

    css: str
    width: float
    least_height: float
    most_height: float
    dot: float


WIDE = Sheet(css="still-wide", width=1040, least_height=420, most_height=720, dot=9)
NARROW = Sheet(css="still-narrow", width=380, least_height=300, most_height=520, dot=7.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Extent:
    """Ground shown, in metres from the map's origin."""

    west_m: float
    east_m: float
    south_m: float
    north_m: float

    @property
    def width_m(self) -> float:
        """West to east."""
        return self.east_m - self.west_m

    @property
    def height_m(self) -> float:
        """South to north."""
        return self.north_m - self.south_m


def extent_of(view: MapView) -> Extent:
    """Return the ground that was walked, the own stations and the photos, with some room."""
    xs: list[float] = []
    ys: list[float] = []
    shown: tuple[LineSeries | PointSeries, ...] = (*view.points, *view.lines)
    for series in shown:
        xs += series.x
        ys += series.y
    places = [(station.x, station.y) for station in view.stations if station.is_own]
    for x, y in (*places, *((photo.x, photo.y) for photo in view.photos)):
        xs.append(x)
        ys.append(y)
    if not xs:
        xs, ys = [0.0], [0.0]
    room_m = ROOM * max(max(xs) - min(xs), max(ys) - min(ys), LEAST_SPAN_M)
    west, east = _spread(min(xs) - room_m, max(xs) + room_m)
    south, north = _spread(min(ys) - room_m, max(ys) + room_m)
    return Extent(west_m=west, east_m=east, south_m=south, north_m=north)


def _spread(low: float, high: float) -> tuple[float, float]:
    lacking = max(0.0, LEAST_SPAN_M - (high - low)) / 2
    return low - lacking, high + lacking


@dataclass(frozen=True, slots=True, kw_only=True)
class Projection:
    """Metres to places in the drawing, the same scale both ways."""

    extent: Extent
    per_metre: float
    width: float
    height: float

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Return the place of a point of the ground."""
        middle_x = (self.extent.west_m + self.extent.east_m) / 2
        middle_y = (self.extent.south_m + self.extent.north_m) / 2
        return (
            self.width / 2 + (x - middle_x) * self.per_metre,
            self.height / 2 - (y - middle_y) * self.per_metre,
        )


def projection_of(extent: Extent, sheet: Sheet) -> Projection:
    """Fit the ground into a sheet."""
    height = sheet.width * extent.height_m / extent.width_m
    height = min(sheet.most_height, max(sheet.least_height, height))
    per_metre = min(sheet.width / extent.width_m, height / extent.height_m)
    return Projection(extent=extent, per_metre=per_metre, width=sheet.width, height=height)


def length_label(length_m: float, words: ChartWords) -> str:
    """Return a round length: 200 m, 1.5 km."""
    if length_m >= 1000:
        km = length_m / 1000
        return with_unit(number_text(km, 0 if km.is_integer() else 1), words.kilometre)
    return with_unit(number_text(length_m), words.metre)


def map_svg(view: MapView, sheet: Sheet, words: ChartWords) -> str:
    """Return a map as SVG."""
    projection = projection_of(extent_of(view), sheet)
    parts = [
        *_ground(view, projection),
        *(_rings(view, projection, words) if view.has_rings else ()),
        *(_track(line, projection) for line in view.lines),
        *(_wedge(photo, projection) for photo in view.photos),
        *(marks.drawn(s, projection.place, view.scale, sheet.dot) for s in view.points),
        *(_photo(photo, projection) for photo in view.photos),
        *_stations(view.stations, projection),
        *_furniture(projection, words),
    ]
    css = f"still still-map {sheet.css}"
    return ink.svg(projection.width, projection.height, css, view.title, parts)


def _line_places(line: LineSeries, projection: Projection) -> list[tuple[float, float]]:
    return [projection.place(x, y) for x, y in zip(line.x, line.y, strict=True)]


def _ground(view: MapView, projection: Projection) -> Iterator[str]:
    yield (
        f'<rect class="ground" width="{ink.number(projection.width)}" '
        f'height="{ink.number(projection.height)}"/>'
    )
    for area in view.areas:
        closed = area.style is LineStyle.AREA
        css = "area" if closed else "overlay"
        yield ink.polyline(_line_places(area, projection), css, closed=closed)


def ring_radii(view: MapView) -> tuple[float, ...]:
    """Return the radii of a map's rings: as far as its corners, so that no part is unruled."""
    extent = extent_of(view)
    farthest = max(
        math.hypot(x, y)
        for x in (extent.west_m, extent.east_m)
        for y in (extent.south_m, extent.north_m)
    )
    return ring_radii_m(farthest)


def _rings(view: MapView, projection: Projection, words: ChartWords) -> Iterator[str]:
    x, y = projection.place(0.0, 0.0)
    for radius_m in ring_radii(view):
        radius = radius_m * projection.per_metre
        yield (
            f'<circle class="ring" cx="{ink.number(x)}" cy="{ink.number(y)}" '
            f'r="{ink.number(radius)}"/>'
        )
        for label_x, label_y in (
            (x, y - radius),
            (x, y + radius),
            (x + radius, y),
            (x - radius, y),
        ):
            is_inside = (
                14 < label_y < projection.height - 30 and 24 < label_x < projection.width - 60
            )
            if is_inside:
                yield ink.text(
                    label_x + 4, label_y - 4, length_label(radius_m, words), "ring-label"
                )
                break


def _track(line: LineSeries, projection: Projection) -> str:
    return ink.polyline(_line_places(line, projection), "track")


def _wedge(photo: MapPhoto, projection: Projection) -> str:
    if photo.heading_deg is None:
        return ""
    x, y = projection.place(photo.x, photo.y)
    path = marks.wedge(x, y, photo.heading_deg, photo.half_angle_deg, 30)
    return f'<path class="view-wedge" d="{path}"/>'


def _photo(photo: MapPhoto, projection: Projection) -> str:
    x, y = projection.place(photo.x, photo.y)
    label = ink.text(0, 4, str(photo.number), "photo-mark-number", anchor="middle")
    return (
        f'<a href="{photo.href}" class="photo-mark" aria-label="{photo.label}">'
        f'<g transform="translate({ink.number(x)} {ink.number(y)})">'
        f'<rect x="-9" y="-9" width="18" height="18"/>{label}</g></a>'
    )


def _stations(stations: tuple[MapStation, ...], projection: Projection) -> Iterator[str]:
    for station in sorted(stations, key=lambda item: item.is_own):
        x, y = projection.place(station.x, station.y)
        if not (0 <= x <= projection.width and 0 <= y <= projection.height):
            continue
        yield marks.station(x, y, is_own=station.is_own)
        left = x > projection.width * 0.72
        yield ink.text(
            x - 15 if left else x + 15, y - 12, station.name, "station-label",
            anchor="end" if left else "start",
        )  # fmt: skip


def _furniture(projection: Projection, words: ChartWords) -> Iterator[str]:
    bar_m = scale_bar_m(projection.width / projection.per_metre)
    length, base = bar_m * projection.per_metre, projection.height - 16
    yield f'<path class="scale-bar" d="M16 {ink.number(base - 5)}v5h{ink.number(length)}v-5"/>'
    yield ink.text(16 + length / 2, base - 9, length_label(bar_m, words), "ring-label",
                   anchor="middle")  # fmt: skip
    x = projection.width - 24
    yield f'<path class="north" d="M{ink.number(x)} 46V18m-5 8l5-9l5 9"/>'
    yield ink.text(x, 61, words.north, "tick", anchor="middle")
