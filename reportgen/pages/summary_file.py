"""The report in short as one file that needs no other: for a mail, a phone, a notice board."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from markupsafe import Markup

from reportgen.model.photo import Picture
from reportgen.pages.charts.views import ChartView
from reportgen.pages.conclusions_page import ConclusionsView, conclusions_view
from reportgen.pages.context import PICTURES, Context
from reportgen.pages.downloads import Planned
from reportgen.pages.overview_page import OverviewView, overview_view
from reportgen.pages.photo_page import PhotoHead, photo_heads
from reportgen.pages.safety_page import safety_view
from reportgen.pages.views import Cell, Grid, Labelled

SUMMARY = "summary.html"
STYLES = (
    "assets/report.css", "assets/components.css", "assets/charts.css", "pages/summary.css",
)  # fmt: skip
PICTURE_BYTES = 1_500_000
"""Room for pictures: a mail is turned away at 10 MB or so, a phone waits for every megabyte."""
PHOTO_FIGURES = 3
"""Distance, bearing and frames heard; the rest is in the full report."""

_COMMENT = re.compile(r"/\*.*?\*/\s*", re.DOTALL)
_DARK = re.compile(r'^\[data-md-color-scheme="slate"\] \{([^}]*)\}', re.MULTILINE)
_NAMESPACE = ' xmlns="http://www.w3.org/2000/svg"'
_PHOTO_PAGE = "photos.html#"


@dataclass(frozen=True, slots=True, kw_only=True)
class SummaryPhoto:
    """A small card: the picture in the file itself, or the sentence that stands for it."""

    anchor: str
    number: int
    title: str
    is_shown: bool
    src: str
    width: int
    height: int
    alt: str
    missing: str
    has_figures: bool
    figures: tuple[Labelled, ...]
    alert: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SummaryView:
    """The whole file."""

    language: str
    network: str
    styles: Markup
    overview: OverviewView
    map: ChartView | None
    walks: Grid
    has_photos: bool
    photos: tuple[SummaryPhoto, ...]
    conclusions: ConclusionsView
    keep: tuple[Labelled, ...]
    ask: str
    newest: str


def planned_summary(context: Context, template: Path) -> Planned:
    """Return the summary as a file of the site, still to be written.

    Parameters
    ----------
    context : Context
        One that `is_alone`: its numbers don't open.
    template : Path
        The template folder, for the style sheets.
    """

    def text() -> Iterator[str]:
        whole = context.renderer.page("summary.html.jinja", summary_view(context, template))
        # Within HTML a drawing needs no namespace, and the file names no address.
        yield whole.replace(_NAMESPACE, "")

    count = len(context.results.joined.photos)
    return Planned(path=SUMMARY, kind="summary", count=count, text=text)


def summary_view(context: Context, template: Path) -> SummaryView:
    """Return the summary, put together from what the pages show."""
    overview = overview_view(context)
    photos = _photos(context)
    return SummaryView(
        language=str(context.words.groups["language"]),
        network=context.campaign.network,
        styles=_styles(template),
        overview=overview,
        map=_still(overview.map) if overview.map is not None else None,
        walks=_unlinked(overview.walks),
        has_photos=bool(photos),
        photos=photos,
        conclusions=conclusions_view(context),
        keep=_keep(context),
        ask=_ask(context),
        newest=_newest(context),
    )


def _keep(context: Context) -> tuple[Labelled, ...]:
    """Return the largest caution distance of each antenna."""
    return tuple(
        replace(
            antenna.keep[0], label=context.words.say("summary.keep", name=antenna.name), note=""
        )
        for antenna in safety_view(context).antennas
    )


def _ask(context: Context) -> str:
    who = ", ".join((*context.campaign.authors, context.campaign.network)).strip(", ")
    return context.words.say("summary.ask", who=who) if who else ""


def _newest(context: Context) -> str:
    newest = context.campaign.last_time_utc
    return "" if newest is None else context.words.say("summary.newest", date=context.date(newest))


def _styles(template: Path) -> Markup:
    """Return the style sheets as one, dark where the reader's system is."""
    text = "".join((template / name).read_text(encoding="utf-8") for name in STYLES)
    dark = "".join(f":root {{{rules}}}" for rules in _DARK.findall(text))
    sheet = f"{text}\n@media screen and (prefers-color-scheme: dark) {{ {dark} }}"
    return Markup(_COMMENT.sub("", sheet))  # noqa: S704 - our own style sheets


def _still(chart: ChartView) -> ChartView:
    """Return a map without its script, its photos leading to the cards in the same file."""
    return replace(
        chart,
        tables=(),
        stills=tuple(
            Markup(str(still).replace(f'"{_PHOTO_PAGE}', '"#'))  # noqa: S704 - markup as it was
            for still in chart.stills
        ),
        photos=tuple(
            replace(
                key,
                links=tuple(
                    replace(link, href=link.href.replace(_PHOTO_PAGE, "#")) for link in key.links
                ),
            )
            for key in chart.photos
        ),
    )


def _unlinked(grid: Grid) -> Grid:
    return replace(grid, rows=tuple(tuple(_unlinked_cell(c) for c in row) for row in grid.rows))


def _unlinked_cell(cell: Cell) -> Cell:
    return replace(cell, href="")


def _photos(context: Context) -> tuple[SummaryPhoto, ...]:
    """Return a card for every photo, with its picture as long as there is room."""
    smallest = {
        f"{PICTURES}/{photo.pictures[0].name}": photo.pictures[0]
        for photo in context.published.values()
        if photo.pictures
    }
    left, found = PICTURE_BYTES, []
    for head in photo_heads(context):
        picture = smallest.get(head.picture.small_src)
        if picture is not None and len(picture.content) > left:
            picture = None
        left -= len(picture.content) if picture else 0
        found.append(_photo(context, head, picture))
    return tuple(found)


def _photo(context: Context, head: PhotoHead, picture: Picture | None) -> SummaryPhoto:
    missing = head.picture.missing or context.words.say("summary.photo_left_out")
    return SummaryPhoto(
        anchor=head.anchor,
        number=head.number,
        title=head.title,
        is_shown=picture is not None,
        src="" if picture is None else _data_address(picture),
        width=head.picture.width,
        height=head.picture.height,
        alt=head.picture.alt,
        missing=missing,
        has_figures=head.has_figures,
        figures=head.figures[:PHOTO_FIGURES],
        alert=head.alert,
    )


def _data_address(picture: Picture) -> str:
    kind = "jpeg" if picture.name.endswith((".jpg", ".jpeg")) else picture.name.rsplit(".", 1)[1]
    return f"data:image/{kind};base64,{base64.b64encode(picture.content).decode('ascii')}"
