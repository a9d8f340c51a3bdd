"""Small descriptions of charts and maps, invented for the tests of drawing them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from xml.etree.ElementTree import Element

from defusedxml import ElementTree

from reportgen.pages.charts.description import (
    Axis,
    Chart,
    ChartWords,
    DataTable,
    LineSeries,
    LineStyle,
    MapPhoto,
    MapStation,
    MapView,
    Mark,
    PointSeries,
    Rule,
    Scale,
)
from reportgen.pages.charts.ink import NARROW, WIDE, Size
from reportgen.pages.charts.interactive_map import map_json
from reportgen.pages.charts.layers import (
    ALL,
    Choice,
    Ground,
    Layers,
    LayerWords,
    Look,
    Square,
    SquareLayer,
)
from reportgen.pages.charts.map_drawing import map_svg
from reportgen.pages.charts.map_layout import map_layout

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = "<img src=x onerror=alert(1)> & \"quoted\" 'it' %{x} </script> \x07\u2028"
START_S = 1_781_000_000.0
WORDS = ChartWords(
    explore="Explore",
    numbers="Numbers",
    north="N",
    own_station="own",
    other_station="other",
    photo="photo",
    track="track",
    limit="limit",
    no_data="nothing",
    thinned=lambda drawn, total: f"{drawn} of {total} drawn",
)
SCALE = Scale(label="Margin", unit="dB", low=0.0, high=40.0, limit=0.0)
TABLE = DataTable(headings=("From", "Heard"), rows=(("0 m", "3"), ("200 m", "5")))


def points(
    x: tuple[float, ...],
    y: tuple[float, ...],
    *,
    mark: Mark = Mark.HEARD,
    name: str = "heard",
    level: tuple[float, ...] | None = None,
    hover: str = "hover",
) -> PointSeries:
    return PointSeries(
        name=name,
        mark=mark,
        x=x,
        y=y,
        level=level,
        hover=(hover,) * len(x),
        ids=tuple(f"f{number}" for number in range(len(x))),
    )


def heard(count: int) -> PointSeries:
    """Return receptions half a minute apart, their level rising and falling."""
    levels = tuple(20.0 + 18.0 * math.sin(number / 5) for number in range(count))
    return points(
        tuple(START_S + 30.0 * number for number in range(count)),
        tuple(level - 110.0 for level in levels),
        level=levels,
    )


def chart(*series: PointSeries, text: str = "Signal", rules: tuple[Rule, ...] = ()) -> Chart:
    shown = series or (
        heard(40),
        points((START_S + 45.0, START_S + 75.0), (-121.0, -121.0), mark=Mark.MISSED, name="missed"),
        points((START_S + 5.0,), (-121.0,), mark=Mark.MISSED_PLACED, name="placed"),
        points((START_S + 9.0, START_S + 99.0), (-90.0, -95.0), mark=Mark.OTHER_STATION, name="o"),
    )
    high_s = max(START_S + 60.0, *(max(item.x) for item in shown))
    return Chart(
        key="loop-time",
        title=text,
        summary=f"{text} over time",
        x=Axis(label=text, unit="", kind="time", low=START_S, high=high_s),
        y=Axis(label=text, unit="dBm", kind="linear", low=-126.0, high=-60.0),
        series=shown,
        rules=rules or (Rule(value=-116.0, label=text, is_floor=True),),
        scale=SCALE,
        table=TABLE,
    )


def ring_walk(count: int, radius_m: float = 500.0) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return places on a flattened ring around the origin."""
    turns = [2 * math.pi * number / count for number in range(count)]
    return (
        tuple(radius_m * math.sin(turn) for turn in turns),
        tuple(0.7 * radius_m * math.cos(turn) for turn in turns),
    )


