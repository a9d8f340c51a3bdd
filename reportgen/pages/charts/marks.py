"""The marks of the site, drawn: the same shape for the same thing in every chart, map and key."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from reportgen.pages.charts import ink
from reportgen.pages.charts.description import Mark, PointSeries, Scale
from reportgen.pages.charts.scale import class_colour, level_class

Point = tuple[float, float]
Place = Callable[[float, float], Point]

MOST_POINTS = 4000
"""Points of one series in a still drawing; more would make a page heavy and show no more."""


def thinned(series: PointSeries) -> tuple[int, ...]:
    """Return which points to draw: all, or evenly chosen ones with the highest and lowest kept."""
    count = len(series.x)
    if count <= MOST_POINTS:
        return tuple(range(count))
    width = math.ceil(count / (MOST_POINTS // 2))
    chosen: set[int] = set()
    for start in range(0, count, width):
        part = range(start, min(start + width, count))
        chosen |= {min(part, key=series.y.__getitem__), max(part, key=series.y.__getitem__)}
    return tuple(sorted(chosen))


def drawn(series: PointSeries, place: Place, scale: Scale | None, size: float) -> str:
    """Return a series as SVG; `size` is the diameter of a dot."""
    kept = thinned(series)
    points = [place(series.x[index], series.y[index]) for index in kept]
    if series.mark is Mark.HEARD and series.level is not None and scale is not None:
        return _coloured(points, [series.level[index] for index in kept], scale, size)
    return _PLAIN[series.mark](points, size)


def _coloured(points: list[Point], levels: list[float], scale: Scale, size: float) -> str:
    classes: dict[int, list[Point]] = {}
    for point, level in zip(points, levels, strict=True):
        classes.setdefault(level_class(level, scale), []).append(point)
    # Weak ones last: they are the ones that say where the reach ends.
    return "".join(
        f'<path class="dot-edge" stroke-width="{ink.number(size + 2)}" d="{ink.dots(part)}"/>'
        f'<path class="dot" stroke="{class_colour(number)}" stroke-width="{ink.number(size)}" '
        f'd="{ink.dots(part)}"/>'
        for number, part in sorted(classes.items(), reverse=True)
    )


def _heard(points: list[Point], size: float) -> str:
    path = ink.dots(points)
    return (
        f'<path class="dot-edge" stroke-width="{ink.number(size + 2)}" d="{path}"/>'
        f'<path class="dot dot-plain" stroke-width="{ink.number(size)}" d="{path}"/>'
    )


def _missed(points: list[Point], size: float) -> str:
    path = ink.dots(points)
    return (
        f'<path class="miss-edge" stroke-width="{ink.number(size)}" d="{path}"/>'
        f'<path class="miss-hole" stroke-width="{ink.number(size - 2.6)}" d="{path}"/>'
    )


def _missed_placed(points: list[Point], size: float) -> str:
    radius = size / 2 - 0.7
    return "".join(
        f'<circle class="miss-placed" cx="{ink.number(x)}" cy="{ink.number(y)}" '
        f'r="{ink.number(radius)}"/>'
        for x, y in points
    )


def triangle(x: float, y: float, size: float) -> str:
    """Return the path of a triangle, point up, centred on a place."""
    half = size * 0.58
    return (
        f"M{ink.number(x)} {ink.number(y - half)}l{ink.number(half)} {ink.number(1.7 * half)}"
        f"h{ink.number(-2 * half)}z"
    )


def _others(points: list[Point], size: float) -> str:
    path = "".join(triangle(x, y, size) for x, y in points)
    return f'<path class="other" d="{path}"/>'


_PLAIN: dict[Mark, Callable[[list[Point], float], str]] = {
    Mark.HEARD: _heard,
    Mark.MISSED: _missed,
    Mark.MISSED_PLACED: _missed_placed,
    Mark.OTHER_STATION: _others,
}


def station(x: float, y: float, *, is_own: bool) -> str:
    """Return a station: a disc with a mast for the own one, an open triangle for another."""
    if not is_own:
        return f'<path class="station-other" d="{triangle(x, y, 15)}"/>'
    return (
        f'<g class="station" transform="translate({ink.number(x)} {ink.number(y)})">'
        '<circle r="11"/><path d="M0 6V-2M-3.6 6h7.2M-3.4-2.6a4 4 0 0 1 6.8 0'
        'M-5.8-4.4a7 7 0 0 1 11.6 0"/></g>'
    )


def wedge(x: float, y: float, heading_deg: float, half_angle_deg: float, length: float) -> str:
    """Return the path of a view wedge on a drawing whose top is north."""

    def end(angle_deg: float) -> str:
        angle = math.radians(angle_deg)
        return (
            f"{ink.number(x + length * math.sin(angle))} {ink.number(y - length * math.cos(angle))}"
        )

    left, right = end(heading_deg - half_angle_deg), end(heading_deg + half_angle_deg)
    return (
        f"M{ink.number(x)} {ink.number(y)}L{left}A{ink.number(length)} {ink.number(length)} "
        f"0 0 1 {right}Z"
    )


def key_mark(mark: Mark, colours: Iterable[str] = ()) -> str:
    """Return a mark alone, for a key."""
    middle = ", ".join(colours)
    shape = _PLAIN[mark]([(10.0, 10.0)], 11.0)
    style = f' style="color: {middle}"' if middle else ""
    return f'<svg class="key-mark" viewBox="0 0 20 20" aria-hidden="true"{style}>{shape}</svg>'
