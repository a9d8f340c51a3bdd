"""A chart as a still drawing, in a wide and a narrow form so that its text keeps its size."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from reportgen.pages.charts import ink, marks
from reportgen.pages.charts.description import Axis, Chart
from reportgen.pages.charts.ticks import clock, linear_ticks, time_ticks
from reportgen.pages.formats import number_text

TICK_SPACING = 95.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """Size of a drawing and the room around its field."""

    css: str
    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float
    dot: float


WIDE = Form(css="still-wide", width=1040, height=400, left=58, right=14, top=14, bottom=50, dot=8.5)
NARROW = Form(
    css="still-narrow", width=380, height=330, left=48, right=8, top=12, bottom=48, dot=7.5
)


@dataclass(frozen=True, slots=True)
class Field:
    """The way from values to places in the drawing."""

    form: Form
    chart: Chart

    def x(self, value: float) -> float:
        """Return the place of an abscissa."""
        axis, form = self.chart.x, self.form
        inner = form.width - form.left - form.right
        return form.left + (value - axis.low) / (axis.high - axis.low) * inner

    def y(self, value: float) -> float:
        """Return the place of an ordinate."""
        axis, form = self.chart.y, self.form
        inner = form.height - form.top - form.bottom
        return form.height - form.bottom - (value - axis.low) / (axis.high - axis.low) * inner

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Return the place of a point."""
        return self.x(x), self.y(y)


def chart_svg(chart: Chart, form: Form) -> str:
    """Return a chart as SVG."""
    field = Field(form, chart)
    return ink.svg(
        form.width, form.height, f"still {form.css}", chart.title, _parts(chart, field, form)
    )


def axis_ticks(axis: Axis, most: int) -> tuple[tuple[float, str], ...]:
    """Return values and texts of an axis."""
    if axis.kind == "time":
        return tuple((value, clock(value)) for value in time_ticks(axis.low, axis.high, most))
    values = linear_ticks(axis.low, axis.high, most)
    step = values[1] - values[0] if len(values) > 1 else 1.0
    decimals = 0 if step >= 1 else 1
    return tuple((value, number_text(value, decimals)) for value in values)


def _parts(chart: Chart, field: Field, form: Form) -> Iterator[str]:
    base, end = form.height - form.bottom, form.width - form.right
    for value, label in axis_ticks(chart.y, 6):
        y = field.y(value)
        yield ink.line(form.left, y, end, y, "grid-line")
        yield ink.text(form.left - 7, y + 4, label, "tick", anchor="end")
    most = max(2, int((end - form.left) / TICK_SPACING))
    for value, label in axis_ticks(chart.x, most):
        x = field.x(value)
        yield ink.line(x, base, x, base + 5, "axis")
        yield ink.text(x, base + 19, label, "tick", anchor="middle")
    yield ink.line(form.left, base, end, base, "axis")
    for rule in chart.rules:
        y = field.y(rule.value)
        yield ink.line(form.left, y, end, y, "rule")
        if form is WIDE:
            yield ink.text(end - 4, y + 15, rule.label, "rule-label", anchor="end")
    for series in chart.series:
        yield marks.drawn(series, field.place, chart.scale, form.dot)
    yield ink.text((form.left + end) / 2, form.height - 10, chart.x.title, "axis-title",
                   anchor="middle")  # fmt: skip
    yield ink.text(14, (form.top + base) / 2, chart.y.title, "axis-title", anchor="middle",
                   turn=-90)  # fmt: skip
