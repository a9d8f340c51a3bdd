from __future__ import annotations

import functools
import http.server
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest

from tests.conftest import IN_CI

if not IN_CI:  # there, a missing one must be seen
    pytest.importorskip("playwright", reason="playwright is not installed")

from playwright.sync_api import Browser, Page

from reportgen.pages.page import Section
from reportgen.site.build import build_site
from tests.browser.page_check import (
    DESKTOP_PX,
    PHONE_PX,
    linked_pages,
    opened_page,
    page_faults,
    search_hits,
)
from tests.site.sample_content import page, tiny_content, with_home

pytestmark = pytest.mark.browser

WIDTHS = pytest.mark.parametrize("width_px", [PHONE_PX, DESKTOP_PX])


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """Serve a folder on this computer, as somebody does for the phones in the room."""

    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, format: str, *args: object) -> None:  # noqa: A002
            """Say nothing."""

    server = http.server.ThreadingHTTPServer(
        ("127.0.0.1", 0), functools.partial(Quiet, directory=str(folder))
    )
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def smallest_targets(page_: Page) -> dict[str, float]:
    """Return the height in pixels of everything in the frame that is meant to be tapped."""
    measured = page_.evaluate(
        """() => Object.fromEntries(
          [...document.querySelectorAll('.sheet-strip a, .sheet-button, .sheet-foot a, '
            + '.sheet-menu a, .md-search__input')]
          .filter(e => e.checkVisibility())
          .map(e => [e.className + ' ' + e.textContent.trim(), e.getBoundingClientRect().height]))
        """
    )
    return {str(name): float(height) for name, height in measured.items()}


@WIDTHS
def test_no_page_of_a_small_site_has_a_fault(
    browser: Browser, tiny_site: Path, width_px: int
) -> None:
    pages = linked_pages(tiny_site)

    faults = {
        path.name: page_faults(browser, path.as_uri(), width_px=width_px).complaints
        for path in pages
    }

    assert len(faults) == 4
    assert not any(faults.values()), faults


@WIDTHS
@pytest.mark.parametrize("start", ["index.html", "walks/quay.html"])
def test_search_finds_a_word_from_a_folder(
    browser: Browser, tiny_site: Path, width_px: int, start: str
) -> None:
    """Browsers refuse workers from a folder: the hidden frame has to stand in for one."""
    url = (tiny_site.parent / start).as_uri()

    with opened_page(browser, url, width_px=width_px) as (opened, log):
        hits = search_hits(opened, "heronsbill")
        opened.locator(".md-search-result__link").first.click()
        opened.wait_for_url("**/index.html*")

    assert len(hits) == 1
    assert "heronsbill" in hits[0]
    assert (log.outside_requests, log.page_errors, log.console_errors) == ([], [], [])


def test_search_finds_a_number_in_a_table(browser: Browser, tiny_site: Path) -> None:
    with opened_page(browser, tiny_site.as_uri()) as (opened, _):
        assert len(search_hits(opened, "398")) == 1


def test_search_in_another_language_loads_its_word_list(browser: Browser, tmp_path: Path) -> None:
    """The list lies beside the search script, which must know where it itself lies."""
    index = build_site(
        replace(
            with_home('<h1 id="rows">Start</h1>\n<p>Viele Häuser am Hafen.</p>\n'), language="de"
        ),
        tmp_path / "site",
    )

    with opened_page(browser, index.as_uri()) as (opened, log):
        hits = search_hits(opened, "Häuser")
        loaded = opened.evaluate(
            "() => [...document.querySelector('iframe').contentDocument.scripts].map(s => s.src)"
        )

    assert len(hits) == 1
    assert f"{index.parent.as_uri()}/assets/javascripts/lunr/min/lunr.de.min.js" in loaded
    assert (log.outside_requests, log.failed_requests, log.page_errors) == ([], [], [])


def test_search_works_from_a_server_with_a_real_worker(browser: Browser, tiny_site: Path) -> None:
    with (
        served(tiny_site.parent) as address,
        opened_page(browser, f"{address}/walks/quay.html") as (opened, log),
    ):
        hits = search_hits(opened, "heronsbill")
        frames = opened.locator("iframe").count()

    assert len(hits) == 1
    assert frames == 0
    assert log.console_errors == []


def test_titles_of_a_campaign_do_not_run(browser: Browser, tmp_path: Path) -> None:
    """They stand in the head, the strip, the navigation, the footer and the search hits."""
    strange = "<img src=x onerror=\"document.body.dataset.ran='yes'\"> & <b>heronsbill</b>"
    content = tiny_content()
    content = replace(
        content,
        title=strange,
        network=strange,
        pages=(*content.pages, page("strange.md", strange, "<h1>Strange heronsbill</h1>\n")),
        navigation=(*content.navigation, Section(title=strange, pages=("strange.md",))),
    )
    index = build_site(content, tmp_path / "site")

    with opened_page(browser, index.with_name("strange.html").as_uri()) as (opened, log):
        hits = search_hits(opened, "heronsbill")
        opened.wait_for_timeout(300)
        ran = opened.evaluate("() => document.body.dataset.ran || ''")
        shown = opened.locator(".sheet-strip__name").inner_text()
        pictures = opened.locator("img").count()
        title = opened.title()

    assert len(hits) == 2
    assert (ran, pictures) == ("", 0)
    assert strange in shown
    assert title == f"{strange} \N{EN DASH} {strange}"
    assert log.failed_requests == []


