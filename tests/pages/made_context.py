"""What the pages of a campaign folder are made from, and what a reader sees of them."""

from __future__ import annotations

import html
import re
from pathlib import Path

from reportgen.match.join import join
from reportgen.model.photo import PublishedPhoto
from reportgen.pages.author_part import with_author_text
from reportgen.pages.book import author_needs, site_content
from reportgen.pages.context import Context
from reportgen.pages.page import SiteContent
from reportgen.pages.render import renderer
from reportgen.pages.shipped import shipped_folder
from reportgen.pages.words import read_words
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import Results
from tests.made_results import EXAMPLE, assembled, example_results


def context_of(folder: Path) -> Context:
    """Return the context of a campaign folder's pages, without photos."""
    template = shipped_folder("site_template")
    words = read_words(template)
    return Context(
        results=example_results() if folder == EXAMPLE else assembled(join(read_campaign(folder))),
        words=words,
        renderer=renderer(template, words),
        published={},
        author_html=None,
    )


def plain(markup: str) -> str:
    """Return what a reader sees: no tags, no panel that is closed at first."""
    shown = re.sub(r"<span popover.*?</a>\s*</span>", "", markup, flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", "", shown)).split())


def whole_site(results: Results, published: tuple[PublishedPhoto, ...] = ()) -> SiteContent:
    """Return a site with its author's text in its place."""
    template = shipped_folder("site_template")
    content = site_content(results, published, template)
    text = results.joined.campaign.conclusions
    return with_author_text(content, text, author_needs(results), template)
