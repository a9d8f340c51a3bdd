"""The page of methods, tables and words."""

from __future__ import annotations

from dataclasses import dataclass

from reportgen.model.columns import CELLS, FRAMES, RECEPTIONS, TRACK_POINTS, Table
from reportgen.pages import formats
from reportgen.pages.context import Context
from reportgen.pages.setup_page import Fact
from reportgen.pages.views import Grid, headings, text_cell


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodView:
    """One method."""

    key: str
    title: str
    formula: str
    text: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodPageView:
    """The whole page."""

    methods: tuple[MethodView, ...]
    settings: tuple[Fact, ...]
    glossary: tuple[str, ...]
    has_tables: bool
    tables: tuple[Grid, ...]


GLOSSARY = (
    "frame", "reception", "miss", "log_point", "own", "uplink", "data_rate", "path_loss",
)  # fmt: skip


def method_page_view(context: Context) -> MethodPageView:
    """Return the page of methods: those that some figure of this site was made by."""
    used = dict.fromkeys(figure.method for figure in context.results.figures)
    return MethodPageView(
        methods=tuple(_method(context, key) for key in used),
        settings=_settings(context),
        glossary=tuple(context.words.say(f"method.glossary.{key}") for key in GLOSSARY),
        has_tables=not context.is_coarse,
        tables=tuple(_table(context, table) for table in (FRAMES, RECEPTIONS, TRACK_POINTS, CELLS)),
    )


def _method(context: Context, key: str) -> MethodView:
    say = context.words.say
    return MethodView(
        key=key,
        title=say(f"methods.{key}.title"),
        formula=say(f"methods.{key}.formula"),
        text=say(f"methods.{key}.text"),
        source=say(f"methods.{key}.source"),
    )


def _settings(context: Context) -> tuple[Fact, ...]:
    say, limits = context.words.say, context.campaign.matching
    return (
        Fact(label=say("method.radius"), text=context.units.length(limits.photo_radius_m)),
        Fact(label=say("method.track_gap"), text=formats.duration_text(limits.longest_track_gap_s)),
        Fact(label=say("method.photo_gap"), text=formats.duration_text(limits.longest_photo_gap_s)),
        Fact(label=say("method.zone"), text=context.zone),
    )


def _table(context: Context, table: Table) -> Grid:
    say = context.words.say
    return Grid(
        caption=f"{table.name}: {table.row}",
        headings=headings(
            say("method.column_name"),
            say("method.column_unit"),
            say("method.column_meaning"),
            numbers_from=3,
        ),
        rows=tuple(
            (
                text_cell(column.name, heading=True),
                text_cell(column.unit),
                text_cell(column.meaning),
            )
            for column in table.columns
        ),
    )
