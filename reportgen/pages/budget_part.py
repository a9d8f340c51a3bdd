"""Both link budgets, time on air and the assumptions: parts of the page of the setup."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from reportgen.model.station import Node, Station
from reportgen.pages.budget_chart import budget_charts, rates
from reportgen.pages.charts.views import ChartView
from reportgen.pages.context import Context
from reportgen.pages.views import Cell, Grid, headings, text_cell
from reportgen.pages.working import figure_label
from reportgen.results.budgets import walks_changed


@dataclass(frozen=True, slots=True, kw_only=True)
class BudgetView:
    """One station and one node: limits of both directions, and the levels along the way."""

    title: str
    exercised: tuple[str, ...]
    limits: Grid
    charts: tuple[ChartView, ...]
    missing: str

    @property
    def has_charts(self) -> bool:
        """Whether any direction's chain is known."""
        return bool(self.charts)


def budget_view(context: Context, station: Station, node: Node) -> BudgetView:
    """Return the budgets between a station and a node."""
    say = context.words.say
    charts = budget_charts(context, station.key, node.key)
    return BudgetView(
        title=say("budget.title", node=node.name, station=station.name),
        exercised=(
            *(_exercised(context, station, node, side) for side in SIDES),
            *_left_out(context, node),
        ),
        limits=_limits(context, station, node),
        charts=charts,
        missing="" if charts or context.is_coarse else say("budget.missing"),
    )  # fmt: skip


def _exercised(context: Context, station: Station, node: Node, side: str) -> str:
    name = f"setup.{side}.{station.key}.{node.key}.receptions"
    count = int(context.results.figures[name].number or 0)
    key = f"budget.{side}_exercised" if count else f"budget.{side}_not_exercised"
    if not count:
        return context.words.say(key)
    return context.words.count(key, count)


def _left_out(context: Context, node: Node) -> Iterator[str]:
    """Yield which walks no budget of a node has, and why."""
    changed = walks_changed(context.campaign, node)
    if changed:
        yield context.words.count(
            "budget.left_out",
            len(changed),
            node=node.name,
            walks=context.words.listed(context.quoted(walk.title) for walk in changed),
        )


SIDES = ("uplink", "downlink")
COLUMNS = (
    ("uplink", "sensitivity_dbm"),
    ("uplink", "largest_loss_db"),
    ("uplink", "largest_loss_seen_db"),
    ("downlink", "sensitivity_dbm"),
    ("downlink", "largest_loss_db"),
    ("link", "imbalance_db"),
    ("link", "limiting_direction"),
)


def _limits(context: Context, station: Station, node: Node) -> Grid:
    say = context.words.say
    rows = []
    for rate, label in rates(context):
        ends = f"{station.key}.{node.key}.{rate}"
        cells = (context.figures.cell(f"setup.{side}.{ends}.{name}") for side, name in COLUMNS)
        rows.append((text_cell(label, heading=True), *cells))
    return Grid(
        caption=say("budget.limits_caption", node=node.name, station=station.name),
        is_compared=True,
        headings=headings(
            *(
                say(f"budget.column.{key}")
                for key in (
                    "rate", "station_needs", "uplink", "uplink_seen", "node_needs", "downlink",
                    _difference(context, station), "ends_first",
                )
            ),
            numbers_from=1,
        ),
        rows=tuple(rows),
    )  # fmt: skip


def _difference(context: Context, station: Station) -> str:
    """Return the column's key: by the noise that the station's log shows, where it shows any."""
    seen = context.results.figures[f"setup.station.{context.home.key}.noise_seen_dbm"]
    is_seen = station.key == context.home.key and seen.value is not None
    return "difference_seen" if is_seen else "difference"


def airtime_grid(context: Context) -> Grid:
    """Return time on air and duty cycle by spreading factor; empty for other radios."""
    say = context.words.say
    rows: list[tuple[Cell, ...]] = [
        (
            text_cell(say("setup.sf", sf=factor), heading=True),
            context.figures.cell(f"setup.rate.sf{factor}.snr_limit_db"),
            context.figures.cell(f"setup.rate.sf{factor}.time_on_air_s"),
            context.figures.cell(f"setup.rate.sf{factor}.duty_cycle_ratio"),
        )
        for factor in context.campaign.radio.spreading_factors
    ]
    return Grid(
        caption=say("setup.airtime_caption"),
        is_compared=True,
        headings=headings(
            *(say(f"setup.airtime_{key}") for key in ("rate", "limit", "time", "duty")),
            numbers_from=1,
        ),
        rows=tuple(rows),
    )


def assumptions_grid(context: Context) -> Grid:
    """Return every value that was assumed, and the key that would replace it."""
    say = context.words.say
    assumed = [figure for figure in context.results.figures if figure.method == "assumed"]
    return Grid(
        caption=say("setup.assumptions_caption"),
        headings=headings(
            *(say(f"setup.assumption_{key}") for key in ("what", "whose", "value", "key")),
            numbers_from=4,
        ),
        rows=tuple(
            (
                text_cell(figure_label(figure.name, figure, context.words), heading=True),
                text_cell(_whose(context, figure.name)),
                context.figures.cell(figure.name),
                text_cell(", ".join(figure.inputs)),
            )
            for figure in assumed
        ),
    )


def _whose(context: Context, name: str) -> str:
    """Return the station or node that a figure of the setup is of."""
    names = {f"station.{s.key}": s.name for s in context.campaign.stations}
    names |= {f"node.{n.key}": n.name for n in context.campaign.nodes}
    return names.get(".".join(name.split(".")[1:3]), context.words.say("setup.assumption_all"))
