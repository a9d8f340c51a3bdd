"""The page of comparisons: what a difference can stand for, then the difference."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from reportgen.model.walk import Walk
from reportgen.pages.context import Context
from reportgen.pages.sentences import as_html
from reportgen.pages.verdicts import badge, is_set, names_text, side_name, verdict
from reportgen.pages.views import Cell, Grid, Labelled, headings, text_cell
from reportgen.results.comparisons import Comparison, Refused


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonView:
    """One comparison."""

    anchor: str
    title: str
    badge: str
    is_evidence: bool
    question: str
    has_question: bool
    differ: str
    apart: str
    verdict: Markup
    figures: tuple[Labelled, ...]
    measured: Grid
    has_measured: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareView:
    """The whole page."""

    has_any: bool
    items: tuple[ComparisonView, ...]
    refused: tuple[str, ...]
    left_out: str


def compare_view(context: Context) -> CompareView:
    """Return the page of comparisons."""
    compared = context.results.compared
    left_out = compared.left_out
    return CompareView(
        has_any=bool(compared.items),
        items=tuple(_item(context, item) for item in compared.items),
        refused=tuple(_refused(context, item) for item in compared.refused),
        left_out=context.words.count("compare.left_out", left_out) if left_out else "",
    )


def _refused(context: Context, item: Refused) -> str:
    say = context.words.say
    return say(
        "compare.refused",
        title=item.chosen.title or say("compare.untitled"),
        walk=context.walk_title(item.walk),
        reason=say(f"absent.{item.reason}"),
    )


def _item(context: Context, item: Comparison) -> ComparisonView:
    say = context.words.say
    return ComparisonView(
        anchor=item.key,
        title=_title(context, item),
        badge=say(f"compare.badge_{badge(item)}"),
        is_evidence=item.is_evidence,
        question=item.pair.title,
        has_question=bool(item.pair.title),
        differ=_differ(context, item),
        apart=_apart(context, item),
        verdict=as_html(context, verdict(context, item)),
        figures=_figures(context, item),
        measured=_measured(context, item),
        has_measured=not item.pair.is_together,
    )


def _title(context: Context, item: Comparison) -> str:
    a, b = (side_name(context, item, side) for side in (item.first, item.second))
    if item.pair.is_together:
        walks = context.words.listed(context.quoted(walk.title) for walk in item.first.walks)
        return context.words.say("compare.title_together", a=a, b=b, walks=walks)
    return context.words.say("compare.title_pair", a=a, b=b)


def _differ(context: Context, item: Comparison) -> str:
    say, apart = context.words.say, item.pair.apart
    told = []
    if apart.stated:
        told.append(say("compare.differ", factors=names_text(context, apart.stated)))
    if apart.unstated:
        told.append(say("compare.unstated", factors=names_text(context, apart.unstated)))
    if item.pair.mixed:
        told.append(say("compare.mixed", factors=names_text(context, item.pair.mixed)))
    if not told:
        told.append(say("compare.differ_none" if is_set(item) else "compare.differ_unset"))
    routes = [route for route in item.routes if route]
    if len(item.routes) == 1 and routes:
        told.append(say("compare.route", route=routes[0]))
    elif len(item.routes) > 1:
        told.append(say("compare.routes", routes=context.words.listed(routes)))
    return " ".join(told)


def _apart(context: Context, item: Comparison) -> str:
    """Return what differed besides, as measured; nodes carried together share all of it."""
    say, measured = context.words.say, item.measured
    if item.pair.is_together:
        return say("compare.apart_together")
    told = [
        say(key, what=context.words.listed(say(f"compare.apart_{name}") for name in names))
        for key, names in (("compare.apart", measured.apart), ("compare.alike", measured.alike))
        if names
    ]
    return " ".join(told)


def _figures(context: Context, item: Comparison) -> tuple[Labelled, ...]:
    path, say = f"comparison.{item.key}", context.words.say
    return tuple(
        context.figures.labelled(
            f"{path}.{name}", say(f"compare.{label}"),
            context.figures.view(f"{path}.{name}").working.interval,
        )
        for name, label in (
            ("signal_difference_db", "signal"),
            ("delivery_difference", "delivery"),
            ("signal_difference_db_smallest", "smallest_signal"),
            ("delivery_difference_smallest", "smallest_delivery"),
            ("cells", "cells"),
            ("stretches", "stretches"),
        )
    )  # fmt: skip


def _measured(context: Context, item: Comparison) -> Grid:
    say = context.words.say
    walks = dict.fromkeys([*item.first.walks, *item.second.walks])
    return Grid(
        caption=say("compare.measured_caption", title=_title(context, item)),
        headings=headings(
            *(
                say(f"compare.column_{key}")
                for key in ("side", "when", "pace", "spacing", "length", "delivery")
            ),
            numbers_from=2,
        ),
        rows=tuple(_walk_row(context, walk) for walk in walks),
    )


def _walk_row(context: Context, walk: Walk) -> tuple[Cell, ...]:
    figures, path = context.figures, f"walk.{walk.key}"
    result = next(result for result in context.results.walks if result.walk.key == walk.key)
    when = "" if result.start_utc is None else (
        f"{context.date(result.start_utc)}, {context.clock(result.start_utc, seconds=False)}"
    )  # fmt: skip
    return (
        text_cell(walk.title, heading=True, href=f"walks/{walk.key}.html"),
        text_cell(when),
        figures.cell(f"{path}.pace_mps"),
        figures.cell(f"{path}.frame_spacing_m"),
        figures.cell(f"{path}.track_length_m"),
        figures.cell(f"{path}.station.{context.home.key}.delivery_ratio"),
    )
