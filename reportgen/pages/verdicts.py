"""What a comparison says, in one sentence that a careful person would sign."""

from __future__ import annotations

from reportgen.pages.context import Context
from reportgen.pages.sentences import Called, Sentence, sentence
from reportgen.results.comparison_sides import Side
from reportgen.results.comparisons import Comparison
from reportgen.results.figure import slug

BADGES = {
    "together": "together", "repeated": "repeated", "as recorded": "recorded",
    "same settings": "same", "confounded": "confounded",
}  # fmt: skip


def verdict(context: Context, item: Comparison) -> Sentence:
    """Return what a comparison says, standing first."""
    key = BADGES[item.standing]
    if item.is_evidence and not item.found.signal.is_apart:
        key = f"{key}_open"
    if item.is_one_go:
        key = "one_go"
    if item.standing == "same settings" and item.is_one_day:
        key = "same_day"
    factors = factors_text(context, item)
    return sentence(
        f"compare.verdict_{key}",
        signal=_signal(context, item),
        factor=factors,
        factors=factors,
        smallest=Called(f"comparison.{item.key}.signal_difference_db_smallest"),
    )


def side_name(context: Context, item: Comparison, side: Side) -> str:
    """Return what a side is called: its node where both were carried together, else its walks."""
    if item.pair.is_together:
        return ", ".join(node.name for node in side.nodes)
    if len(side.walks) == 1:
        return f"“{side.walks[0].title}”"
    return context.words.say(
        "compare.several", walk=f"“{side.walks[0].title}”", n=len(side.walks) - 1
    )


def factors_text(context: Context, item: Comparison) -> str:
    """Return the names of what differs."""
    return ", ".join(_factor(context, name) for name in item.factors)


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
