"""The same maps for the chart library: points in metres, one metre as long both ways, no tiles."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from reportgen.pages.charts.description import (
    ChartWords,
    LineSeries,
    LineStyle,
    MapPhoto,
    MapPicture,
    MapView,
    Mark,
)
from reportgen.pages.charts.figure_json import (
    CLEAR,
    PALETTE,
    Json,
    Switch,
    figure_json,
    layout_of,
    note,
    points_trace,
    rounded,
    shown,
    stroke,
)
from reportgen.pages.charts.ink import NARROW, SEEN, WIDE, Size
from reportgen.pages.charts.interactive_squares import square_traces
from reportgen.pages.charts.layers import When, when_of_walk
from reportgen.pages.charts.map_drawing import arrow_groups, track_arrows, when_of_points
from reportgen.pages.charts.map_layout import (
    BAR_DROP,
    CONE,
    STATION,
    Frame,
    Label,
    MapLayout,
    short_of,
)
from reportgen.pages.charts.marks import MAST
from reportgen.pages.charts.outlines import telling_points
from reportgen.pages.charts.thinning import thinned

_ARC_STEP_DEG = 6.0
OVER_PICTURES = "between"
"""Under all marks; what is "below" would lie under the pictures too."""
_BUTTONS_PX = 30
"""Height of the library's buttons in the upper right corner."""


def map_json(view: MapView, words: ChartWords, wide: MapLayout, narrow: MapLayout) -> str:
    """Return a map as the JSON of a figure, laid out as both still drawings."""
    frame = wide.frame
    marks = [*_tracks(view.lines, frame)]
    for lines, when in arrow_groups(view):
        marks += [(trace, when) for trace in _arrows(lines, frame)]
    marks += _points(view, frame)
    marks += [(trace, When()) for trace in (*_photos(view.photos), *_stations(view))]
    switched: list[tuple[Json, Switch]] = [*square_traces(view)]
    switched += [(trace, {**when.by_kind}) for trace, when in marks]
    sheet = layout_of({"l": 0, "r": 0, "t": 0, "b": 0}) | _sheet(view, wide)
    return figure_json(
        [trace for trace, _ in switched],
        sheet,
        words,
        None if view.layers is None else [switch for _, switch in switched],
        None if view.tiles is None else [_picture(tile) for tile in view.tiles.tiles],
        _narrow(view, narrow, len(_fixed_shapes(view, wide))),
    )


def _narrow(view: MapView, layout: MapLayout, fixed: int) -> Json:
    """Return what a phone shows otherwise: ranges, words, shapes after the fixed ones, marks."""
    return {
        **_ranges(layout.frame),
        "annotations": list(_words(view, layout, NARROW)),
        "fixed": fixed,
        "shapes": _sized_shapes(view, layout, NARROW),
        "marks": round(NARROW.radius / WIDE.radius, 2),
    }


def _points(view: MapView, frame: Frame) -> Iterator[tuple[Json, When]]:
    for number, series in enumerate(thinned(view.points, by_x=False)):
        trace = points_trace(
            series, view.scale, number, lambda x: list(_metres(x, frame)),
            lambda y: list(_metres(y, frame)),
        )  # fmt: skip
        yield trace, when_of_points(series, view.layers)


def _metres(values: Iterable[float], frame: Frame) -> list[float]:
    return rounded(values, frame.width / frame.per_metre)


def _ranges(frame: Frame) -> dict[str, list[float]]:
    west, north = frame.ground(0, 0)
    east, south = frame.ground(frame.width, frame.height)
    return {"x": _metres((west, east), frame), "y": _metres((south, north), frame)}


def _fixed_shapes(view: MapView, layout: MapLayout) -> list[Json]:
    """Return the shapes that are as large as the ground they stand on."""
    return [*_ground(view, layout.frame), *_rings(layout)]


def _sized_shapes(view: MapView, layout: MapLayout, size: Size) -> list[Json]:
    """Return the shapes that are as large as the drawing wants them."""
    return [
        *(_cone(photo, size) for photo in view.photos if photo.heading_deg is not None),
        *_leaders(view, layout),
        *_masts(view, size),
        _bar(layout, size),
        _north(layout),
    ]


