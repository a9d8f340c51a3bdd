"""The author's own text in a site whose pages are made without it.

So that a sentence can be mended without anything else being made anew.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from reportgen.errors import CampaignError
from reportgen.pages.author_text import AuthorText, author_text
from reportgen.pages.page import SiteContent
from reportgen.pages.render import numbered_from_one, renderer
from reportgen.pages.units import Kind, Units
from reportgen.pages.views import FigureView, FigureWriter
from reportgen.pages.words import read_words
from reportgen.results.figure import FigureBook

CONCLUSIONS = "conclusions.md"
AUTHOR_MARK = "<!--the author's text-->"
"""Stands where the text goes; what comes from outside is escaped and can't look like it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AuthorNeeds:
    """What the author's text may call and link to, and how its figures are written."""

    language: str
    time_zone: str
    units: Kind
    pages: tuple[str, ...]
    photo_keys: tuple[tuple[str, str], ...]
    figures: FigureBook


def has_author_text(text: str | None) -> bool:
    """Whether the author has written anything."""
    return text is not None and bool(text.strip())


def with_author_text(
    content: SiteContent, text: str | None, needs: AuthorNeeds, template: Path
) -> SiteContent:
    """Return a site with the author's text in its place.

    Raises
    ------
    CampaignError
        If the text calls a figure that does not exist.
    """
    if text is None or not has_author_text(text):
        return content
    here = checked_author_text(text, needs, template)
    alone = checked_author_text(text, needs, template, is_alone=True)
    if here.problems:
        raise CampaignError(here.problems)
    page_html, alone_html = _closed_up(here.html), _closed_up(alone.html)
    # Numbers of its own, beside those of the page around it.
    page_html = numbered_from_one(page_html).replace('="how-', '="how-a')
    return replace(
        content,
        pages=tuple(
            replace(page, markdown=page.markdown.replace(AUTHOR_MARK, page_html))
            for page in content.pages
        ),
        assets=tuple(
            replace(asset, content=asset.content.replace(AUTHOR_MARK.encode(), alone_html.encode()))
            if asset.path.endswith(".html")
            else asset
            for asset in content.assets
        ),
    )


def _closed_up(html: str | None) -> str:
    """Return markup without blank lines, which would end a block of it for Markdown."""
    return "\n".join(line for line in (html or "").splitlines() if line.strip())


def checked_author_text(
    text: str | None, needs: AuthorNeeds, template: Path, *, is_alone: bool = False
) -> AuthorText:
    """Render the author's conclusions, or return the problems in them.

    Alone, outside the site, its numbers don't open and its links lead to no page.
    """
    if text is None or not has_author_text(text):
        return AuthorText(html=None)
    words = read_words(template, needs.language)
    fill = renderer(template, words)
    writer = FigureWriter(
        words, needs.figures, needs.time_zone, Units(needs.units), opens=not is_alone
    )
    return author_text(
        text,
        CONCLUSIONS,
        needs.figures,
        lambda name: fill.figure(_called(writer, name), ""),
        None if is_alone else needs.pages,
        dict(needs.photo_keys),
    )


def _called(writer: FigureWriter, name: str) -> FigureView:
    """Return a figure in the author's text; one that is kept off the site says why there."""
    view = writer.view(name)
    return view if writer.book.shows(name) else replace(view, text=view.working.value)
