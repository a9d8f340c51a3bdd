"""The marks of the site, drawn: the same shape for the same thing in every chart, map and key."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from reportgen.pages.charts import ink
from reportgen.pages.charts.description import LineStyle, Mark, PointSeries, Scale
from reportgen.pages.charts.ink import Point
from reportgen.pages.charts.scale import CLASSES, class_colour, level_class

Place = Callable[[float, float], Point]

LINE_CSS = {
    LineStyle.TRACK: "track",
    LineStyle.OVERLAY: "overlay",
    LineStyle.AREA: "area",
    LineStyle.STATION: "station-line",
}
OWN_MARKS = (Mark.HEARD, Mark.MISSED, Mark.MISSED_PLACED)
"""Marks that say how the own station heard a frame."""
MAST = (
    ((0.0, 0.62), (0.0, -0.66)),
    ((0.0, -0.36), (-0.44, 0.58)),
    ((0.0, -0.36), (0.44, 0.58)),
)
"""Strokes of a mast and its two guys on a disc of radius 1, down positive."""


def series(points: PointSeries, place: Place, scale: Scale | None, radius: float) -> Iterator[str]:
    """Yield a series as SVG paths, one per colour."""
    places = [place(x, y) for x, y in zip(points.x, points.y, strict=True)]
    if points.mark is Mark.HEARD and points.level is not None and scale is not None:
        yield from _coloured(places, points.level, scale, radius)
        return
    yield ink.path("".join(_SHAPES[points.mark](x, y, radius) for x, y in places), points.mark)


def _coloured(
    places: Sequence[Point], levels: Sequence[float], scale: Scale, radius: float
) -> Iterator[str]:
    classes: dict[int, list[Point]] = {}
    for point, level in zip(places, levels, strict=True):
        classes.setdefault(level_class(level, scale), []).append(point)
    # Weak ones last: they are the ones that say where the reach ends.
    for number in sorted(classes, reverse=True):
        data = "".join(ink.circle(x, y, radius) for x, y in classes[number])
        yield ink.path(data, Mark.HEARD, class_colour(number))


def triangle(x: float, y: float, radius: float) -> str:
    """Return the path of a triangle, point up, about as large as a circle."""
    side, rise = 1.1 * radius, 1.25 * radius
    return (
        f"M{ink.number(x)} {ink.number(y - rise)}"
        f"l{ink.number(side)} {ink.number(1.65 * rise)}h{ink.number(-2 * side)}z"
    )


_SHAPES: dict[Mark, Callable[[float, float, float], str]] = {
    Mark.HEARD: ink.circle,
    Mark.MISSED: ink.circle,
    Mark.MISSED_PLACED: ink.circle,
    Mark.OTHER_STATION: triangle,
}


def station(x: float, y: float, radius: float, *, is_own: bool) -> str:
    """Return a station: a disc with a guyed mast, in the station's colour where it is our own."""
    css = Mark.STATION if is_own else Mark.STATION_OTHER
    disc = ink.path(ink.circle(x, y, radius), f"{css} disc")
    strokes = "".join(
        ink.line(x + x1 * radius, y + y1 * radius, x + x2 * radius, y + y2 * radius)
        for (x1, y1), (x2, y2) in MAST
    )
    return disc + ink.path(strokes, f"{css} mast")


def towards(x: float, y: float, bearing_deg: float, length: float) -> Point:
    """Return the place a way along a bearing, on a drawing whose top is north."""
    angle = math.radians(bearing_deg)
    return x + length * math.sin(angle), y - length * math.cos(angle)


def cone(x: float, y: float, heading_deg: float, half_angle_deg: float, length: float) -> str:
    """Return the path of the ground a photo looks at."""
    half_deg = min(half_angle_deg, 179.0)
    (x1, y1), (x2, y2) = (
        towards(x, y, heading_deg + turn, length) for turn in (-half_deg, half_deg)
    )
    radius, is_large = ink.number(length), int(half_deg > 90)
    return (
        f"{ink.polyline([(x, y), (x1, y1)])}A{radius} {radius} 0 {is_large} 1 "
        f"{ink.number(x2)} {ink.number(y2)}Z"
    )