def _sheet(view: MapView, layout: MapLayout) -> Json:
    frame = layout.frame
    ranges = _ranges(frame)
    bare: Json = {"showgrid": False, "zeroline": False, "showticklabels": False, "ticks": ""}
    return {
        "plot_bgcolor": PALETTE["ground-sea"],
        "barmode": "overlay",
        "xaxis": bare | {"range": ranges["x"]},
        "yaxis": bare | {"range": ranges["y"], "scaleanchor": "x", "scaleratio": 1},
        "images": [_picture(picture) for picture in view.pictures],
        "shapes": [*_fixed_shapes(view, layout), *_sized_shapes(view, layout, WIDE)],
        "annotations": list(_words(view, layout, WIDE)),
    }


def _pieces(line: LineSeries, frame: Frame) -> Iterator[tuple[list[float], list[float]]]:
    """Yield the columns of each piece, without points that the line would pass anyway."""
    for piece in line.pieces():
        kept = telling_points(piece, SEEN / frame.per_metre)
        yield _metres((x for x, _ in kept), frame), _metres((y for _, y in kept), frame)


def _tracks(lines: Iterable[LineSeries], frame: Frame) -> Iterator[tuple[Json, When]]:
    for line in lines:
        xs: list[object] = []
        ys: list[object] = []
        for x, y in _pieces(line, frame):
            xs += [*x, None]
            ys += [*y, None]
        is_station = line.style is LineStyle.STATION
        trace: Json = {
            "type": "scatter",
            "mode": "lines",
            "name": shown(line.name),
            "x": xs[:-1],
            "y": ys[:-1],
            "hoverinfo": "skip",
            "line": stroke("station", 2.2) if is_station else stroke("soft", 1.2),
            "meta": str(line.style),
        }
        yield trace, when_of_walk(line.walk)


def _arrows(lines: Iterable[LineSeries], frame: Frame) -> Iterator[Json]:
    arrows = track_arrows(lines, frame)
    if arrows:
        yield {
            "type": "scatter",
            "mode": "markers",
            "name": "",
            "x": _metres((arrow.x for arrow in arrows), frame),
            "y": _metres((arrow.y for arrow in arrows), frame),
            "hoverinfo": "skip",
            "marker": {
                "symbol": "arrow",
                "size": 9,
                "color": PALETTE["soft"],
                "angle": [
                    round(math.degrees(math.atan2(arrow.dx, arrow.dy)), 1) for arrow in arrows
                ],
            },
            "meta": "arrow",
        }


def _photos(photos: Iterable[MapPhoto]) -> Iterator[Json]:
    """Yield the places of the photos; a click leads to the card."""
    shown_photos = list(photos)
    if shown_photos:
        yield {
            "type": "scatter",
            "mode": "markers",
            "name": "",
            "x": [round(photo.x, 1) + 0.0 for photo in shown_photos],
            "y": [round(photo.y, 1) + 0.0 for photo in shown_photos],
            "customdata": [photo.href for photo in shown_photos],
            "text": [shown(photo.label) for photo in shown_photos],
            "hovertemplate": "%{text}<extra></extra>",
            "marker": {
                "color": [_looks(photo, "deep", "card") for photo in shown_photos],
                "symbol": ["hexagon" if p.heading_deg is None else "circle" for p in shown_photos],
                "size": [13 if photo.heading_deg is None else 7 for photo in shown_photos],
                "line": {
                    "color": [_looks(photo, "card", "deep") for photo in shown_photos],
                    "width": 1.5,
                },
            },
            "meta": str(Mark.PHOTO),
        }


def _looks(photo: MapPhoto, headed: str, unheaded: str) -> str:
    return PALETTE[unheaded if photo.heading_deg is None else headed]


