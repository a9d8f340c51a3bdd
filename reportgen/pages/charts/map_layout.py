"""The ground of a map, the way from metres to places in the drawing, and where its words go."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from reportgen.pages.charts.description import (
    ChartWords,
    LineSeries,
    MapPhoto,
    MapStation,
    MapView,
    PointSeries,
)
from reportgen.pages.charts.ink import NARROW, Point, Size, text_width
from reportgen.pages.charts.labels import Box, Room, square, text_box
from reportgen.pages.charts.marks import towards
from reportgen.pages.charts.thinning import thinned
from reportgen.pages.charts.ticks import ring_radii_m, scale_bar_m
from reportgen.pages.units import METRIC, Units

LEAST_SPAN_M = 120.0
"""A map of one spot still shows some ground around it."""
ROOM = 0.07
HEIGHTS = {"wide": (0.4, 0.72), "narrow": (0.8, 1.3)}
"""Least and greatest height of a drawing to its width."""
CONE = {"wide": 40.0, "narrow": 30.0}
STATION = {"wide": 12.0, "narrow": 10.0}
LETTERS_ROOM = 9.0
"""A line to a number ends so far from its middle."""
BAR_DROP = 1.15
"""From the middle of the scale bar's label down to the bar, in letters."""
SHRUNK = 0.7
"""The interactive map keeps its letters as large down to this share of the wide drawing."""
_BEARINGS = (0, 90, 180, 270, 45, 315, 135, 225, *range(15, 360, 15))
_TURNS = (0, 35, -35, 75, -75, 120, -120, 180)


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
    own = [station for station in view.stations if station.is_own]
    shown: tuple[PointSeries | LineSeries, ...] = (*view.points, *view.lines)
    alone: tuple[MapStation | MapPhoto, ...] = (*own, *view.photos)
    xs = [*(item.x for item in alone), *(x for item in shown for x in _ends(item.x))] or [0.0]
    ys = [*(item.y for item in alone), *(y for item in shown for y in _ends(item.y))] or [0.0]
    room_m = ROOM * max(max(xs) - min(xs), max(ys) - min(ys), LEAST_SPAN_M)
    west, east = _spread(min(xs) - room_m, max(xs) + room_m)
    south, north = _spread(min(ys) - room_m, max(ys) + room_m)
    return Extent(west_m=west, east_m=east, south_m=south, north_m=north)


def _ends(values: Sequence[float]) -> tuple[float, ...]:
    return (min(values), max(values)) if values else ()


def _spread(low: float, high: float) -> tuple[float, float]:
    lacking = max(0.0, LEAST_SPAN_M - (high - low)) / 2
    return low - lacking, high + lacking


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Metres to places in the drawing, the same scale both ways."""

    east_m: float
    north_m: float
    """Ground at the centre of the drawing."""
    per_metre: float
    width: float
    height: float

    def place(self, x: float, y: float) -> Point:
        """Return the place of a point of the ground."""
        return (
            self.width / 2 + (x - self.east_m) * self.per_metre,
            self.height / 2 - (y - self.north_m) * self.per_metre,
        )

    def ground(self, x: float, y: float) -> Point:
        """Return the point of the ground at a place."""
        return (
            self.east_m + (x - self.width / 2) / self.per_metre,
            self.north_m - (y - self.height / 2) / self.per_metre,
        )

    def shows(self, place: Point) -> bool:
        """Whether a place lies in the drawing."""
        return 0 <= place[0] <= self.width and 0 <= place[1] <= self.height


def frame_of(extent: Extent, size: Size) -> Frame:
    """Fit the ground into a drawing, which grows higher with it within limits."""
    least, most = HEIGHTS[size.name]
    ratio = min(most, max(least, extent.height_m / extent.width_m))
    height = round(size.width * ratio)
    return Frame(
        east_m=(extent.west_m + extent.east_m) / 2,
        north_m=(extent.south_m + extent.north_m) / 2,
        per_metre=min(size.width / extent.width_m, height / extent.height_m),
        width=size.width,
        height=height,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A text around its centre; `is_aside` where a line has to lead to what it names."""

    text: str
    centre: Point
    is_aside: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MapLayout:
    """Everything about a map that takes finding a place for.

    `photos` and `stations` run along with those of the map; a station outside has None.
    """

    frame: Frame
    rings: tuple[tuple[float, Label | None], ...]
    """Radius in metres, and its label where there is room for one."""
    photos: tuple[Label, ...]
    stations: tuple[Label | None, ...]
    bar_m: float
    bar: Label
    """Label over the scale bar; the bar lies centred below it."""
    north: Point
    """Centre of the north arrow."""
    north_text: str
    taken: tuple[Box, ...]


def map_layout(view: MapView, size: Size, words: ChartWords) -> MapLayout:
    """Lay out a map: marks first, then stations, photos, scale bar, north arrow and rings."""
    frame = frame_of(extent_of(view), size)
    points = thinned(view.points, by_x=False)
    marks = [frame.place(x, y) for s in points for x, y in zip(s.x, s.y, strict=True)]
    room = Room(frame.width, frame.height, marks, size.radius)
    for station in view.stations:
        room.claim(square(frame.place(station.x, station.y), STATION[size.name] + 2))
    stations = tuple(_station(station, frame, size, room) for station in view.stations)
    for station in view.stations:
        place = frame.place(station.x, station.y)
        room.spare(_as_shrunk(place, square(place, STATION[size.name]), size))
    photos = tuple(_photo(photo, frame, size, room) for photo in view.photos)
    north = _corner(frame, room, 22, 30)
    bar_m = scale_bar_m(frame.width / frame.per_metre, words.units)
    bar = _bar(words.units.round_length(bar_m), bar_m * frame.per_metre, frame, size, room)
    rings = tuple(_rings(view, frame, size, words, room)) if view.has_rings else ()
    return MapLayout(
        frame=frame,
        rings=rings,
        photos=photos,
        stations=stations,
        bar_m=bar_m,
        bar=bar,
        north=north,
        north_text=words.north,
        taken=room.taken,
    )


