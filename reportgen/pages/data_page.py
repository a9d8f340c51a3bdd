"""The page of downloads and bookkeeping."""

from __future__ import annotations

import re
from dataclasses import dataclass

import reportgen
from reportgen.errors import Problem
from reportgen.model.accounts import FileAccount, SetAside
from reportgen.pages import formats
from reportgen.pages.context import Context
from reportgen.pages.downloads import MOST_FEATURES, Download
from reportgen.pages.file_names import file_label, place_label
from reportgen.pages.place_part import place_note
from reportgen.pages.views import Cell, Grid, headings, text_cell
from reportgen.pages.words import Words
from reportgen.results.headline import account_paths

LINES_SHOWN = 12
NUMBER = re.compile(r"\d[\d.,:]*")
ACCOUNT_FIGURES = ("read", "used", "set_aside", "set_aside_faults")


@dataclass(frozen=True, slots=True, kw_only=True)
class DownloadView:
    """A file to take away."""

    href: str
    label: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DataView:
    """The whole page."""

    place_note: str
    downloads: tuple[DownloadView, ...]
    no_geojson: str
    """Why there is no GeoJSON; blank where there is one."""
    licence: str
    totals: Grid
    left_out: str
    """What of names and rows is not shown; blank where everything is."""
    accounts: Grid
    has_aside: bool
    aside: Grid
    has_problems: bool
    problems: Grid
    version: str
    as_of: str
    checksums: Grid


def data_view(context: Context, downloads: tuple[Download, ...]) -> DataView:
    """Return the page of data."""
    say, joined = context.words.say, context.results.joined
    aside, problems = _aside(context), _problems(context, joined.problems)
    licence = context.campaign.data_licence
    return DataView(
        place_note=_place_note(context),
        downloads=tuple(_download(context, item) for item in downloads),
        no_geojson=_no_geojson(context, downloads),
        licence=say("data.licence", licence=licence) if licence else say("data.no_licence"),
        left_out="" if _is_quoted(context) else say("data.names_left_out"),
        totals=_totals_grid(context, joined.accounts),
        accounts=accounts_grid(context, joined.accounts),
        has_aside=not aside.is_empty,
        aside=aside,
        has_problems=not problems.is_empty,
        problems=problems,
        version=say("data.version", version=reportgen.__version__),
        as_of=_as_of(context),
        checksums=Grid(
            caption=say("data.checksums_caption"),
            headings=headings(say("data.column_file"), say("data.column_checksum"), numbers_from=2),
            rows=tuple(
                (text_cell(file_label(context.words, path), heading=True), text_cell(digest))
                for path, digest in context.campaign.input_checksums
            ),
        ),
    )


def _place_note(context: Context) -> str:
    """Return what is left out of the page for the place's sake, quoted numbers where any are."""
    note = place_note(context, "data")
    return f"{note} {context.words.say('place.quoted')}" if note and _is_quoted(context) else note


def _download(context: Context, item: Download) -> DownloadView:
    words, key = context.words, f"data.download_{item.kind}_note"
    if context.is_coarse and words.has(f"{key}_coarse"):
        key = f"{key}_coarse"
    return DownloadView(
        href=item.path,
        label=words.say(f"data.download_{item.kind}"),
        note=words.say(key, n=formats.number_text(item.count)),
    )


def _no_geojson(context: Context, downloads: tuple[Download, ...]) -> str:
    kinds = {item.kind for item in downloads}
    if "geojson" in kinds or "receptions" not in kinds:
        return ""
    return context.words.say("data.no_geojson", most=formats.number_text(MOST_FEATURES))


def _as_of(context: Context) -> str:
    newest = context.campaign.last_time_utc
    if newest is None:
        return ""
    return context.words.say(
        "data.as_of", date=context.date(newest), time=context.clock(newest), zone=context.zone
    )


def accounts_grid(context: Context, accounts: tuple[FileAccount, ...]) -> Grid:
    """Return rows read, used and set aside by file."""
    say = context.words.say
    return Grid(
        caption=say("data.accounts_caption"),
        headings=headings(
            *(
                say(f"data.column_{key}")
                for key in ("file", "walk", "unit", "read", "used", "aside", "faults")
            ),
            numbers_from=3,
        ),
        rows=tuple(_account_row(context, account) for account in accounts),
    )


def _totals_grid(context: Context, accounts: tuple[FileAccount, ...]) -> Grid:
    """Return what was read, used and set aside of all files together, by what their rows are."""
    say = context.words.say
    units = dict.fromkeys(account.unit for account in accounts)
    return Grid(
        caption=say("data.totals_caption"),
        is_compared=True,
        headings=headings(
            *(say(f"data.column_{key}") for key in ("unit", "read", "used", "aside", "faults")),
            numbers_from=1,
        ),
        rows=tuple(_total_row(context, unit) for unit in units),
    )


