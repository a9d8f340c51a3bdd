"""A map as a still drawing: equal metres both ways, rings, scale bar, north up."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import chain

from reportgen.pages.charts import ink, marks
from reportgen.pages.charts.description import (
    LineSeries,
    LineStyle,
    MapPhoto,
    MapPicture,
    MapView,
    PointSeries,
)
from reportgen.pages.charts.ink import Point, Size, number
from reportgen.pages.charts.layers import ALL, Layers, When, when_of_walk
from reportgen.pages.charts.map_layout import (
    BAR_DROP,
    CONE,
    STATION,
    Frame,
    Label,
    MapLayout,
    short_of,
)
from reportgen.pages.charts.marks import OWN_MARKS
from reportgen.pages.charts.square_drawing import squares, tagged
from reportgen.pages.charts.thinning import thinned

ARROW_SPACING = 105.0
ARROW_ASIDE = 11.0
MOST_ARROWS = 100
"""Whoever walks to and fro for hours would fill the drawing with them."""


def map_svg(view: MapView, size: Size, layout: MapLayout) -> str:
    """Return a map as SVG, laid out for that size, what must not be hidden last."""
    frame = layout.frame
    points = thinned(view.points, by_x=False)
    parts = chain(
        _ground(view, frame),
        squares(view, frame, size),
        _rings(layout),
        _cones(view.photos, frame, size),
        _tracks(view, frame),
        _points(view, points, frame, size),
    )
    above = chain(
        _photos(view.photos, layout, size), _stations(view, layout, size), _words(layout, size)
    )
    return ink.drawing(
        view.key,
        size,
        frame.height,
        title=view.title,
        description=view.summary,
        parts=parts,
        above=above,
    )


def _outline(line: LineSeries, frame: Frame) -> str:
    closed = line.style is LineStyle.AREA
    return "".join(
        ink.polyline([frame.place(x, y) for x, y in piece], closed=closed)
        for piece in line.pieces()
    )


def _ground(view: MapView, frame: Frame) -> Iterator[str]:
    yield (f'<rect class="ground" width="{number(frame.width)}" height="{number(frame.height)}"/>')
    for picture in view.pictures:
        yield _picture(picture, frame)
    for area in view.areas:
        yield ink.path(_outline(area, frame), marks.LINE_CSS[area.style])


def _picture(picture: MapPicture, frame: Frame) -> str:
    left, top = frame.place(picture.west, picture.north)
    right, bottom = frame.place(picture.east, picture.south)
    return (
        f'<image href="{ink.escaped(picture.href)}" x="{number(left)}" y="{number(top)}" '
        f'width="{number(right - left)}" height="{number(bottom - top)}" '
        f'opacity="{picture.opacity_ratio:g}" preserveAspectRatio="none"/>'
    )


def _rings(layout: MapLayout) -> Iterator[str]:
    frame = layout.frame
    x, y = frame.place(0.0, 0.0)
    circles = (ink.circle(x, y, radius_m * frame.per_metre) for radius_m, _ in layout.rings)
    yield ink.path("".join(circles), "ring")


def _points(
    view: MapView, points: Iterable[PointSeries], frame: Frame, size: Size
) -> Iterator[str]:
    for item in points:
        parts = marks.series(item, frame.place, view.scale, size.radius)
        yield tagged(parts, when_of_points(item, view.layers))


def when_of_points(points: PointSeries, layers: Layers | None) -> When:
    """Return when marks show: those of the own station not with the ground of others."""
    is_own = points.mark in OWN_MARKS and layers is not None
    return when_of_walk(points.walk, layers.own_grounds if is_own and layers else ())


def _tracks(view: MapView, frame: Frame) -> Iterator[str]:
    for line in view.lines:
        outline = ink.path(_outline(line, frame), marks.LINE_CSS[line.style])
        yield tagged([outline], when_of_walk(line.walk))
    for lines, when in arrow_groups(view):
        heads = []
        for arrow in track_arrows(lines, frame):
            x, y = frame.place(arrow.x, arrow.y)
            heads.append(marks.chevron(x, y, arrow.dx, -arrow.dy, 6))
        yield tagged([ink.path("".join(heads), "arrow")], when)


def arrow_groups(view: MapView) -> tuple[tuple[tuple[LineSeries, ...], When], ...]:
    """Return lines whose arrows are drawn together, and when: all, and those of each walk."""
    walks = tuple(dict.fromkeys(line.walk for line in view.lines if line.walk))
    if not walks:
        return ((view.lines, When()),)
    of_walk = (
        (tuple(line for line in view.lines if line.walk == walk), When(walk=(walk,)))
        for walk in walks
    )
    return ((view.lines, When(walk=(ALL,))), *of_walk)


def track_arrows(lines: Iterable[LineSeries], frame: Frame) -> tuple[marks.Arrow, ...]:
    """Return the arrows beside the tracks, in metres; one where walks went the same way."""
    kept: list[marks.Arrow] = []
    for line in lines:
        if line.style is not LineStyle.TRACK:
            continue
        for piece in line.pieces():
            found = marks.arrows(
                piece,
                spacing=ARROW_SPACING / frame.per_metre,
                aside=ARROW_ASIDE / frame.per_metre,
            )
            kept += [arrow for arrow in found if _adds(arrow, kept, frame)]
    return tuple(kept[:: math.ceil(len(kept) / MOST_ARROWS) or 1])


def _adds(arrow: marks.Arrow, others: Iterable[marks.Arrow], frame: Frame) -> bool:
    """Whether an arrow lies in the drawing and says what none near it says."""
    return frame.shows(frame.place(arrow.x, arrow.y)) and not any(
        abs(other.x - arrow.x) + abs(other.y - arrow.y) < 0.6 * ARROW_SPACING / frame.per_metre
        and other.dx * arrow.dx + other.dy * arrow.dy > 0.5
        for other in others
    )


def _cones(photos: Iterable[MapPhoto], frame: Frame, size: Size) -> Iterator[str]:
    length = CONE[size.name]
    cones = (
        marks.cone(*frame.place(p.x, p.y), p.heading_deg, p.half_angle_deg, length)
        for p in photos
        if p.heading_deg is not None
    )
    # One path each: where two look at the same ground it is the darker for it.
    yield from (ink.path(cone, "cone") for cone in cones)


def _photos(photos: Iterable[MapPhoto], layout: MapLayout, size: Size) -> Iterator[str]:
    """Yield apex and number; a link for the pointer, the key below has those for the keyboard."""
    for photo, label in zip(photos, layout.photos, strict=True):
        x, y = layout.frame.place(photo.x, photo.y)
        if photo.heading_deg is None:
            mark = ink.path(marks.lens(x, y, 1.5 * size.radius), "lens")
        else:
            mark = ink.path(ink.circle(x, y, 2.2), "apex")
        yield (
            f'<a href="{ink.escaped(photo.href)}" tabindex="-1" class="photo-mark">'
            f"{_leader((x, y), label)}{mark}{_centred(label, size, 'photo-number')}</a>"
        )


def _leader(start: Point, label: Label) -> str:
    """Return the line from a mark to a label that stands away from where it is looked for."""
    if not label.is_aside:
        return ""
    return ink.path(ink.polyline([start, short_of(start, label.centre)]), "leader")


def _stations(view: MapView, layout: MapLayout, size: Size) -> Iterator[str]:
    pairs = list(zip(view.stations, layout.stations, strict=True))
    for station, label in sorted(pairs, key=lambda pair: pair[0].is_own):
        if label is None:
            continue
        x, y = layout.frame.place(station.x, station.y)
        yield marks.station(x, y, STATION[size.name], is_own=station.is_own)
        yield _centred(label, size, "station-label")


def _words(layout: MapLayout, size: Size) -> Iterator[str]:
    for _, label in layout.rings:
        if label is not None:
            yield _centred(label, size, "ring-label")
    half = layout.bar_m * layout.frame.per_metre / 2
    x, y = layout.bar.centre
    base = y + BAR_DROP * size.letter
    yield ink.path(f"M{number(x - half)} {number(base - 5)}v5h{number(2 * half)}v-5", "scale-bar")
    yield _centred(layout.bar, size, "bar-label")
    x, y = layout.north
    yield ink.path(f"M{number(x)} {number(y + 24)}V{number(y - 8)}m-5 8l5-9l5 9", "north")
    yield _centred(Label(text=layout.north_text, centre=(x, y - 19)), size, "north-label")


def _centred(label: Label, size: Size, css: str) -> str:
    x, y = label.centre
    return ink.text(x, y + 0.35 * size.letter, label.text, css, anchor="middle")
