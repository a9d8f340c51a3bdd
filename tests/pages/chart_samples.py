"""Small descriptions of charts and maps, invented for the tests of drawing them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
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

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = "<img src=x onerror=alert(1)> & \"quoted\" 'it' %{x} </script> \x07\u2028"
START_S = 1_781_000_000.0
WORDS = ChartWords(
    explore="Explore",
    numbers="Numbers",
    north="N",
    kilometre="km",
    metre="m",
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