def _station(station: MapStation, frame: Frame, size: Size, room: Room) -> Label | None:
    x, y = frame.place(station.x, station.y)
    if not frame.shows((x, y)):
        return None
    away = STATION[size.name] + 8
    aside = away + text_width(station.name, size.letter) / 2
    centres = [
        (x + aside, y), (x - aside, y), (x, y - away - 5), (x, y + away + 5),
        (x + aside, y - away), (x - aside, y - away), (x + aside, y + away), (x - aside, y + away),
    ]  # fmt: skip
    return _placed(station.name, (x, y), centres, size, room)


def _as_shrunk(place: Point, box: Box, size: Size) -> Box:
    """Return what a text beside a place covers where its drawing is as small as it gets."""
    if size is NARROW:
        return box
    x, y = place
    return Box(
        min(box.left, x + (box.left - x) / SHRUNK),
        min(box.top, y + (box.top - y) / SHRUNK),
        max(box.right, x + (box.right - x) / SHRUNK),
        max(box.bottom, y + (box.bottom - y) / SHRUNK),
    )


def _photo(photo: MapPhoto, frame: Frame, size: Size, room: Room) -> Label:
    x, y = frame.place(photo.x, photo.y)
    away = CONE[size.name] + 9 if photo.heading_deg is not None else 2.2 * size.radius + 9
    heading_deg = 0.0 if photo.heading_deg is None else photo.heading_deg
    centres = [
        towards(x, y, heading_deg + turn, distance)
        for distance in (away, away + 14)
        for turn in _TURNS
    ]
    label = _placed(str(photo.number), (x, y), centres, size, room)
    return replace(label, is_aside=label.centre != centres[0])


def short_of(start: Point, centre: Point) -> Point:
    """Return where a line from a mark to a label ends, short of its letters."""
    dx, dy = centre[0] - start[0], centre[1] - start[1]
    kept = max(0.0, 1 - LETTERS_ROOM / math.hypot(dx, dy))
    return start[0] + kept * dx, start[1] + kept * dy


def _placed(text: str, place: Point, centres: Sequence[Point], size: Size, room: Room) -> Label:
    """Return a label beside a place, where it is best both in full size and shrunk."""
    boxes = [_as_shrunk(place, text_box(centre, text, size.letter), size) for centre in centres]
    best = room.best(boxes)
    room.claim(boxes[best])
    return Label(text=text, centre=centres[best])


def _corner(frame: Frame, room: Room, half_width: float, half_height: float) -> Point:
    """Return the emptiest corner, north-east first."""
    left, right = half_width + 6, frame.width - half_width - 6
    top, bottom = half_height + 6, frame.height - half_height - 6
    centres = [(right, top), (left, top), (right, bottom), (left, bottom)]
    boxes = [
        Box(x - half_width, y - half_height, x + half_width, y + half_height) for x, y in centres
    ]
    best = room.best(boxes)
    room.claim(boxes[best])
    return centres[best]


def _bar(text: str, length: float, frame: Frame, size: Size, room: Room) -> Label:
    """Place the scale bar in a lower corner, else an upper one; its label stands above it."""
    half_width = max(length, text_width(text, size.letter)) / 2 + 8
    left, right = half_width + 8, frame.width - half_width - 8
    centres = [
        (x, y) for y in (frame.height - 1.9 * size.letter, 1.6 * size.letter) for x in (left, right)
    ]
    boxes = [
        Box(x - half_width, y - 0.8 * size.letter, x + half_width, y + 1.4 * size.letter)
        for x, y in centres
    ]
    best = room.best(boxes)
    room.claim(boxes[best])
    return Label(text=text, centre=centres[best])


def _rings(
    view: MapView, frame: Frame, size: Size, words: ChartWords, room: Room
) -> Iterator[tuple[float, Label | None]]:
    """Label the rings along one bearing where they fit, each where it fits best otherwise."""
    radii = ring_radii(view, words.units)
    texts = [words.units.round_length(radius_m) for radius_m in radii]
    boxes = {
        bearing: [
            text_box(_on_ring(frame, radius_m, bearing), text, size.letter)
            for radius_m, text in zip(radii, texts, strict=True)
        ]
        for bearing in _BEARINGS
    }
    common = min(_BEARINGS, key=lambda bearing: sum(map(room.cost, boxes[bearing])))
    for index, (radius_m, text) in enumerate(zip(radii, texts, strict=True)):
        order = (common, *_BEARINGS)
        bearing = order[room.best([boxes[bearing][index] for bearing in order])]
        box = boxes[bearing][index]
        if room.cost(box) >= (12 if size is not NARROW else 6):
            yield radius_m, None
            continue
        room.claim(box)
        yield radius_m, Label(text=text, centre=_on_ring(frame, radius_m, bearing))


def _on_ring(frame: Frame, radius_m: float, bearing_deg: float) -> Point:
    x, y = frame.place(0.0, 0.0)
    return towards(x, y, bearing_deg, radius_m * frame.per_metre)


def ring_radii(view: MapView, units: Units = METRIC) -> tuple[float, ...]:
    """Return the radii of a map's rings: as far as its corners, so that no part is unruled."""
    extent = extent_of(view)
    return ring_radii_m(
        max(
            math.hypot(x, y)
            for x in (extent.west_m, extent.east_m)
            for y in (extent.south_m, extent.north_m)
        ),
        units,
    )
