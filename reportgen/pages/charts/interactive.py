"""The same charts and maps for the chart library: a figure as JSON, with settings of ours only."""

from __future__ import annotations

import datetime as dt
import html
import json
import math

from reportgen.pages.charts.description import (
    Axis,
    Chart,
    ChartWords,
    MapView,
    Mark,
    PointSeries,
    Scale,
)
from reportgen.pages.charts.map_drawing import Extent, extent_of, length_label, ring_radii
from reportgen.pages.charts.scale import STOPS
from reportgen.pages.charts.ticks import scale_bar_m

Json = dict[str, object]

# The upload button is on by default in the library; the address is blanked so that none can be.
CONFIG: Json = {
    "displaylogo": False,
    "showSendToCloud": False,
    "plotlyServerURL": "",
    "responsive": True,
    "scrollZoom": False,
    "modeBarButtonsToRemove": ["lasso2d", "select2d", "toImage", "autoScale2d"],
}
SYMBOLS = {
    Mark.HEARD: "circle",
    Mark.MISSED: "circle-open",
    Mark.MISSED_PLACED: "circle-open-dot",
    Mark.OTHER_STATION: "triangle-up-open",
}
RING_POINTS = 72


def chart_json(chart: Chart) -> str:
    """Return a chart as the JSON of a figure."""
    traces = [_trace(series, chart.scale, chart.x.kind) for series in chart.series]
    layout = _layout() | {
        "xaxis": _axis(chart.x),
        "yaxis": _axis(chart.y),
        "shapes": [
            {
                "type": "line", "xref": "paper", "x0": 0, "x1": 1,
                "y0": rule.value, "y1": rule.value, "line": {"width": 1, "dash": "dot"},
            }
            for rule in chart.rules
        ],
    }  # fmt: skip
    return _text({"data": traces, "layout": layout, "config": CONFIG})


def map_json(view: MapView, words: ChartWords) -> str:
    """Return a map as the JSON of a figure; one metre is as long both ways."""
    traces = [_line_trace(area.x, area.y, area.name, area.style.value) for area in view.areas]
    if view.has_rings:
        traces += [_ring(radius) for radius in ring_radii(view)]
    traces += [_line_trace(line.x, line.y, line.name, "track") for line in view.lines]
    traces += [_trace(series, view.scale, "linear") for series in view.points]
    traces += [
        _label_trace(photo.x, photo.y, str(photo.number), photo.label, "photo")
        for photo in view.photos
    ]
    for station in view.stations:
        kind = "station" if station.is_own else "station-other"
        traces.append(_label_trace(station.x, station.y, station.name, station.name, kind))
    extent = extent_of(view)
    annotations = [_north(words)]
    if view.has_rings:
        annotations += [_ring_label(radius, words) for radius in ring_radii(view)]
    bar_m = scale_bar_m(extent.width_m)
    traces.append(_scale_bar(extent, bar_m, length_label(bar_m, words)))
    hidden: Json = {"visible": False, "showgrid": False, "zeroline": False}
    layout = _layout() | {
        "xaxis": hidden | {"range": [_short(extent.west_m), _short(extent.east_m)]},
        "yaxis": hidden
        | {
            "range": [_short(extent.south_m), _short(extent.north_m)],
            "scaleanchor": "x",
            "scaleratio": 1,
        },
        "margin": {"l": 0, "r": 0, "t": 0, "b": 0},
        "dragmode": "pan",
        "annotations": annotations,
    }
    return _text({"data": traces, "layout": layout, "config": CONFIG | {"scrollZoom": True}})


def _layout() -> Json:
    return {
        "template": "none",
        "paper_bgcolor": "rgba(0,0,0,0)",
        "plot_bgcolor": "rgba(0,0,0,0)",
        "showlegend": False,
        "dragmode": False,
        "hovermode": "closest",
        "margin": {"l": 58, "r": 14, "t": 14, "b": 50},
    }


def _axis(axis: Axis) -> Json:
    if axis.kind == "time":
        ends: list[object] = [_iso(axis.low), _iso(axis.high)]
        return {"type": "date", "title": {"text": _safe(axis.title)}, "range": ends}
    return {
        "type": "linear",
        "title": {"text": _safe(axis.title)},
        "range": [_short(axis.low), _short(axis.high)],
        "zeroline": False,
    }


