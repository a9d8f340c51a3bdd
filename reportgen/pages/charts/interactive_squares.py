"""Squares of ground for the chart library: bars that float, one trace for each walk and side.

Bars lie beneath all points and lines, have patterns, and answer the pointer all over; a point
near it wins.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reportgen.pages.charts.description import MapView
from reportgen.pages.charts.figure_json import CLEAR, PALETTE, Json, Switch, shown
from reportgen.pages.charts.layers import (
    Ground,
    Look,
    SquareLayer,
    grounds_of,
    when_of_squares,
)
from reportgen.pages.charts.square_looks import (
    DOT_COLOUR,
    LIMIT_COLOUR,
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


def square_traces(view: MapView) -> Iterator[tuple[Json, Switch]]:
    """Yield the squares of a map, a trace for each walk and side, with when it shows and how."""
    if view.layers is None:
        return
    for layer in view.layers.squares:
        grounds = grounds_of(layer, view.layers)
        markers = {str(ground): _marker(view, layer, ground) for ground in grounds}
        switch: Switch = {**when_of_squares(layer, *grounds).by_kind}
        if len(markers) > 1:
            switch["marker"] = markers
        if markers:
            yield _trace(layer, grounds[0], view.layers.edge_m, markers[grounds[0]]), switch


def _trace(layer: SquareLayer, ground: Ground, edge_m: float, marker: Json) -> Json:
    places = [corner_and_edge(square, ground, edge_m) for square in layer.squares]
    edges = [edge for _, _, edge in places]
    return {
        "type": "bar",
        "name": "",
        "x": [x + edge / 2 for x, _, edge in places],
        "base": [y for _, y, _ in places],
        "y": edges,
        "width": _one(edges),
        "text": [shown(square.hover) for square in layer.squares],
        "textposition": "none",
        "hovertemplate": "%{text}<extra></extra>",
        "marker": marker,
        "meta": "squares" if layer.is_own else "squares-others",
    }


def _marker(view: MapView, layer: SquareLayer, ground: Ground) -> Json:
    looks = [drawn(square, ground, view.scale) for square in layer.squares]
    letters = [DOT_COLOUR if kind.look is Look.BELOW else PALETTE["ink"] for kind in looks]
    return {
        "color": _one([kind.colour or _FILLS[kind.look] for kind in looks]),
        "opacity": _one([_OPACITIES.get(kind.look, 1) for kind in looks]),
        "line": {"color": PALETTE["soft"], "width": 0.8},
        "pattern": {
            "shape": _one([_SHAPES.get(kind.look, "") for kind in looks]),
            "fgcolor": _one(letters),
            "fillmode": "overlay",
            "size": 7,
            "solidity": 0.25,
        },
    }


def _one(values: Sequence[object]) -> object:
    """Return a value once where all are the same: it is most of what a square weighs."""
    return values[0] if len(set(values)) == 1 else list(values)