def _stations(view: MapView) -> Iterator[Json]:
    for station in sorted(view.stations, key=lambda item: item.is_own):
        yield {
            "type": "scatter",
            "mode": "markers",
            "name": "",
            "x": [round(station.x, 1) + 0.0],
            "y": [round(station.y, 1) + 0.0],
            "text": [shown(station.name)],
            "hovertemplate": "%{text}<extra></extra>",
            "marker": {
                "color": PALETTE["station" if station.is_own else "soft"],
                "size": 2 * STATION["wide"],
                "opacity": 1,
                "line": {"color": PALETTE["card"], "width": 2},
            },
            "meta": str(Mark.STATION if station.is_own else Mark.STATION_OTHER),
        }


def _picture(picture: MapPicture) -> Json:
    return {
        "source": picture.href,
        "x": round(picture.west, 1),
        "y": round(picture.north, 1),
        "xref": "x",
        "yref": "y",
        "sizex": round(picture.east - picture.west, 1),
        "sizey": round(picture.north - picture.south, 1),
        "sizing": "stretch",
        "layer": "below",
        "opacity": picture.opacity_ratio,
    }


def _ground(view: MapView, frame: Frame) -> Iterator[Json]:
    for area in view.areas:
        is_area = area.style is LineStyle.AREA
        steps = (
            "M" + "L".join(f"{x},{y}" for x, y in zip(*columns, strict=True)) + "Z" * is_area
            for columns in _pieces(area, frame)
        )
        yield {
            "type": "path",
            "path": "".join(steps),
            "layer": OVER_PICTURES,
            "fillcolor": PALETTE["ground-land"] if is_area else CLEAR,
            "line": stroke("hairline" if is_area else "soft", 1.2),
            "opacity": 1.0 if is_area else 0.6,
        }


def _rings(layout: MapLayout) -> Iterator[Json]:
    for radius_m, _ in layout.rings:
        yield {
            "type": "circle", "x0": -radius_m, "x1": radius_m, "y0": -radius_m, "y1": radius_m,
            "layer": OVER_PICTURES, "line": stroke("soft", 0.8, "1px,3px"),
        }  # fmt: skip


def _pixels(path: str, **place: object) -> Json:
    """Return a shape of fixed size that stands on a place, its path in pixels, up positive."""
    return {"type": "path", "path": path, "xsizemode": "pixel", "ysizemode": "pixel"} | place


def _cone(photo: MapPhoto, size: Size) -> Json:
    heading_deg, half_deg = photo.heading_deg or 0.0, min(photo.half_angle_deg, 179.0)
    count = max(2, math.ceil(2 * half_deg / _ARC_STEP_DEG))
    bearings = [heading_deg - half_deg + 2 * half_deg * n / count for n in range(count + 1)]
    arc = "".join(
        f"L{CONE[size.name] * math.sin(math.radians(b)):.1f},"
        f"{CONE[size.name] * math.cos(math.radians(b)):.1f}"
        for b in bearings
    )
    return _pixels(
        f"M0,0{arc}Z", xanchor=round(photo.x, 1), yanchor=round(photo.y, 1), layer=OVER_PICTURES,
        fillcolor=PALETTE["deep"], opacity=0.2, line={"width": 0},
    )  # fmt: skip


def _leaders(view: MapView, layout: MapLayout) -> Iterator[Json]:
    for photo, label in zip(view.photos, layout.photos, strict=True):
        if label.is_aside:
            start = layout.frame.place(photo.x, photo.y)
            x, y = short_of(start, label.centre)
            yield _pixels(
                f"M0,0L{x - start[0]:.1f},{start[1] - y:.1f}", xanchor=round(photo.x, 1),
                yanchor=round(photo.y, 1), line=stroke("deep", 0.9), fillcolor=CLEAR,
            )  # fmt: skip


def _masts(view: MapView, size: Size) -> Iterator[Json]:
    radius = STATION[size.name]
    steps = [
        f"M{x1 * radius:.1f},{-y1 * radius:.1f}L{x2 * radius:.1f},{-y2 * radius:.1f}"
        for (x1, y1), (x2, y2) in MAST
    ]
    for station in view.stations:
        yield _pixels(
            "".join(steps), xanchor=round(station.x, 1), yanchor=round(station.y, 1),
            line=stroke("on-station", 1.6), fillcolor=CLEAR,
        )  # fmt: skip


