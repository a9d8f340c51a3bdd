"""The same charts for the chart library: a figure as JSON, with settings of ours only."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterable, Iterator

from reportgen.pages.charts.description import Axis, Chart, ChartWords, LineStyle, Rule
from reportgen.pages.charts.figure_json import (
    PALETTE,
    Json,
    figure_json,
    layout_of,
    note,
    points_trace,
    rounded,
    shown,
    stroke,
)
from reportgen.pages.charts.thinning import thinned
from reportgen.pages.charts.ticks import DAY_S
from reportgen.pages.formats import number_text

MARGIN: Json = {"l": 64, "r": 24, "t": 38}
MARGIN_BELOW = 54
_INSET = 0.018
"""Share of an axis kept free at each end, so that a mark there is whole."""
_MOST_ALIASES = 200
LABEL_LINE_PX = 16
_LINES = {
    LineStyle.TRACK: stroke("soft", 1.2),
    LineStyle.OVERLAY: stroke("soft", 1.4),
    LineStyle.AREA: stroke("hairline", 1.2),
    LineStyle.STATION: stroke("station", 2.2),
}
_UNDER_A_MINUTE, _UNDER_A_DAY, _DAYS = [None, 59_000], [59_000, 86_399_000], [86_399_000, None]
_CLOCK = [
    {"dtickrange": _UNDER_A_MINUTE, "value": "%H:%M:%S"},
    {"dtickrange": _UNDER_A_DAY, "value": "%H:%M"},
    {"dtickrange": _DAYS, "value": "%m-%d"},
]
_CLOCK_OF_DAYS = [
    {"dtickrange": _UNDER_A_MINUTE, "value": "%H:%M:%S\n%m-%d"},
    {"dtickrange": _UNDER_A_DAY, "value": "%H:%M\n%m-%d"},
    {"dtickrange": _DAYS, "value": "%m-%d"},
]
"""A date below the first tick and below each at which it changes."""

Column = Callable[[Iterable[float]], list[object]]


def chart_json(chart: Chart, words: ChartWords) -> str:
    """Return a chart as the JSON of a figure with the points of the still drawing."""
    x, y = _column(chart.x), _column(chart.y)
    traces = list(_lines(chart, x, y))
    for number, series in enumerate(thinned(chart.series, by_x=True)):
        traces.append(points_trace(series, chart.scale, number, x, y))
    dates_px = LABEL_LINE_PX * _spans_days(chart.x)
    layout = layout_of(MARGIN | {"b": MARGIN_BELOW + dates_px}) | {
        "xaxis": _axis(chart.x) | {"showgrid": False, "ticks": "outside", "ticklen": 5},
        "yaxis": _axis(chart.y)
        | {"showline": False, "ticks": "", "labelalias": _unlabelled(chart)},
        "shapes": [shape for rule in chart.rules for shape in _rule(rule, chart)],
        "annotations": [*_titles(chart, dates_px), *_rule_labels(chart)],
    }
    return figure_json(traces, layout, words)


def _column(axis: Axis) -> Column:
    if axis.kind == "time":
        return lambda values: [_iso(value) for value in values]
    # On a logarithmic axis the small end shows the most of a value.
    span = axis.low if axis.kind == "log" else axis.high - axis.low
    return lambda values: list(rounded(values, span))


def _iso(local_s: float) -> str:
    """Return wall-clock seconds as the library wants them: without any zone."""
    time = dt.datetime.fromtimestamp(round(local_s, 1), dt.UTC).replace(tzinfo=None)
    return time.isoformat(timespec="milliseconds" if time.microsecond else "seconds")


def _lines(chart: Chart, x: Column, y: Column) -> Iterator[Json]:
    for line in chart.lines:
        xs: list[object] = []
        ys: list[object] = []
        for piece in line.pieces():
            xs += [*x(place[0] for place in piece), None]
            ys += [*y(place[1] for place in piece), None]
        yield {
            "type": "scatter",
            "mode": "lines",
            "name": shown(line.name),
            "x": xs[:-1],
            "y": ys[:-1],
            "hoverinfo": "skip",
            "line": _LINES[line.style],
            "meta": str(line.style),
        }


def _axis(axis: Axis) -> Json:
    common: Json = {
        "gridcolor": PALETTE["hairline"],
        "linecolor": PALETTE["ink"],
        "showline": True,
        "tickcolor": PALETTE["ink"],
        "tickfont": {"color": PALETTE["soft"]},
        "title": {"text": ""},
        "zeroline": False,
    }
    if axis.names:
        common |= {
            "tickvals": [value for value, _ in axis.names],
            "ticktext": [shown(text) for _, text in axis.names],
            "automargin": True,
        }
    low, high = _with_inset(axis)
    if axis.kind == "time":
        ends: list[object] = [_iso(low), _iso(high)]
        stops = _CLOCK_OF_DAYS if _spans_days(axis) else _CLOCK
        return common | {"type": "date", "range": ends, "tickformatstops": stops}
    if axis.kind == "log":
        return common | {"type": "log", "range": [low, high]}
    return common | {"type": "linear", "range": rounded((low, high), high - low)}


def _spans_days(axis: Axis) -> bool:
    """Whether clock times alone would not say which day they are of."""
    return axis.kind == "time" and axis.low // DAY_S != axis.high // DAY_S


def _with_inset(axis: Axis) -> tuple[float, float]:
    low, high = axis.low, axis.high
    if axis.kind == "log":
        low, high = math.log10(low), math.log10(high)
    room = _INSET * (high - low)
    return low - room, high + room


def _unlabelled(chart: Chart) -> dict[str, str]:
    """Return a blank for each whole number below a floor, where the axis means nothing."""
    floors = [rule.value for rule in chart.rules if rule.is_floor]
    if not floors:
        return {}
    low, _ = _with_inset(chart.y)
    numbers = range(math.floor(low), math.ceil(max(floors)))
    return {number_text(number): " " for number in numbers[-_MOST_ALIASES:]}


def _rule(rule: Rule, chart: Chart) -> Iterator[Json]:
    line: Json = {"type": "line", "line": stroke("soft", 1.2, "2px,4px"), "layer": "between"}
    place = _place(rule, chart)
    if rule.orientation == "vertical":
        yield line | {"yref": "paper", "y0": 0, "y1": 1, "x0": place, "x1": place}
        return
    across: Json = {"xref": "paper", "x0": 0, "x1": 1}
    if rule.is_floor:
        low, _ = _with_inset(chart.y)
        yield across | {
            "type": "rect", "y0": low, "y1": place, "layer": "below",
            "fillcolor": PALETTE["paper"], "line": {"width": 0},
        }  # fmt: skip
    yield line | across | {"y0": place, "y1": place}


def _place(rule: Rule, chart: Chart) -> object:
    axis = chart.x if rule.orientation == "vertical" else chart.y
    return _column(axis)([rule.value])[0]


def _titles(chart: Chart, lower_px: int) -> Iterator[Json]:
    """Yield the names of the axes where the still drawing has them, the lower one below dates."""
    bold: Json = {"font": {"color": PALETTE["ink"], "weight": 600}}
    yield note(
        chart.y.title, xref="paper", yref="paper", x=0, y=1, xanchor="left", yanchor="bottom",
        xshift=-50, yshift=10,
    ) | bold  # fmt: skip
    yield note(
        chart.x.title, xref="paper", yref="paper", x=1, y=0, xanchor="right", yanchor="top",
        yshift=-26 - lower_px,
    ) | bold  # fmt: skip


def _rule_labels(chart: Chart) -> Iterator[Json]:
    """Yield the labels of rules; those of upright ones each a line lower than the one before."""
    upright = 0
    for rule in chart.rules:
        if rule.is_floor:
            continue
        yield _rule_label(rule, chart) | {"yshift": -LABEL_LINE_PX * upright}
        upright += rule.orientation == "vertical"


def _rule_label(rule: Rule, chart: Chart) -> Json:
    """Return a rule's label; the page leaves it out where it would not fit."""
    axis = chart.x if rule.orientation == "vertical" else chart.y
    at = math.log10(rule.value) if axis.kind == "log" else _place(rule, chart)
    place: Json = {"xref": "paper", "x": 1, "y": at, "xanchor": "right", "yanchor": "bottom"}
    if rule.orientation == "vertical":
        place = {"yref": "paper", "y": 1, "x": at, "xanchor": "left", "yanchor": "top"}
        place |= {"bgcolor": PALETTE["card"], "borderpad": 1}
    return note(rule.label, name="when-wide", **place) | {"font": {"color": PALETTE["soft"]}}