def _unit(context: Context, unit: str) -> str:
    return context.words.say(f"data.{unit.replace(' ', '_')}")


def _account_row(context: Context, account: FileAccount) -> tuple[Cell, ...]:
    path = account_paths(context.results.joined.accounts)[account.walk, account.path]
    return (
        text_cell(file_label(context.words, account.path), heading=True),
        text_cell(context.walk_title(account.walk) if account.walk else ""),
        text_cell(_unit(context, account.unit)),
        *(context.figures.cell(f"{path}.{name}") for name in ACCOUNT_FIGURES),
    )


def _total_row(context: Context, unit: str) -> tuple[Cell, ...]:
    total = context.words.say("data.total", unit=_unit(context, unit))
    path = f"input.total.{unit.replace(' ', '-')}"
    return (
        text_cell(total, heading=True),
        *(context.figures.cell(f"{path}.{name}") for name in ACCOUNT_FIGURES),
    )


def _aside(context: Context) -> Grid:
    say = context.words.say
    return Grid(
        caption=say("data.aside_caption"),
        headings=headings(
            *(say(f"data.column_{key}") for key in ("file", "kind", "reason", "lines", "count")),
            numbers_from=4,
        ),
        rows=tuple(
            _aside_row(context, account, item)
            for account in context.results.joined.accounts
            for item in account.set_aside
        ),
    )


def _aside_row(context: Context, account: FileAccount, item: SetAside) -> tuple[Cell, ...]:
    kind = context.words.say("data.fault" if item.is_fault else "data.request")
    # A photo or file as a whole has no line.
    lines = ", ".join(str(line) for line in item.lines[:LINES_SHOWN] if line)
    if len(item.lines) > LINES_SHOWN:
        more = context.words.say("data.more_lines", n=len(item.lines) - LINES_SHOWN)
        lines = f"{lines} {more}"
    return (
        text_cell(_file_of_walk(context, account), heading=True),
        text_cell(kind),
        text_cell(_public(context, item.reason) or said_of(context.words, item.code)),
        text_cell(lines),
        text_cell(formats.number_text(item.count), number=True),
    )


def _file_of_walk(context: Context, account: FileAccount) -> str:
    """Return what a file is called, with its walk where nothing beside it says so."""
    label = file_label(context.words, account.path)
    if label == account.path or not account.walk:
        return label
    walk = context.walk_title(account.walk)
    return context.words.say("files.of_walk", file=label, walk=walk)


def said_of(words: Words, code: str) -> str:
    """Return what a problem's code stands for, in the site's language; the code where unknown."""
    key = f"problems.{code.replace('/', '.')}"
    return words.say(key) if words.has(key) else code


def _public(context: Context, quoted: str) -> str:
    """Return what is quoted of a row; its numbers may be coordinates."""
    is_exact = context.campaign.publishing.place == "exact"
    return quoted if is_exact else NUMBER.sub("…", quoted)


def _is_private(context: Context, problem: Problem) -> bool:
    """Whether a problem is the author's alone: of drawings that would name the place."""
    is_told = context.campaign.publishing.place == "exact"
    return not is_told and problem.code.startswith(("overlay/", "publish/"))


def _problems(context: Context, problems: tuple[Problem, ...]) -> Grid:
    """Return the problems: their texts where everything is let out, else what they stand for."""
    say, is_quoted = context.words.say, _is_quoted(context)
    columns = ("found", "expected", "do") if is_quoted else ("found", "code")
    return Grid(
        caption=say("data.problems_caption"),
        headings=headings(
            *(say(f"data.column_{key}") for key in ("where", "severity", *columns, "count")),
            numbers_from=2 + len(columns),
        ),
        rows=tuple(
            (
                text_cell(place_label(context.words, problem.where), heading=True),
                text_cell(say(f"data.{problem.severity}")),
                *_texts(context, problem, is_quoted=is_quoted),
                text_cell(formats.number_text(problem.count), number=True),
            )
            for problem in problems
            if not _is_private(context, problem)
        ),
    )


def _is_quoted(context: Context) -> bool:
    asked = context.campaign.publishing
    return asked.identifiers and asked.file_names


def _texts(context: Context, problem: Problem, *, is_quoted: bool) -> tuple[Cell, ...]:
    if is_quoted:
        return (
            text_cell(_public(context, problem.found)),
            text_cell(problem.expected),
            text_cell(_public(context, problem.do)),
        )
    return text_cell(said_of(context.words, problem.code)), text_cell(problem.code)
