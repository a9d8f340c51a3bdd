"""A photo opened large over its page: with keys, with a pointer, and without any script."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.conftest import IN_CI

if not IN_CI:  # there, a missing one must be seen
    pytest.importorskip("playwright", reason="playwright is not installed")

from playwright.sync_api import Browser, Page

from tests.browser.page_check import DESKTOP_PX, PHONE_PX, opened_page

pytestmark = [pytest.mark.browser, pytest.mark.slow]

LINKS = ".photo-card a.photo-frame"


@pytest.fixture
def photos(browser: Browser, example_site: Path) -> Iterator[Page]:
    with opened_page(browser, address(example_site)) as (page, log):
        yield page
        assert log.console_errors == []
        assert log.page_errors == []
        assert log.outside_requests == []


def address(example_site: Path) -> str:
    return (example_site.parent / "photos.html").as_uri()


def is_open(page: Page) -> bool:
    return bool(page.evaluate("document.querySelector('dialog.viewer').open"))


def shown(page: Page) -> tuple[str, str]:
    """Return which picture is shown, and the caption below it."""
    page.wait_for_function(
        "() => { const image = document.querySelector('.viewer-picture img');"
        " return image && image.complete && image.naturalWidth > 0; }"
    )
    source = page.locator(".viewer-picture img").evaluate("image => image.src")
    return str(source), page.locator(".viewer-caption").inner_text()


def card(page: Page, index: int) -> tuple[str, str]:
    """Return where a card's picture leads, and the caption of the card."""
    link = page.locator(LINKS).nth(index)
    title = page.locator(".photo-card .photo-title").nth(index)
    return str(link.evaluate("link => link.href")), title.inner_text()


def test_a_photo_opens_large_with_caption_distance_and_ruler(photos: Page) -> None:
    photos.locator(LINKS).nth(1).click()

    source, caption = shown(photos)
    assert is_open(photos)
    assert source == card(photos, 1)[0]
    assert "a house stands between us and the mast" in caption
    assert "267\u202fm to Harbour office, 196°" in caption
    assert photos.locator(".viewer-picture svg.strip").count() == 1
    alt = photos.locator(".viewer-picture img").get_attribute("alt")
    assert alt == photos.locator(f"{LINKS} img").nth(1).get_attribute("alt")


def test_nothing_large_is_loaded_before_it_is_asked_for(
    browser: Browser, example_site: Path
) -> None:
    """Asked for in a small window, where the cards are content with smaller pictures."""
    with opened_page(browser, address(example_site), width_px=320) as (page, _):
        loaded: list[str] = []
        page.on("request", lambda request: loaded.append(request.url))
        page.reload(wait_until="load")
        page.locator(LINKS).nth(2).scroll_into_view_if_needed()
        page.wait_for_timeout(300)
        large = {card(page, index)[0] for index in range(page.locator(LINKS).count())}
        assert any("/pictures/" in url for url in loaded)
        assert not large & set(loaded)

        page.locator(LINKS).nth(2).click()
        source, _ = shown(page)

        assert large & set(loaded) == {source}


def test_arrow_keys_move_on_and_come_round(photos: Page) -> None:
    count = photos.locator(LINKS).count()
    photos.locator(LINKS).nth(0).focus()
    photos.keyboard.press("Enter")
    assert shown(photos)[0] == card(photos, 0)[0]

    photos.keyboard.press("ArrowRight")
    source, caption = shown(photos)
    assert source == card(photos, 1)[0]
    assert "a house stands between us and the mast" in caption

    photos.keyboard.press("ArrowLeft")
    photos.keyboard.press("ArrowLeft")
    assert shown(photos)[0] == card(photos, count - 1)[0]


def test_buttons_do_what_the_keys_do(photos: Page) -> None:
    photos.locator(LINKS).nth(3).click()
    photos.locator(".viewer [data-step='1']").click()
    assert shown(photos)[0] == card(photos, 4)[0]
    photos.locator(".viewer [data-step='-1']").click()
    assert shown(photos)[0] == card(photos, 3)[0]

    photos.locator(".viewer-close").click()

    assert not is_open(photos)


def test_focus_stays_inside_and_goes_back_to_where_it_was(photos: Page) -> None:
    photos.locator(LINKS).nth(2).focus()
    photos.keyboard.press("Enter")
    inside = "document.querySelector('dialog.viewer').contains(document.activeElement)"
    assert photos.evaluate(inside)
    for _ in range(7):
        photos.keyboard.press("Tab")
        assert photos.evaluate(f"{inside} || document.activeElement === document.body")
    photos.keyboard.press("ArrowRight")

    photos.keyboard.press("Escape")

    assert not is_open(photos)
    focused = photos.evaluate("document.activeElement.closest('article').id")
    assert focused == photos.locator(".photo-card").nth(2).get_attribute("id")
    assert photos.locator(".viewer-picture img").count() == 0


def test_a_click_beside_the_photo_closes_it(photos: Page) -> None:
    photos.locator(LINKS).nth(0).click()

    photos.mouse.click(3, 450)

    assert not is_open(photos)


@pytest.mark.parametrize("width_px", [PHONE_PX, DESKTOP_PX])
def test_all_of_it_fits_the_window(browser: Browser, example_site: Path, width_px: int) -> None:
    """Upright or lying, picture, caption and buttons are seen without scrolling."""
    with opened_page(browser, address(example_site), width_px=width_px) as (page, _):
        for index in (1, 4):  # one lies, one stands
            page.locator(LINKS).nth(index).click()
            shown(page)
            size = page.evaluate(
                "() => { const box = document.querySelector('dialog.viewer');"
                " return [box.scrollHeight - box.clientHeight, box.scrollWidth - box.clientWidth];"
                "}"
            )
            assert size == [0, 0]
            page.locator(".viewer-close").click()


def test_without_scripts_the_picture_is_a_link(browser: Browser, example_site: Path) -> None:
    context = browser.new_context(java_script_enabled=False)
    try:
        page = context.new_page()
        page.goto(address(example_site))
        assert not page.locator(".viewer").is_visible()

        page.locator(LINKS).nth(1).click()

        assert page.url.endswith(".jpg")
    finally:
        context.close()
