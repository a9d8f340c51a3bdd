"""The distance law, in words and figures: a part of a walk's page and of the first page."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from reportgen.pages import formats
from reportgen.pages.context import Context
from reportgen.pages.sentences import Called, as_html, sentence
from reportgen.pages.views import Grid, Labelled, headings, text_cell
from reportgen.results.figure import slug
from reportgen.results.law import FLOOR_SHARE

FIGURES = (
    "exponent", "level_at_100m_dbm", "shadowing_db", "lost_otherwise_ratio", "naive_exponent",
    "naive_error", "noise_dbm", "limit_effect_exponent",
)  # fmt: skip
REACH = ("limit_dbm", "half_heard_m", "nine_tenths_heard_m", "limit_effect_half_heard_m")


@dataclass(frozen=True, slots=True, kw_only=True)
class LawView:
    """What the law says, or why there is none.

    `is_telling`: it gives a distance at some data rate, and so belongs on the first page.
    """

    is_known: bool
    is_telling: bool
    text: Markup | str
    warning: str
    figures: tuple[Labelled, ...]
    reach: Grid


def law_view(context: Context, path: str, rates: tuple[str, ...], up: str = "") -> LawView:
    """Return the law whose figures stand under a path.

    Parameters
    ----------
    context : Context
    path : str
        Such as ``walk.north.law``.
    rates : tuple of str
        Data rates of its frames.
    up : str
        Leads to the site's root.
    """
    say, book = context.words.say, context.results.figures
    exponent = context.figures.view(f"{path}.exponent")
    if exponent.is_absent:
        text = say("law.none", reason=exponent.reason)
        return LawView(
            is_known=False,
            is_telling=False,
            text=text,
            warning="",
            figures=(),
            reach=_reach(context, path, ()),
        )
    return LawView(
        is_known=True,
        is_telling=any(
            f"{path}.{slug(rate)}.half_heard_m" in book
            and book[f"{path}.{slug(rate)}.half_heard_m"].value is not None
            for rate in (*rates, "all")
        ),
        text=_text(context, path, up),
        warning=_warning(context, path),
        figures=tuple(
            context.figures.labelled(
                f"{path}.{name}", say(f"law.label.{name}"), _interval(context, f"{path}.{name}")
            )
            for name in FIGURES
        ),
        reach=_reach(
            context,
            path,
            tuple(r for r in (*rates, "all") if f"{path}.{slug(r)}.limit_dbm" in book),
        ),
    )  # fmt: skip


def _text(context: Context, path: str, up: str) -> Markup:
    said = sentence(
        "law.lead",
        heard=Called(f"{path}.heard"),
        missed=Called(f"{path}.missed"),
        exponent=Called(f"{path}.exponent"),
        interval=_interval(context, f"{path}.exponent") or context.words.say("law.no_interval"),
        naive=Called(f"{path}.naive_exponent"),
    )
    return as_html(context, said, up)


def _interval(context: Context, name: str) -> str:
    return context.figures.view(name).working.interval


def _warning(context: Context, path: str) -> str:
    share = context.results.figures[f"{path}.floor_ratio"].number
    if share is None or share < FLOOR_SHARE:
        return ""
    return context.words.say("law.floor", share=formats.percent_text(share))


def _reach(context: Context, path: str, rates: tuple[str, ...]) -> Grid:
    say = context.words.say
    return Grid(
        caption=say("law.reach_caption"),
        headings=headings(
            say("walk.column_rate"),
            say("law.column.limit_dbm"),
            say("law.column.half_heard_m"),
            say("law.column.interval"),
            say("law.column.nine_tenths_heard_m"),
            say("law.column.interval"),
            say("law.column.limit_effect_half_heard_m"),
            numbers_from=1,
        ),
        rows=tuple(
            (
                text_cell(say("setup.any_rate") if rate == "all" else rate, heading=True),
                context.figures.cell(f"{path}.{slug(rate)}.limit_dbm"),
                context.figures.cell(f"{path}.{slug(rate)}.half_heard_m"),
                text_cell(_ends(context, f"{path}.{slug(rate)}.half_heard_m"), number=True),
                context.figures.cell(f"{path}.{slug(rate)}.nine_tenths_heard_m"),
                text_cell(_ends(context, f"{path}.{slug(rate)}.nine_tenths_heard_m"), number=True),
                context.figures.cell(f"{path}.{slug(rate)}.limit_effect_half_heard_m"),
            )
            for rate in rates
        ),
    )


def _ends(context: Context, name: str) -> str:
    figure = context.results.figures[name]
    if figure.low is None:
        return ""
    low = context.units.length(figure.low)
    if figure.low == 0.0 and figure.high is not None:
        # So much may be lost otherwise that the share is reached at no distance.
        return context.words.say("law.ends_nowhere", high=context.units.length(figure.high))
    if figure.high is None:
        return context.words.say("law.ends_open", low=low)
    return context.words.say("chart.bin_range", low=low, high=context.units.length(figure.high))