def test_a_picture_added_from_outside_is_blocked(browser: Browser, tiny_site: Path) -> None:
    """The policy turns the promise into something that the browser enforces."""
    with opened_page(browser, tiny_site.as_uri()) as (opened, log):
        opened.evaluate(
            "() => { const i = new Image(); i.src = 'http://127.0.0.1:9/x.png';"
            " document.body.append(i); }"
        )
        opened.wait_for_timeout(200)

    assert [text for text in log.console_errors if "Content Security Policy" in text]


@pytest.mark.parametrize(("dark", "paper"), [(False, "251, 250, 246"), (True, "18, 23, 27")])
def test_the_page_follows_the_systems_scheme(
    browser: Browser, tiny_site: Path, dark: bool, paper: str
) -> None:
    with opened_page(browser, tiny_site.as_uri(), dark=dark) as (opened, _):
        colour = opened.evaluate("() => getComputedStyle(document.body).backgroundColor")

    assert colour == f"rgb({paper})"


def test_the_readers_own_choice_of_scheme_goes_along_to_the_next_page(
    browser: Browser, tiny_site: Path
) -> None:
    with opened_page(browser, tiny_site.as_uri()) as (opened, _):
        button = opened.get_by_role("button", name="Dark page")
        button.click()
        opened.goto((tiny_site.parent / "safety.html").as_uri())
        scheme = opened.evaluate("() => document.body.dataset.mdColorScheme")
        label = opened.locator(".sheet-scheme").get_attribute("aria-label")

    assert (scheme, label) == ("slate", "Light page")


def test_a_dark_page_prints_light(browser: Browser, tiny_site: Path) -> None:
    """Ink on white: a dark page would drink the printer, and its margins stay white anyway."""
    with opened_page(browser, tiny_site.as_uri(), dark=True) as (opened, _):
        opened.emulate_media(media="print")
        colours = opened.evaluate(
            "() => [getComputedStyle(document.body).backgroundColor,"
            " getComputedStyle(document.querySelector('h1')).color]"
        )
        strip = opened.locator(".sheet-strip").is_visible()

    assert colours == ["rgb(255, 255, 255)", "rgb(27, 35, 42)"]
    assert not strip


def test_everything_to_tap_on_a_phone_is_large_enough(browser: Browser, tiny_site: Path) -> None:
    """44 CSS pixels: WCAG 2.2, success criterion 2.5.5 (level AAA)."""
    with opened_page(browser, tiny_site.as_uri(), width_px=PHONE_PX) as (opened, _):
        opened.locator(".sheet-menu summary").click()
        heights = smallest_targets(opened)
        body_px = opened.evaluate(
            "() => parseFloat(getComputedStyle(document.querySelector('#report p')).fontSize)"
        )

    assert len(heights) >= 7
    assert not {name: height for name, height in heights.items() if height < 44}
    assert body_px >= 16


def test_the_menu_on_a_phone_leads_on_and_closes_by_key(browser: Browser, tiny_site: Path) -> None:
    with opened_page(browser, tiny_site.as_uri(), width_px=PHONE_PX) as (opened, _):
        summary = opened.locator(".sheet-menu summary")
        panel = opened.locator(".sheet-menu__panel")
        summary.press("Enter")
        was_open = panel.is_visible()
        summary.press("Escape")
        is_open = panel.is_visible()
        summary.click()
        panel.get_by_role("link", name="Orchard lane").click()
        opened.wait_for_url("**/walks/orchard.html")

    assert (was_open, is_open) == (True, False)


def test_the_first_key_on_a_page_offers_to_skip_to_the_report(
    browser: Browser, tiny_site: Path
) -> None:
    with opened_page(browser, tiny_site.as_uri()) as (opened, _):
        opened.keyboard.press("Tab")
        skip = opened.locator(".sheet-skip")
        box = skip.bounding_box()
        opened.keyboard.press("Enter")
        focused = opened.evaluate("() => document.activeElement.id")

    assert box is not None
    assert box["y"] >= 0
    assert focused == "report"


def test_lines_are_no_longer_than_62_characters(browser: Browser, tiny_site: Path) -> None:
    """Sixty-two times the width of a zero, which is how the style sheet counts."""
    with opened_page(browser, tiny_site.as_uri()) as (opened, _):
        widths = opened.evaluate(
            """() => { const p = document.querySelector('#report p');
              const ruler = document.createElement('span'); ruler.textContent = '0'.repeat(62);
              ruler.style.cssText = 'position:absolute;white-space:nowrap'; p.append(ruler);
              return [parseFloat(getComputedStyle(p).maxWidth), ruler.offsetWidth]; }"""
        )

    assert widths[0] == pytest.approx(widths[1], rel=0.01)
