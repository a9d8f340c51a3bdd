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
    """Yield the squares of a map, a group for each choice.

    Only the wide drawing says numbers under the pointer: the narrow one is for fingers.
    """
    if view.layers is None:
        return
    key = f"{view.key}-{size.name}"
    if size is ink.WIDE:
        yield _walk_rules(view.key, view.layers)
    edge = view.layers.edge_m * frame.per_metre
    yield f"<defs>{''.join(pattern(look, key, 1 / edge) for look in _PATTERNS)}</defs>"
    for layer in view.layers.squares:
        grounds = grounds_of(layer, view.layers)
        for ground in grounds:
            parts = _looks(view, view.layers, layer, ground, key)
            yield tagged(_on_grid(parts, frame, edge), when_of_squares(layer, ground))
        if size is ink.WIDE:
            titles = (_titled(square, view.layers.edge_m) for square in layer.squares)
            yield tagged(
                _on_grid(titles, frame, edge, css="hits"), when_of_squares(layer, *grounds)
            )


def _on_grid(parts: Iterable[str], frame: Frame, edge: float, css: str = "grid") -> Iterator[str]:
    """Yield parts drawn in edges from the station, south positive, at their places."""
    x, y = frame.place(0.0, 0.0)
    place = f"translate({x:.2f} {y:.2f}) scale({edge:.4f})"
    # Thousands of numbers would drown the search.
    mark = ' data-search-exclude="x"' if css == "hits" else ""
    yield f'<g class="squares {css}" transform="{place}"{mark}>{"".join(parts)}</g>'


def _walk_rules(key: str, layers: Layers) -> str:
    """Return the rules that show one walk alone; those for the ground are in the style sheet."""
    rules = "".join(
        f'[data-chart="{key}"]:has(option[value="{walk.value}"]:checked) '
        f'[data-walk]:not([data-walk~="{walk.value}"]){{display:none}}'
        for walk in layers.walks
    )
    return f"<style>{rules}</style>" if rules else ""


def _looks(
    view: MapView, layers: Layers, layer: SquareLayer, ground: Ground, key: str
) -> Iterator[str]:
    alike: dict[tuple[Drawn, bool], list[str]] = {}
    for square in layer.squares:
        look = drawn(square, ground, view.scale), is_small(square, ground)
        place = corner_and_edge(square, ground, layers.edge_m)
        alike.setdefault(look, []).append(_outline(*place, layers.edge_m))
    for (kind, small), outlines in alike.items():
        yield _painted("".join(outlines), kind, key, small=small)


def _painted(data: str, kind: Drawn, key: str, *, small: bool) -> str:
    """Return a path of a look; most are coloured and need no class."""
    looks = "" if kind.look is Look.COLOURED else str(kind.look)
    css = " ".join(part for part in (looks, "few" if small else "") if part)
    named = f' class="{css}"' if css else ""
    fill = fill_of(kind, key)
    filled = f' fill="{fill}"' if fill else ""
    return f'<path{named}{filled} d="{data}"/>'


def fill_of(kind: Drawn, key: str) -> str:
    """Return what fills a look: a colour, a pattern of the drawing, or what the style says."""
    return f"url(#{kind.look}-{key})" if kind.look in _PATTERNS else kind.colour


def _titled(square: Square, edge_m: float) -> str:
    outline = _outline(square.x, square.y, edge_m, edge_m)
    return f'<path d="{outline}"><title>{ink.escaped(square.title)}</title></path>'


def _outline(x: float, y: float, edge_m: float, unit_m: float) -> str:
    left, top, edge = (f"{value / unit_m:.4g}" for value in (x, -(y + edge_m), edge_m))
    return f"M{left} {top}h{edge}v{edge}h-{edge}z".replace("-0 ", "0 ")


def pattern(look: Look, key: str, scale: float = 1.0) -> str:
    """Return a pattern: stripes for silence, dots for a median below the limit.

    `scale` undoes that of the drawing which it fills.
    """
    turn = " rotate(45)" if look is Look.SILENT else ""
    opening = (
        f'<pattern id="{look}-{key}" patternUnits="userSpaceOnUse" width="5" height="5" '
        f'patternTransform="scale({scale:.4f}){turn}">'
    )
    if look is Look.SILENT:
        return (
            f'{opening}<path class="silent-ground" d="M0 0h5v5h-5z"/>'
            '<path class="stripe" d="M0 0v5"/></pattern>'
        )
    return (
        f'{opening}<path fill="{LIMIT_COLOUR}" d="M0 0h5v5h-5z"/>'
        f'<path fill="{DOT_COLOUR}" d="{ink.circle(2.5, 2.5, 1.1)}"/></pattern>'
    )


def key_square(kind: Drawn, key: str, *, small: bool = False) -> str:
    """Return a square alone, for a key."""
    shape = "M6 6h12v12h-12z" if small else "M2 2h20v20h-20z"
    body = _painted(shape, kind, key, small=small)
    defs = f"<defs>{pattern(kind.look, key)}</defs>" if kind.look in _PATTERNS else ""
    return (
        f'<svg class="key-mark squares" viewBox="0 0 24 24" aria-hidden="true">{defs}{body}</svg>'
    )
