"""Squares of ground in a still drawing: one path for each look, and one that says its numbers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from reportgen.pages.charts import ink
from reportgen.pages.charts.description import MapView
from reportgen.pages.charts.ink import Size
from reportgen.pages.charts.layers import (
    Ground,
    Layers,
    Look,
    Square,
    SquareLayer,
    When,
    grounds_of,
    when_of_squares,
)
from reportgen.pages.charts.map_layout import Frame
from reportgen.pages.charts.square_looks import (
    DOT_COLOUR,
    LIMIT_COLOUR,
    Drawn,
    corner_and_edge,
    drawn,
    is_small,
)

_PATTERNS = (Look.SILENT, Look.BELOW)


def tagged(parts: Iterable[str], when: When) -> str:
    """Return parts as a group that shows under some choices only."""
    inner = "".join(parts)
    return f"<g{when.attributes}>{inner}</g>" if inner and when.attributes else inner


def squares(view: MapView, frame: Frame, size: Size) -> Iterator[str]:
    """Yield the squares of a map, a group for each choice."""
    if view.layers is None:
        return
    key = f"{view.key}-{size.name}"
    yield f"<defs>{''.join(pattern(look, key) for look in _PATTERNS)}</defs>"
    if size is ink.WIDE:
        yield _walk_rules(view.key, view.layers)
    for layer in view.layers.squares:
        grounds = grounds_of(layer, view.layers)
        for ground in grounds:
            parts = _looks(view, layer, ground, frame, key)
            yield tagged(parts, when_of_squares(layer, ground))
        walk = (layer.walk,) if layer.walk else ()
        yield tagged(_titles(layer, frame), When(ground=grounds, walk=walk))


def _walk_rules(key: str, layers: Layers) -> str:
    """Return the rules that show one walk alone; those for the ground are in the style sheet."""
    rules = "".join(
        f'[data-chart="{key}"]:has(option[value="{walk.value}"]:checked) '
        f'[data-walk]:not([data-walk~="{walk.value}"]){{display:none}}'
        for walk in layers.walks
    )
    return f"<style>{rules}</style>" if rules else ""


def _looks(
    view: MapView, layer: SquareLayer, ground: Ground, frame: Frame, key: str
) -> Iterator[str]:
    alike: dict[tuple[Drawn, bool], list[str]] = {}
    for square in layer.squares:
        look = drawn(square, ground, view.scale), is_small(square, ground)
        x, y, edge_m = corner_and_edge(square, ground, layer.edge_m)
        alike.setdefault(look, []).append(_outline(x, y, edge_m, frame))
    for (kind, small), outlines in alike.items():
        yield ink.path("".join(outlines), _css(kind.look, small=small), fill_of(kind, key))


def _css(look: Look, *, small: bool) -> str:
    return f"square {look}{' few' if small else ''}"


def fill_of(kind: Drawn, key: str) -> str:
    """Return what fills a look: a colour, a pattern of the drawing, or what the style says."""
    return f"url(#{kind.look}-{key})" if kind.look in _PATTERNS else kind.colour


def _titles(layer: SquareLayer, frame: Frame) -> Iterator[str]:
    for square in layer.squares:
        yield _titled(square, _outline(square.x, square.y, layer.edge_m, frame))


def _titled(square: Square, outline: str) -> str:
    return f'<path class="hit" d="{outline}"><title>{ink.escaped(square.title)}</title></path>'


def _outline(x: float, y: float, edge_m: float, frame: Frame) -> str:
    left, top = frame.place(x, y + edge_m)
    edge = ink.number(edge_m * frame.per_metre)
    return f"M{ink.number(left)} {ink.number(top)}h{edge}v{edge}h-{edge}z"


def pattern(look: Look, key: str) -> str:
    """Return a pattern: stripes for silence, dots for a median below the limit."""
    opening = f'<pattern id="{look}-{key}" patternUnits="userSpaceOnUse" '
    if look is Look.SILENT:
        return (
            f'{opening}width="5" height="5" patternTransform="rotate(45)">'
            '<path class="silent-ground" d="M0 0h5v5h-5z"/><path class="stripe" d="M0 0v5"/>'
            "</pattern>"
        )
    return (
        f'{opening}width="5" height="5"><path fill="{LIMIT_COLOUR}" d="M0 0h5v5h-5z"/>'
        f'<path fill="{DOT_COLOUR}" d="{ink.circle(2.5, 2.5, 1.1)}"/></pattern>'
    )


def key_square(kind: Drawn, key: str, *, small: bool = False) -> str:
    """Return a square alone, for a key."""
    shape = "M7 7h10v10h-10z" if small else "M2 2h20v20h-20z"
    body = ink.path(shape, _css(kind.look, small=small), fill_of(kind, key))
    defs = f"<defs>{pattern(kind.look, key)}</defs>" if kind.look in _PATTERNS else ""
    return f'<svg class="key-mark" viewBox="0 0 24 24" aria-hidden="true">{defs}{body}</svg>'
