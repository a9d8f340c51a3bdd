"""What a comparison says, in one sentence that a careful person would sign."""

from __future__ import annotations

import math
from collections.abc import Iterable

from reportgen.pages.context import Context
from reportgen.pages.sentences import Called, Sentence, sentence
from reportgen.results.chain import node_on_walk
from reportgen.results.comparison_sides import Side
from reportgen.results.comparisons import Comparison
from reportgen.results.figure import slug
from reportgen.results.settings import NODE

BADGES = {
    "together": "together", "repeated": "repeated", "as recorded": "recorded",
    "same settings": "same", "confounded": "confounded",
}  # fmt: skip


def badge(item: Comparison) -> str:
    """Return what a comparison is called by its standing, as the end of a key of the wording."""
    if item.standing in ("together", "repeated") and not item.is_evidence:
        return "open"
    return (
        "same"
        if item.standing == "same settings" and is_set(item)
        else ("unset" if item.standing == "same settings" else BADGES[item.standing])
    )


def is_set(item: Comparison) -> bool:
    """Whether the author stated anything of how these walks were set."""
    walks = (*item.first.walks, *item.second.walks)
    return any(walk.factors or walk.node_changes for walk in walks)


def verdict(context: Context, item: Comparison) -> Sentence:
    """Return what a comparison says, standing first."""
    apart = item.pair.apart
    fewer = item.first if item.occasions[0] <= item.occasions[1] else item.second
    return sentence(
        f"compare.verdict_{_key(item)}",
        signal=_signal(context, item),
        factor=names_text(context, apart.stated),
        factors=names_text(context, apart.names),
        mixed=names_text(context, item.pair.mixed),
        side=side_name(context, item, fewer),
        smallest=Called(f"comparison.{item.key}.signal_difference_db_smallest"),
    )


def _key(item: Comparison) -> str:
    """Return the end of the key of a verdict."""
    if math.isnan(item.found.signal.value):
        return "nothing"
    if item.standing in ("together", "repeated"):
        return _evidence_key(item)
    if item.standing == "same settings":
        return "same_unset" if not is_set(item) else "same_day" if item.is_one_day else "same"
    if item.standing == "confounded":
        return (
            "mixed"
            if item.pair.mixed
            else ("confounded_unstated" if item.pair.apart.unstated else "confounded")
        )
    if item.is_one_go:
        return "one_go"
    return "one_sided" if max(item.occasions) > 1 else "recorded"


def _evidence_key(item: Comparison) -> str:
    key = BADGES[item.standing]
    if item.pair.is_swapped:
        key = "swapped"
    elif item.pair.apart.stated == (NODE,):
        key = "node"
    if not item.is_evidence:
        return f"{BADGES[item.standing]}_none"
    return key if item.found.signal.is_apart else f"{key}_open"


def side_name(context: Context, item: Comparison, side: Side) -> str:
    """Return what a side is called: its node where both were carried together, else its walks."""
    if item.pair.is_swapped:
        walk, node = side.members[0]
        carried = node_on_walk(node, walk)
        key = "compare.as_carried" if carried.antenna.name else "compare.as_on"
        return context.words.say(
            key, antenna=carried.antenna.name, node=node.name, walk=context.quoted(walk.title)
        )
    if item.pair.is_together:
        return context.words.listed(node.name for node in side.nodes)
    return context.words.listed(context.quoted(walk.title) for walk in side.walks)


def names_text(context: Context, names: Iterable[str]) -> str:
    """Return the names of factors."""
    return context.words.listed(_factor(context, name) for name in names)


def _factor(context: Context, name: str) -> str:
    """Return the name of a factor; those that the program names are in the catalogue."""
    key = f"factors.{slug(name)}"
    return context.words.say(key) if context.words.has(key) else name


def _signal(context: Context, item: Comparison) -> Sentence:
    path = f"comparison.{item.key}"
    figure = context.results.figures[f"{path}.signal_difference_db"]
    a, b = (side_name(context, item, side) for side in (item.first, item.second))
    difference_db = figure.number
    if difference_db is None:
        reason = context.figures.view(figure.name).reason
        return sentence("compare.signal_none", a=a, b=b, reason=reason)
    said = _said(path, a, b, round(difference_db, 1))
    if figure.low is None or figure.high is None:
        reason = context.figures.view(f"{figure.name}_smallest").reason
        return sentence("compare.signal_value", said=said, reason=reason)
    return sentence(
        "compare.signal_interval",
        said=said,
        low=Called(f"{path}.signal_difference_low_db"),
        high=Called(f"{path}.signal_difference_high_db"),
    )


def _said(path: str, a: str, b: str, difference_db: float) -> Sentence:
    if difference_db == 0.0:
        return sentence("compare.signal_equal", a=a, b=b)
    word = "stronger" if difference_db > 0 else "weaker"
    size = Called(f"{path}.signal_difference_size_db")
    return sentence(f"compare.signal_{word}", a=a, b=b, value=size)