def _iso(local_s: float) -> str:
    """Return wall-clock seconds as the library wants them: without any zone."""
    return dt.datetime.fromtimestamp(local_s, dt.UTC).strftime("%Y-%m-%dT%H:%M:%S")


def _safe(text: str) -> str:
    """Return a text that the library's small markup shows as it stands."""
    return html.escape(text).replace("\n", "<br>")


def _short(value: float) -> float:
    return round(value, 1)


def _trace(series: PointSeries, scale: Scale | None, kind: str) -> Json:
    marker: Json = {"symbol": SYMBOLS[series.mark], "size": 9}
    if series.mark is Mark.HEARD and series.level is not None and scale is not None:
        marker |= {
            "color": [_short(level) for level in series.level],
            "cmin": scale.low,
            "cmax": scale.high,
            "colorscale": [
                [round(number / (len(STOPS) - 1), 4), stop] for number, stop in enumerate(STOPS)
            ],
            "showscale": False,
            "line": {"width": 1},
        }
    return {
        "type": "scatter",
        "mode": "markers",
        "name": _safe(series.name),
        "x": [_iso(value) if kind == "time" else _short(value) for value in series.x],
        "y": [_short(value) for value in series.y],
        "customdata": list(series.ids),
        "text": [_safe(text) for text in series.hover],
        "hovertemplate": "%{text}<extra></extra>",
        "marker": marker,
        "meta": series.mark.value,
    }


def _line_trace(x: tuple[float, ...], y: tuple[float, ...], name: str, kind: str) -> Json:
    return {
        "type": "scatter",
        "mode": "lines",
        "name": _safe(name),
        "x": [_short(value) for value in x],
        "y": [_short(value) for value in y],
        "hoverinfo": "skip",
        "line": {"width": 1.2},
        "meta": kind,
    }


def _ring(radius_m: float) -> Json:
    turns = [2 * math.pi * number / RING_POINTS for number in range(RING_POINTS + 1)]
    x = tuple(radius_m * math.sin(turn) for turn in turns)
    y = tuple(radius_m * math.cos(turn) for turn in turns)
    return _line_trace(x, y, f"{radius_m:g} m", "ring")


def _label_trace(x: float, y: float, label: str, hover: str, kind: str) -> Json:
    return {
        "type": "scatter",
        "mode": "markers+text",
        "x": [_short(x)],
        "y": [_short(y)],
        "text": [_safe(label)],
        "textposition": "middle center" if kind == "photo" else "top right",
        "hovertext": [_safe(hover)],
        "hoverinfo": "text",
        "marker": {"size": 17, "symbol": {"photo": "square", "station": "circle"}.get(
            kind, "triangle-up-open")},
        "meta": kind,
    }  # fmt: skip


def _ring_label(radius_m: float, words: ChartWords) -> Json:
    return {
        "x": 0, "y": _short(radius_m), "text": length_label(radius_m, words), "showarrow": False,
        "xanchor": "left", "yanchor": "bottom", "font": {"size": 11},
    }  # fmt: skip


def _north(words: ChartWords) -> Json:
    return {
        "xref": "paper", "yref": "paper", "x": 1, "y": 1, "xanchor": "right", "yanchor": "top",
        "text": f"↑<br>{_safe(words.north)}", "showarrow": False, "font": {"size": 16},
    }  # fmt: skip


def _scale_bar(extent: Extent, bar_m: float, label: str) -> Json:
    """Return a bar on the ground itself, so that it stays true when a reader zooms."""
    west, south = extent.west_m + 0.02 * extent.width_m, extent.south_m + 0.02 * extent.height_m
    return {
        "type": "scatter", "mode": "lines+text",
        "x": [_short(west), _short(west + bar_m)], "y": [_short(south)] * 2,
        "text": ["", label], "textposition": "top left", "hoverinfo": "skip",
        "line": {"width": 2}, "meta": "scale-bar",
    }  # fmt: skip


def _text(figure: Json) -> str:
    """Return compact JSON that is safe inside a script element."""
    text = json.dumps(figure, ensure_ascii=False, sort_keys=True, separators=(",", ":"),
                      allow_nan=False)  # fmt: skip
    for character in "<>&\u2028\u2029":
        text = text.replace(character, f"\\u{ord(character):04x}")
    return text
