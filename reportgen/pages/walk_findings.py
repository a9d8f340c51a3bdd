"""What each folded part of a walk's page found, in a line that stands when it is closed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from reportgen.pages.context import Context
from reportgen.results.figure import slug
from reportgen.results.walks import WalkResult


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings:
    """A line for each part."""

    stations: str
    nodes: str
    downlink: str
    path: str
    law: str
    rates: str
    files: str


def walk_findings(context: Context, result: WalkResult, files: int) -> Findings:
    """Return the findings of a walk that was read from so many files."""
    say, path = context.words.say, f"walk.{result.walk.key}"
    home = f"{path}.station.{context.home.key}"
    heard_down = set(result.downlinks["station"].unique())
    return Findings(
        stations=_each(
            context,
            "stations",
            ((item.name, f"{path}.station.{item.key}.frames_heard") for item in result.stations),
        ),
        nodes=_each(
            context,
            "nodes",
            (
                (
                    context.node_name(node),
                    f"{path}.node.{node}.station.{context.home.key}.delivery_ratio",
                )
                for node in result.nodes
                if len(result.nodes) > 1
            ),
        ),
        downlink=_each(
            context,
            "downlink",
            (
                (item.name, f"{path}.downlink.{item.key}.rssi_dbm_median")
                for item in result.stations
                if item.key in heard_down
            ),
        ),
        path=say(
            "walk.finding.path",
            margin=_value(context, f"{home}.link_margin_db_median"),
            excess=_value(context, f"{home}.excess_loss_db_median"),
        ),
        law=_law(context, f"{path}.law.exponent"),
        rates=_each(
            context,
            "rates",
            ((rate, f"{home}.data_rate.{slug(rate)}.delivery_ratio") for rate in result.data_rates),
        ),
        files=context.words.count("walk.finding.files", files),
    )


def _each(context: Context, key: str, named: Iterable[tuple[str, str]]) -> str:
    """Return a line that gives one figure of each of several."""
    say = context.words.say
    each = "; ".join(
        say("walk.finding.item", name=name, value=_value(context, figure)) for name, figure in named
    )
    return say(f"walk.finding.{key}", each=each)


def _value(context: Context, name: str) -> str:
    return context.figures.view(name).in_a_sentence


def _law(context: Context, name: str) -> str:
    say, exponent = context.words.say, context.figures.view(name)
    if exponent.is_absent:
        return say("law.none", reason=exponent.reason)
    interval = exponent.working.interval or say("law.no_interval")
    return say("walk.finding.law", exponent=exponent.text, interval=interval)
