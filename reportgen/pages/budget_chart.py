"""The chart of a link budget: the level from radio to radio, down to the noise."""

from __future__ import annotations

from reportgen.pages import formats
from reportgen.pages.chart_words import chart_words
from reportgen.pages.charts.description import (
    Axis,
    Chart,
    DataTable,
    LineSeries,
    LineStyle,
    Mark,
    PointSeries,
    Rule,
)
from reportgen.pages.charts.views import ChartView, chart_view
from reportgen.pages.context import Context
from reportgen.results.budgets import STAGES

ROOM_DB = 6.0
CHART_HEIGHT = 330.0


def budget_charts(context: Context, station: str, node: str) -> tuple[ChartView, ...]:
    """Return a chart for each direction whose whole chain is known."""
    charts = (_chart(context, station, node, side) for side in ("uplink", "downlink"))
    return tuple(chart for chart in charts if chart is not None)


def _chart(context: Context, station: str, node: str, side: str) -> ChartView | None:
    say = context.words.say
    path = f"setup.{side}.{station}.{node}"
    names = (*(f"{path}.level.{stage}_dbm" for stage in STAGES), f"{path}.predicted_dbm")
    levels = [context.results.figures[name].number for name in names]
    known = [level for level in levels if level is not None]
    if len(known) < len(levels):
        return None
    rules = _rules(context, station, node, side)
    rows = [-float(number) for number in range(len(known))]
    stages = [say(f"budget.{stage}") for stage in (*STAGES, "receiver")]
    measured = context.results.figures[f"{path}.measured_dbm"]
    ends = [*known, *(rule.value for rule in rules), *_one(measured.number)]
    receiver = context.figures.view(names[-1]).text
    chart = Chart(
        key=f"budget-{side}-{station}-{node}",
        title=say(f"budget.{side}_title", **_names(context, station, node)),
        summary=say(
            f"budget.{side}_summary",
            distance=context.figures.view(f"{path}.distance_m").text,
            predicted=receiver,
            measured=context.figures.view(measured.name).in_a_sentence,
        ),
        x=Axis(label=say("budget.level"), unit="dBm", kind="linear",
               low=min(ends) - ROOM_DB, high=max(ends) + ROOM_DB),
        y=Axis(label=say("budget.stage"), unit="", kind="linear", low=rows[-1] - 0.7, high=0.9,
               names=tuple(zip(rows, stages, strict=True))),
        series=_measured(context, measured.number, rows[-1]),
        rules=rules,
        scale=None,
        table=DataTable(
            headings=(say("budget.stage"), say("budget.level")),
            rows=(
                *zip(stages, (context.figures.view(name).text for name in names), strict=True),
                *((rule.label, formats.level_text(rule.value, "dBm")) for rule in rules),
            ),
        ),
        lines=(
            LineSeries(name=say("budget.free_space"), style=LineStyle.STATION, x=tuple(known),
                       y=tuple(rows)),
        ),
        height=CHART_HEIGHT,
    )  # fmt: skip
    return chart_view(chart, chart_words(context))


def _names(context: Context, station: str, node: str) -> dict[str, str]:
    return {
        "station": next(s.name for s in context.campaign.stations if s.key == station),
        "node": next(n.name for n in context.campaign.nodes if n.key == node),
    }


def _one(value: float | None) -> tuple[float, ...]:
    return () if value is None else (value,)


def _measured(context: Context, level_dbm: float | None, row: float) -> tuple[PointSeries, ...]:
    if level_dbm is None:
        return ()
    text = context.words.say("budget.measured_hover", level=formats.level_text(level_dbm, "dBm"))
    return (
        PointSeries(
            name=context.words.say("budget.measured"), mark=Mark.HEARD, x=(level_dbm,), y=(row,),
            level=None, hover=(text,), ids=("",),
        ),
    )  # fmt: skip


def _rules(context: Context, station: str, node: str, side: str) -> tuple[Rule, ...]:
    """Return the receiver's noise and its sensitivity at each rate, as upright lines."""
    say, book = context.words.say, context.results.figures
    receiver = f"setup.station.{station}" if side == "uplink" else f"setup.node.{node}"
    found = [(book[f"{receiver}.noise_dbm"].number, say("budget.noise"))]
    for rate, label in rates(context):
        needed = book[f"setup.{side}.{station}.{node}.{rate}.sensitivity_dbm"].number
        found.append((needed, say("budget.needed", rate=label)))
    return tuple(
        Rule(value=value, label=label, orientation="vertical")
        for value, label in found
        if value is not None
    )


def rates(context: Context) -> list[tuple[str, str]]:
    """Return the part of a name and the label of each rate of the budgets."""
    factors = context.campaign.radio.spreading_factors
    if not factors:
        return [("any", context.words.say("setup.any_rate"))]
    return [(f"sf{sf}", context.words.say("setup.sf", sf=sf)) for sf in factors]
