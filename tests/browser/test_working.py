"""A number opens its working: by click and by key, with scripts or without, not on paper."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.conftest import IN_CI

if not IN_CI:  # there, a missing one must be seen
    pytest.importorskip("playwright", reason="playwright is not installed")

from playwright.sync_api import Browser, Locator, Page

from tests.browser.page_check import DESKTOP_PX, PHONE_PX, opened_page

pytestmark = [pytest.mark.browser, pytest.mark.slow]

RATIO = '[popovertarget]:has([data-figure="walk.quay-first.station.harbour.delivery_ratio"])'


@contextmanager
def page_without_scripts(browser: Browser, url: str) -> Iterator[Page]:
    """Open a page where no script runs."""
    with browser.new_context(java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(url)
        yield page


def opened_working(page: Page) -> Locator:
    """Return the one popover that is open."""
    return page.locator(":popover-open")


def walk_page(example_site: Path) -> str:
    return example_site.with_name("walks").joinpath("quay-first.html").as_uri()


@pytest.mark.parametrize("width_px", [PHONE_PX, DESKTOP_PX])
def test_a_click_opens_the_working_and_a_key_closes_it(
    browser: Browser, example_site: Path, width_px: int
) -> None:
    with opened_page(browser, walk_page(example_site), width_px=width_px) as (page, log):
        number = page.locator(RATIO).first
        number.click()
        text = opened_working(page).inner_text()
        box = opened_working(page).bounding_box()
        overflow = page.evaluate(
            "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
        )
        page.keyboard.press("Escape")
        left = opened_working(page).count()
        focused = page.evaluate("() => document.activeElement.hasAttribute('popovertarget')")

    assert "frames heard by the station / frames sent" in text
    assert "Frames sent" in text
    assert box is not None
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= width_px
    assert (left, overflow, focused) == (0, 0, True)
    assert (log.console_errors, log.page_errors) == ([], [])


def test_an_input_shows_its_value_and_unit(browser: Browser, example_site: Path) -> None:
    eirp = '[popovertarget]:has([data-figure="setup.station.harbour.eirp_dbm"])'
    with opened_page(browser, example_site.with_name("setup.html").as_uri()) as (page, _):
        page.locator(eirp).first.click()
        items = opened_working(page).get_by_role("listitem").all_inner_texts()

    assert len(items) >= 3
    assert items[0].split("\n") == ["Transmit power at the connector", "14\u202fdBm"]


def test_the_keyboard_alone_leads_to_the_method(browser: Browser, example_site: Path) -> None:
    """The number, then the link in what it opened: nothing else comes between them."""
    with opened_page(browser, walk_page(example_site)) as (page, _):
        page.locator(RATIO).first.focus()
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        page.wait_for_url("**/method.html#delivery-ratio")
        title = page.locator("#delivery-ratio").inner_text()

    assert title == "Delivery ratio"


def test_the_working_opens_where_no_script_runs(browser: Browser, example_site: Path) -> None:
    with page_without_scripts(browser, walk_page(example_site)) as page:
        page.locator(RATIO).first.click()
        text = opened_working(page).inner_text()
        page.keyboard.press("Escape")
        left = opened_working(page).count()

    assert "frames heard by the station / frames sent" in text
    assert left == 0


def test_a_reader_of_the_screen_hears_what_the_number_is(
    browser: Browser, example_site: Path
) -> None:
    with opened_page(browser, walk_page(example_site)) as (page, _):
        number = page.locator(RATIO).first
        label = number.get_attribute("aria-label") or ""
        shown = number.inner_text()
        number.click()
        role = opened_working(page).get_attribute("role")

    assert label == f"{shown}, Delivery ratio"
    assert role == "note"


def test_an_open_working_is_not_printed(browser: Browser, example_site: Path) -> None:
    with opened_page(browser, walk_page(example_site)) as (page, _):
        page.locator(RATIO).first.click()
        working = opened_working(page)
        on_screen = working.is_visible()
        page.emulate_media(media="print")
        on_paper = working.is_visible()

    assert (on_screen, on_paper) == (True, False)
