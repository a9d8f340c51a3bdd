"""The report on paper: what a browser prints, read back from the PDF."""

from __future__ import annotations

import io
import re
import unicodedata
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.conftest import IN_CI

if not IN_CI:  # there, a missing one must be seen
    pytest.importorskip("playwright", reason="playwright is not installed")

from playwright.sync_api import Browser, Page
from pypdf import PdfReader

from tests.browser.page_check import opened_page

pytestmark = [pytest.mark.browser, pytest.mark.slow]

PAGES = pytest.mark.parametrize(
    ("name", "fewest", "most"),
    [
        ("index.html", 2, 5),
        ("walks/hill-sf7.html", 3, 8),
        ("photos.html", 5, 14),
        ("compare.html", 3, 7),
    ],
)
NOT_ON_PAPER = (
    ".sheet-nav > ul > li:not(:has([aria-current])) a, .sheet-skip, .sheet-menu summary, "
    ".chart-open, .onward, details:not(.part) > summary"
)
A4_PT = (595, 842)
OPEN_PARTS = "() => document.querySelectorAll('details.part').forEach((part) => part.open = true)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """A printed page: the text of each sheet without its blanks, and the size of the first."""

    sheets: tuple[str, ...]
    size_pt: tuple[int, int]

    def sheets_with(self, text: str) -> set[int]:
        """Return the sheets on which a text stands, blanks aside."""
        return {number for number, sheet in enumerate(self.sheets) if tight(text) in sheet}


def tight(text: str) -> str:
    """Return a text without blanks, letters that print joins ("ffi") apart again."""
    return re.sub(r"\s+", "", unicodedata.normalize("NFKC", text))


def printed(page: Page) -> Printed:
    """Print a page on the paper that it asks for."""
    sheets = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
    box = sheets[0].mediabox
    return Printed(
        sheets=tuple(tight(sheet.extract_text()) for sheet in sheets),
        size_pt=(round(box.width), round(box.height)),
    )


def texts(page: Page, selector: str) -> list[str]:
    return [text for text in page.locator(selector).all_text_contents() if text.strip()]


@PAGES
def test_a_page_is_printed_whole_and_without_its_controls(
    browser: Browser, example_site: Path, name: str, fewest: int, most: int
) -> None:
    with opened_page(browser, (example_site.parent / name).as_uri(), dark=True) as (page, _):
        headings = texts(page, "#report h2")
        controls = texts(page, NOT_ON_PAPER)
        width_px = page.evaluate("() => document.documentElement.clientWidth")
        paper = printed(page)

    whole = "".join(paper.sheets)
    missing = [text for text in (headings[0], headings[-1]) if tight(text) not in whole]
    if name in ("index.html", "photos.html"):  # the last section only leads on, or is folded away
        missing = [text for text in (headings[0], headings[-2]) if tight(text) not in whole]
    assert width_px > 1000
    assert paper.size_pt == A4_PT
    assert fewest <= len(paper.sheets) <= most
    assert missing == []
    assert len(controls) > 10
    assert [text for text in controls if len(text) > 12 and tight(text) in whole] == []


def test_no_photo_card_is_cut_in_two(browser: Browser, example_site: Path) -> None:
    with opened_page(browser, example_site.with_name("photos.html").as_uri()) as (page, _):
        cards = [
            (card.locator("h3").inner_text(), card.locator("li").last.inner_text())
            for card in page.locator(".photo-card").all()
        ]
        paper = printed(page)

    assert len(cards) >= 10
    together = {title: paper.sheets_with(title) & paper.sheets_with(note) for title, note in cards}
    assert [title for title, sheets in together.items() if not sheets] == []


def test_no_short_table_is_cut_in_two(browser: Browser, example_site: Path) -> None:
    """From its caption to its last row; a long one goes on under its headings."""
    url = (example_site.parent / "walks" / "hill-sf7.html").as_uri()
    with opened_page(browser, url) as (page, _):
        page.evaluate(OPEN_PARTS)
        tables = [
            (table.locator("caption").inner_text(), table.locator("tbody th").last.inner_text())
            for table in page.locator(".scroll-x .grid:has(caption)").all()
            if table.locator("tbody tr").count() <= 15
        ]
        paper = printed(page)

    assert len(tables) >= 6
    cut = [
        caption for caption, last in tables
        if not paper.sheets_with(caption) & paper.sheets_with(last)
    ]  # fmt: skip
    assert cut == []


def test_a_folded_part_is_printed_as_what_it_found(browser: Browser, example_site: Path) -> None:
    """A meeting wants the finding; who opened the part before printing wants the working, too."""
    url = (example_site.parent / "walks" / "hill-sf7.html").as_uri()
    with opened_page(browser, url) as (page, _):
        finding = page.locator(".part:has(#law) .finding").inner_text()
        inside = page.locator(".part:has(#law) .stat-label").last.text_content() or ""
        folded = printed(page)
        page.evaluate(OPEN_PARTS)
        opened = printed(page)

    assert folded.sheets_with(finding) != set()
    assert folded.sheets_with(inside) == set()
    assert opened.sheets_with(finding) & opened.sheets_with(inside) != set()


def test_no_page_is_wider_than_its_sheet(browser: Browser, example_site: Path) -> None:
    """A browser would shrink all of it, letters too. 180 mm between the margins are 680 px."""
    wide = {}
    for path in sorted(example_site.parent.rglob("*.html")):
        with opened_page(browser, path.as_uri(), width_px=680) as (page, _):
            page.emulate_media(media="print")
            wide[path.name] = page.evaluate("() => document.documentElement.scrollWidth")

    assert {name: width for name, width in wide.items() if width > 680} == {}


def test_a_table_of_numbers_is_printed_only_where_the_reader_opened_it(
    browser: Browser, example_site: Path
) -> None:
    """The theme unfolds everything on paper: four sheets of squares that nobody asked for."""
    with opened_page(browser, example_site.as_uri()) as (page, _):
        ring = page.locator(".chart-table tbody th").first.text_content() or ""
        folded = printed(page)
        page.locator(".chart-table summary").click()
        unfolded = printed(page)

    assert folded.sheets_with(ring) == set()
    assert unfolded.sheets_with(ring) != set()


def test_the_working_of_a_number_stays_off_the_paper(browser: Browser, example_site: Path) -> None:
    with opened_page(browser, example_site.as_uri()) as (page, _):
        page.locator(".stats [popovertarget]").first.click()
        formula = page.locator(":popover-open .formula").inner_text()
        paper = printed(page)

    assert len(formula) > 10
    assert paper.sheets_with(formula) == set()