def _bar(layout: MapLayout, size: Size) -> Json:
    frame = layout.frame
    half = layout.bar_m * frame.per_metre / 2
    x, y = layout.bar.centre
    base = y + BAR_DROP * size.letter
    corners = [(x - half, base - 5), (x - half, base), (x + half, base), (x + half, base - 5)]
    places = (_metres(frame.ground(*corner), frame) for corner in corners)
    return {
        "type": "path",
        "path": "M" + "L".join(f"{east},{north}" for east, north in places),
        "line": stroke("ink", 1.5),
        "fillcolor": CLEAR,
    }


def _corner(layout: MapLayout) -> tuple[Json, float, float]:
    """Return the corner that the north arrow keeps to, and how far from it, in pixels."""
    frame, (x, y) = layout.frame, layout.north
    is_right, is_top = x > frame.width / 2, y < frame.height / 2
    right = x - frame.width if is_right else x
    up = -y - (_BUTTONS_PX if is_right else 0) if is_top else frame.height - y
    return {"xref": "paper", "yref": "paper", "x": int(is_right), "y": int(is_top)}, right, up


def _north(layout: MapLayout) -> Json:
    corner, right, up = _corner(layout)
    steps = ((0, -24), (0, 8)), ((-5, 0), (0, 9), (5, 0))
    path = "".join(
        "M" + "L".join(f"{right + x:.1f},{up + y:.1f}" for x, y in points) for points in steps
    )
    return _pixels(
        path, xref="paper", yref="paper", xanchor=corner["x"], yanchor=corner["y"],
        line=stroke("ink", 1.5), fillcolor=CLEAR,
    )  # fmt: skip


def _words(view: MapView, layout: MapLayout, size: Size) -> Iterator[Json]:
    frame = layout.frame
    yield from _ring_labels(layout, size)
    x, y = layout.bar.centre
    base_x, base_y = _metres(frame.ground(x, y + BAR_DROP * size.letter), frame)
    yield note(layout.bar.text, x=base_x, y=base_y, yshift=round(BAR_DROP * size.letter)) | {
        "font": _haloed("ink", size.letter - 2)
    }
    for photo, label in zip(view.photos, layout.photos, strict=True):
        yield _beside(label, photo.x, photo.y, frame) | {
            "font": _haloed("deep", size.letter - 1, bold=True)
        }
    for station, named in zip(view.stations, layout.stations, strict=True):
        if named is not None:
            colour = "ink" if station.is_own else "soft"
            yield _beside(named, station.x, station.y, frame) | {
                "font": _haloed(colour, size.letter, bold=True)
            }
    corner, right, up = _corner(layout)
    yield note(layout.north_text, xshift=round(right), yshift=round(up + 19), **corner) | {
        "font": _haloed("ink", size.letter - 1, bold=True)
    }


def _ring_labels(layout: MapLayout, size: Size) -> Iterator[Json]:
    for _, label in layout.rings:
        if label is not None:
            x, y = _metres(layout.frame.ground(*label.centre), layout.frame)
            yield note(label.text, x=x, y=y) | {"font": _haloed("soft", size.letter - 2)}


def _beside(label: Label, x: float, y: float, frame: Frame) -> Json:
    """Return a label that keeps its distance in pixels from the place it names."""
    place = frame.place(x, y)
    return note(
        label.text, x=round(x, 1), y=round(y, 1), xshift=round(label.centre[0] - place[0]),
        yshift=round(place[1] - label.centre[1]),
    )  # fmt: skip


def _haloed(colour: str, size: float, *, bold: bool = False) -> Json:
    """Return letters with the ground's colour around them; the page dyes the halo too."""
    ground = PALETTE["ground-sea"]
    halo = f"0 0 2px {ground}, 0 0 4px {ground}"
    weight = 600 if bold else 400
    return {"color": PALETTE[colour], "size": size, "weight": weight, "shadow": halo}