def lens(x: float, y: float, radius: float) -> str:
    """Return the path of a photo that looked nobody knows where: an iris of six blades."""
    corners = [towards(x, y, 60 * number, radius) for number in range(6)]
    return ink.polyline(corners, closed=True)


@dataclass(frozen=True, slots=True)
class Arrow:
    """A direction of travel beside a track, in the units of the track; `dx, dy` has length 1."""

    x: float
    y: float
    dx: float
    dy: float


def arrows(piece: Sequence[Point], *, spacing: float, aside: float) -> Iterator[Arrow]:
    """Yield arrows at even steps along a line, to its right as the walker sees it, north up."""
    strides = _strides(piece, spacing / 5)
    way, due = 0.0, spacing / 2
    for (x1, y1), (x2, y2) in pairwise(strides):
        length = math.hypot(x2 - x1, y2 - y1)
        dx, dy = (x2 - x1) / length, (y2 - y1) / length
        while way + length >= due:
            x, y = x1 + (due - way) * dx, y1 + (due - way) * dy
            yield Arrow(x + aside * dy, y - aside * dx, dx, dy)
            due += spacing
        way += length


def _strides(piece: Sequence[Point], shortest: float) -> list[Point]:
    """Return points at least that far apart: a resting receiver wanders in all directions."""
    strides = list(piece[:1])
    for x, y in piece[1:]:
        if math.hypot(x - strides[-1][0], y - strides[-1][1]) >= shortest:
            strides.append((x, y))
    return strides


def chevron(x: float, y: float, dx: float, dy: float, size: float) -> str:
    """Return the path of an arrow's head that points along (dx, dy), down positive."""
    back_x, back_y = x - size * dx, y - size * dy
    left = (back_x - 0.7 * size * dy, back_y + 0.7 * size * dx)
    right = (back_x + 0.7 * size * dy, back_y - 0.7 * size * dx)
    return ink.polyline([left, (x, y), right])


def key_mark(mark: Mark, *, is_scaled: bool = False) -> str:
    """Return a mark alone, for a key; where levels colour it, in three of their colours."""
    shapes = _scaled_key() if is_scaled else _key_shapes(mark)
    return f'<svg class="key-mark" viewBox="0 0 24 24" aria-hidden="true">{"".join(shapes)}</svg>'


def _scaled_key() -> Iterator[str]:
    for x, part in ((19, 1.0), (12, 0.55), (5, 0.1)):
        colour = class_colour(round(part * (CLASSES - 1)))
        yield ink.path(ink.circle(x, 12, 5), Mark.HEARD, colour)


def _key_shapes(mark: Mark) -> Iterator[str]:
    if mark in _SHAPES:
        yield ink.path(_SHAPES[mark](12, 12, 6), mark)
    elif mark in (Mark.STATION, Mark.STATION_OTHER):
        yield station(12, 12, 11, is_own=mark is Mark.STATION)
    elif mark is Mark.PHOTO:
        yield ink.path(cone(4, 20, 45, 27, 20), "cone")
        yield ink.path(ink.circle(4, 20, 2), "apex")
    elif mark is Mark.PHOTO_UNAIMED:
        yield ink.path(lens(12, 12, 7), "lens")
    elif mark is Mark.AREA:
        yield ink.path("M1 6h22v12H1Z", "area")
    elif mark is Mark.RULE:
        yield ink.path("M0 12h24", "rule")
    else:
        yield ink.path("M1 18L9 8l5 5L23 5", _LINE_KEYS[mark])


_LINE_KEYS = {Mark.TRACK: "track", Mark.LINE: "overlay", Mark.STATION_LINE: "station-line"}
