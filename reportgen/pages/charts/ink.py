"""SVG by hand: numbers to a tenth of a unit, texts escaped, nothing that differs between runs."""

from __future__ import annotations

import html
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from reportgen.pages.charts.outlines import telling_points

Point = tuple[float, float]

SEEN = 0.35
"""How far a drawn line may pass from a point that it leaves out, in units of the drawing."""

# Characters that no XML document may hold, escaped or not.
_FORBIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_ADVANCE = 0.56
"""Mean width of a letter of a sans-serif face in ems, on the wide side (common practice)."""


def escaped(text: str) -> str:
    """Return a text for an element or attribute."""
    return html.escape(_FORBIDDEN.sub("\ufffd", text))


def number(value: float) -> str:
    """Return a coordinate to a tenth, as short as it can be written."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def text_width(content: str, size: float) -> float:
    """Return about how wide a text is drawn."""
    return _ADVANCE * size * len(content)


def text(
    x: float,
    y: float,
    content: str,
    css: str,
    *,
    anchor: Literal["start", "middle", "end"] = "start",
) -> str:
    """Return a text element."""
    placed = "" if anchor == "start" else f' text-anchor="{anchor}"'
    return f'<text class="{css}" x="{number(x)}" y="{number(y)}"{placed}>{escaped(content)}</text>'


def path(data: str, css: str, fill: str = "") -> str:
    """Return a path element; nothing for an empty path."""
    coloured = f' fill="{fill}"' if fill else ""
    return f'<path class="{css}"{coloured} d="{data}"/>' if data else ""


def line(x1: float, y1: float, x2: float, y2: float) -> str:
    """Return the path of a straight line."""
    return f"M{number(x1)} {number(y1)}L{number(x2)} {number(y2)}"


def polyline(points: Iterable[Point], *, closed: bool = False) -> str:
    """Return the path of a line through points, or of the outline of an area.

    Points that the line would pass anyway are left out: a walker who rests adds no ink.
    """
    steps = [f"{number(x)} {number(y)}" for x, y in telling_points(list(points), SEEN)]
    return f"M{'L'.join(steps)}{'Z' if closed else ''}" if steps else ""


def circle(x: float, y: float, radius: float) -> str:
    """Return the path of a circle: one arc nearly round, then closed; marks are most of a page."""
    r = number(radius)
    return f"M{number(x - radius)} {number(y)}a{r} {r} 0 110 .1z"


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """How a drawing is made for one width of screen: letters keep a readable size on both."""

    name: Literal["wide", "narrow"]
    width: float
    letter: float
    radius: float


WIDE = Size(name="wide", width=1040, letter=14, radius=4.6)
NARROW = Size(name="narrow", width=356, letter=12.5, radius=3.7)


def drawing(
    key: str,
    size: Size,
    height: float,
    *,
    title: str,
    description: str,
    parts: Iterable[str],
    above: Iterable[str] = (),
) -> str:
    """Return a whole drawing with its accessible name and description.

    `above` is drawn over the rest and may hold links for the pointer. An image may hold none, so
    that it is then the rest alone that is the image; whoever can't see it has the links elsewhere.
    """
    name = f"still-{key}-{size.name}"
    image = f'role="img" aria-labelledby="{name}-title {name}-desc"'
    role, drawn, linked = image, "".join(parts), "".join(above)
    if linked:
        role = 'role="none"'
        drawn = f'<g {image}>{drawn}</g><g aria-hidden="true">{linked}</g>'
    return (
        f'<svg class="still still-{size.name}" data-search-exclude="x" '
        f'viewBox="0 0 {number(size.width)} {number(height)}" font-size="{number(size.letter)}" '
        f'{role} xmlns="http://www.w3.org/2000/svg">'
        f'<title id="{name}-title">{escaped(title)}</title>'
        f'<desc id="{name}-desc">{escaped(description)}</desc>{drawn}</svg>'
    )
