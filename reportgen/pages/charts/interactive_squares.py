"""Squares of ground for the chart library: bars that float, one trace for each choice.

Bars lie beneath all points and lines, have patterns, and answer the pointer all over; a point
near it wins.
"""

from __future__ import annotations

from collections.abc import Iterator

from reportgen.pages.charts.description import MapView
from reportgen.pages.charts.figure_json import CLEAR, PALETTE, Json, shown
from reportgen.pages.charts.layers import (
    Ground,
    Look,
    SquareLayer,
    When,
    grounds_of,
    when_of_squares,
)
from reportgen.pages.charts.square_looks import (
    DOT_COLOUR,
    LIMIT_COLOUR,
    Drawn,
    corner_and_edge,
    drawn,
)

_FILLS = {
    Look.PLAIN: PALETTE["deep"],
    Look.BELOW: LIMIT_COLOUR,
    Look.SILENT: PALETTE["card"],
    Look.WALKED: CLEAR,
}
_SHAPES = {Look.SILENT: "/", Look.BELOW: "."}
_OPACITIES = {Look.PLAIN: 0.4}


def square_traces(view: MapView) -> Iterator[tuple[Json, When]]:
    """Yield the squares of a map, a trace for each choice, with when it shows."""
    if view.layers is None:
        return
    for layer in view.layers.squares:
        for ground in grounds_of(layer, view.layers):
            yield _trace(view, layer, ground), when_of_squares(layer, ground)


def _trace(view: MapView, layer: SquareLayer, ground: Ground) -> Json:
    places = [corner_and_edge(square, ground, layer.edge_m) for square in layer.squares]
    looks = [drawn(square, ground, view.scale) for square in layer.squares]
    return {
        "type": "bar",
        "name": "",
        "x": [x + edge_m / 2 for x, _, edge_m in places],
        "base": [y for _, y, _ in places],
        "y": [edge_m for _, _, edge_m in places],
        "width": [edge_m for _, _, edge_m in places],
        "text": [shown(square.hover) for square in layer.squares],
        "textposition": "none",
        "hovertemplate": "%{text}<extra></extra>",
        "marker": _marker(looks),
        "meta": f"squares-{ground}",
    }


def _marker(looks: list[Drawn]) -> Json:
    return {
        "color": [look.colour or _FILLS[look.look] for look in looks],
        "opacity": [_OPACITIES.get(look.look, 1) for look in looks],
        "line": {"color": PALETTE["soft"], "width": 0.8},
        "pattern": {
            "shape": [_SHAPES.get(look.look, "") for look in looks],
            "fgcolor": [
                DOT_COLOUR if look.look is Look.BELOW else PALETTE["ink"] for look in looks
            ],
            "fillmode": "overlay",
            "size": 7,
            "solidity": 0.25,
        },
    }
