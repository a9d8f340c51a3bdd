"""SVG by hand: numbers to a tenth of a unit, texts escaped, nothing that differs between runs."""

from __future__ import annotations

import html
from collections.abc import Iterable

MINUS = "\u2212"


def number(value: float) -> str:
    """Return a coordinate to a tenth, as short as it can be written."""
    text = f"{value:.1f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def text(
    x: float, y: float, content: str, css: str = "", *, anchor: str = "start", turn: float = 0.0
) -> str:
    """Return a text element."""
    turned = f' transform="rotate({number(turn)} {number(x)} {number(y)})"' if turn else ""
    return (
        f'<text x="{number(x)}" y="{number(y)}" class="{css}" text-anchor="{anchor}"{turned}>'
        f"{html.escape(content)}</text>"
    )


def line(x1: float, y1: float, x2: float, y2: float, css: str) -> str:
    """Return a straight line."""
    return f'<path class="{css}" d="M{number(x1)} {number(y1)}L{number(x2)} {number(y2)}"/>'


def polyline(points: Iterable[tuple[float, float]], css: str, *, closed: bool = False) -> str:
    """Return a line through points, or the outline of an area."""
    steps = "L".join(f"{number(x)} {number(y)}" for x, y in points)
    return f'<path class="{css}" d="M{steps}{"Z" if closed else ""}"/>'


def dots(points: Iterable[tuple[float, float]]) -> str:
    """Return a path that a round line cap draws as dots."""
    return "".join(f"M{number(x)} {number(y)}h0" for x, y in points)


def svg(width: float, height: float, css: str, label: str, parts: Iterable[str]) -> str:
    """Return a whole drawing with its accessible name."""
    body = "".join(parts)
    return (
        f'<svg class="{css}" viewBox="0 0 {number(width)} {number(height)}" role="img" '
        f'aria-label="{html.escape(label)}" xmlns="http://www.w3.org/2000/svg">{body}</svg>'
    )
