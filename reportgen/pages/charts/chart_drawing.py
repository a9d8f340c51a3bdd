"""A chart as a still drawing, in a wide and a narrow form so that its text keeps its size."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain

from reportgen.pages.charts import ink, marks
from reportgen.pages.charts.description import Axis, Chart, Rule
from reportgen.pages.charts.ink import NARROW, Size, number
from reportgen.pages.charts.thinning import thinned
from reportgen.pages.charts.ticks import Ticks, axis_ticks

TICK_LETTERS = 4.2
"""Room of a tick on the horizontal axis, in letters."""
NARROW_SHARE = 0.78
"""Height of a narrow drawing to that of the wide one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """The ruled part of a chart, and the way from values to places in the drawing."""

    chart: Chart
    size: Size
    left: float
    right: float
    top: float
    base: float

    @property
    def inset(self) -> float:
        """Room inside the field, so that a mark at the end of an axis is whole."""
        return self.size.radius + 4

    def x(self, value: float) -> float:
        """Return the place of an abscissa."""
        way = self.right - self.left - 2 * self.inset
        return self.left + self.inset + share_of(self.chart.x, value) * way

    def y(self, value: float) -> float:
        """Return the place of an ordinate."""
        way = self.base - self.top - 2 * self.inset
        return self.base - self.inset - share_of(self.chart.y, value) * way

    def place(self, x: float, y: float) -> ink.Point:
        """Return the place of a point."""
        return self.x(x), self.y(y)


def share_of(axis: Axis, value: float) -> float:
    """Return where a value lies on an axis: 0 at its low end, 1 at its high one."""
    if axis.kind == "log":
        low, high, value = (math.log10(v) for v in (axis.low, axis.high, max(value, axis.low)))
        return (value - low) / (high - low)
    return (value - axis.low) / (axis.high - axis.low)


def chart_svg(chart: Chart, size: Size) -> str:
    """Return a chart as SVG."""
    height = chart.height * (NARROW_SHARE if size is NARROW else 1.0)
    levels = shown_ticks(chart, axis_ticks(chart.y, 6 if size is NARROW else 9))
    field = _field(chart, size, height, levels)
    parts = chain(_axes(field, levels), _rules(field), _data(field), _titles(field, height))
    return ink.drawing(
        chart.key, size, height, title=chart.title, description=chart.summary, parts=parts
    )


def shown_ticks(chart: Chart, ticks: Ticks) -> Ticks:
    """Return the ticks of the vertical axis that mean something: none below a floor."""
    floor = max((rule.value for rule in chart.rules if rule.is_floor), default=-math.inf)
    return tuple(tick for tick in ticks if tick[0] >= floor)


def _field(chart: Chart, size: Size, height: float, levels: Ticks) -> Field:
    widest = max((ink.text_width(label, size.letter) for _, label in levels), default=0.0)
    return Field(
        chart=chart,
        size=size,
        left=round(widest + 10),
        right=size.width - 14,
        top=round(2.1 * size.letter),
        base=height - round(3.4 * size.letter),
    )


def _axes(field: Field, levels: Ticks) -> Iterator[str]:
    letter = field.size.letter
    grid = (ink.line(field.left, field.y(v), field.right, field.y(v)) for v, _ in levels)
    yield ink.path("".join(grid), "grid-line")
    for value, label in levels:
        y = field.y(value) + 0.35 * letter
        yield ink.text(field.left - 7, y, label, "tick", anchor="end")
    most = max(2, int((field.right - field.left) / (TICK_LETTERS * letter)))
    ticks = axis_ticks(field.chart.x, most)
    strokes = (ink.line(field.x(v), field.base, field.x(v), field.base + 5) for v, _ in ticks)
    yield ink.path(
        ink.line(field.left, field.base, field.right, field.base) + "".join(strokes), "axis"
    )
    for value, label in ticks:
        yield ink.text(field.x(value), field.base + 1.45 * letter, label, "tick", anchor="middle")


def _titles(field: Field, height: float) -> Iterator[str]:
    letter = field.size.letter
    yield ink.text(0, letter, field.chart.y.title, "axis-title")
    x_title = field.chart.x.title
    yield ink.text(field.right, height - 0.4 * letter, x_title, "axis-title", anchor="end")


def _rules(field: Field) -> Iterator[str]:
    upright = 0
    for rule in field.chart.rules:
        if rule.orientation == "vertical":
            yield from _upright(field, rule, upright)
            upright += 1
        else:
            yield from _level(field, rule)


def _level(field: Field, rule: Rule) -> Iterator[str]:
    y = field.y(rule.value)
    if rule.is_floor:
        width, height = field.right - field.left, field.base - y
        yield (
            f'<rect class="below-floor" x="{number(field.left)}" y="{number(y)}" '
            f'width="{number(width)}" height="{number(height)}"/>'
        )
    yield ink.path(ink.line(field.left, y, field.right, y), "rule")
    # Where it does not fit, the key below the drawing says it; beside a floor stand weak frames.
    if rule.is_floor:
        return
    if ink.text_width(rule.label, field.size.letter) < 0.8 * (field.right - field.left):
        yield ink.text(field.right - 6, y - 5, rule.label, "rule-label", anchor="end")


def _upright(field: Field, rule: Rule, line: int) -> Iterator[str]:
    """Yield an upright rule; its label stands in the given line from the top."""
    x = field.x(rule.value)
    yield ink.path(ink.line(x, field.top, x, field.base), "rule")
    is_left = x > (field.left + field.right) / 2
    yield ink.text(
        x + (-6 if is_left else 6),
        field.top + field.size.letter * (1.0 + 1.25 * line),
        rule.label,
        "rule-label",
        anchor="end" if is_left else "start",
    )


def _data(field: Field) -> Iterator[str]:
    for line in field.chart.lines:
        pieces = (ink.polyline([field.place(x, y) for x, y in piece]) for piece in line.pieces())
        yield ink.path("".join(pieces), marks.LINE_CSS[line.style])
    for series in thinned(field.chart.series, by_x=True):
        yield from marks.series(series, field.place, field.chart.scale, field.size.radius)