def map_of(*series: PointSeries, text: str = "Harbour", count: int = 60) -> MapView:
    x, y = ring_walk(count)
    levels = tuple(40.0 * number / count for number in range(count))
    shown = series or (
        points((-300.0, -310.0), (100.0, 140.0), mark=Mark.MISSED, name=f"missed {text}"),
        points(x, y, level=levels, name=f"heard {text}", hover=text),
    )
    return MapView(
        key="loop-map",
        title=text,
        summary=f"{text} on the map",
        stations=(
            MapStation(name=text, x=0.0, y=0.0, is_own=True),
            MapStation(name=f"{text} 2", x=200.0, y=-150.0, is_own=False),
        ),
        points=shown,
        lines=(LineSeries(name=text, style=LineStyle.TRACK, x=x, y=y, breaks=(count // 2,)),),
        areas=(
            LineSeries(
                name=text, style=LineStyle.AREA, x=(-900.0, 900.0, 0.0), y=(-600.0, -500.0, 900.0)
            ),
        ),
        photos=(photo(1, x[3], y[3], 40.0), photo(2, x[9], y[9], 200.0), photo(3, x[30], y[30])),
        has_rings=True,
        scale=SCALE,
        table=TABLE,
    )


def square(
    x: float, y: float, heard: int, sent: int, *, level: float | None = None, is_few: bool = False
) -> Square:
    return Square(
        x=x,
        y=y,
        sent=sent,
        heard=heard,
        level=level,
        is_below=sent > 2 * heard,
        is_uncertain=is_few,
        title=f"{heard} of {sent} at {x:g}",
        hover=f"{heard} of {sent}",
    )


SQUARES = (
    square(0.0, 0.0, 9, 10, level=10.0),
    square(100.0, 0.0, 0, 8),
    square(-100.0, -100.0, 0, 0),
    square(200.0, 100.0, 2, 9),
    square(-200.0, 100.0, 2, 2, level=38.0, is_few=True),
)
"""Heard well; silent; walked only; its median below the limit; few frames."""


def layered_map(*, walks: int = 2, has_others: bool = True, text: str = "Harbour") -> MapView:
    """Return a map with squares of so many walks, and of all together if they are several."""
    base = map_of(text=text)
    numbers = [str(number) for number in range(1, walks + 1)] if walks > 1 else [""]
    layers = [SquareLayer(walk=number, is_own=True, squares=SQUARES) for number in numbers]
    if walks > 1:
        layers.append(SquareLayer(walk=ALL, is_own=True, squares=SQUARES))
    if has_others:
        theirs = (square(300.0, 0.0, 4, 0),)
        layers += [SquareLayer(walk=item.walk, is_own=False, squares=theirs) for item in layers]
    grounds = tuple(Ground) if has_others else tuple(Ground)[:3]
    choices = [ALL, *numbers] if walks > 1 else []
    return replace(
        base,
        points=tuple(replace(item, walk=numbers[0]) for item in base.points),
        lines=tuple(replace(item, walk=numbers[0]) for item in base.lines),
        layers=Layers(
            grounds=tuple(Choice(value=ground, label=f"{text} {ground}") for ground in grounds),
            walks=tuple(Choice(value=walk, label=f"{text} {walk}") for walk in choices),
            squares=tuple(layers),
            edge_m=100.0,
            words=_layer_words(text),
        ),
    )


def _layer_words(text: str) -> LayerWords:
    return LayerWords(
        ground="Ground",
        walk="Walk",
        looks={(ground, look): f"{text} {look}" for ground in Ground for look in Look},
        small=f"{text} small",
        share="Share",
        notes={Ground.LEVEL: f"{text} note"},
        mixed=f"{text} mixed",
    )


def photo(number: int, x: float, y: float, heading_deg: float | None = None) -> MapPhoto:
    return MapPhoto(
        number=number,
        label=f"Photo {number}",
        x=x,
        y=y,
        heading_deg=heading_deg,
        half_angle_deg=27.0,
        href=f"photos.html#photo-{number}",
    )


def parsed(svg: str) -> Element:
    """Read a drawing as XML; raises where it is not well-formed."""
    root = ElementTree.fromstring(svg)
    assert isinstance(root, Element)
    return root


def paths(root: Element, css: str) -> Iterator[str]:
    """Yield the data of the paths of a class."""
    for element in root.iter(f"{SVG}path"):
        if css in element.get("class", "").split():
            yield element.get("d", "")


def moves(root: Element, css: str) -> list[tuple[float, float]]:
    """Return where the pen comes down in the paths of a class: once for each mark."""
    pattern = re.compile(r"M(-?[\d.]+) (-?[\d.]+)")
    return [(float(x), float(y)) for data in paths(root, css) for x, y in pattern.findall(data)]


def drawn_map(view: MapView, size: Size) -> str:
    """A map as still drawing."""
    return map_svg(view, size, map_layout(view, size, WORDS))


def live_map(view: MapView) -> str:
    """A map for the chart library."""
    wide, narrow = (map_layout(view, size, WORDS) for size in (WIDE, NARROW))
    return map_json(view, WORDS, wide, narrow)
