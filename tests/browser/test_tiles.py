"""Pictures of somebody else's server: only where declared, only when tapped, only from there."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import IN_CI, ROOT

if not IN_CI:  # there, a missing one must be seen
    pytest.importorskip("playwright", reason="playwright is not installed")

from PIL import Image
from playwright.sync_api import Browser, Page, Route

from reportgen.cli.building import build_report
from tests.browser.page_check import DESKTOP_PX, PHONE_PX, linked_pages, opened_page

pytestmark = [pytest.mark.browser, pytest.mark.slow]

OUTSIDE = re.compile("^https?:")
HOST = "https://tiles.example.org"
PLAN = """overlays:
  - file: plan.png
    title: Plan of the quay
    corners:
      north_west: {latitude_deg: 49.204, longitude_deg: -23.615}
      south_east: {latitude_deg: 49.192, longitude_deg: -23.600}
"""
CREDIT = "Ground drawn by nobody, CC0"
PIXEL = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010806000000"
    "1f15c4890000000d49444154789c63606060f80f00010401005fe5c34b0000000049454e44ae426082"
)
_DRAWN = """() => [...document.querySelectorAll('.chart-live image')].map(
  image => image.getAttribute('href') || image.getAttribute('xlink:href'))"""


@pytest.fixture(scope="module")
def tiled_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the first page of the example's site with tiles declared, and a picture."""
    folder = tmp_path_factory.mktemp("tiled")
    shutil.copytree(ROOT / "example_campaign", folder / "campaign")
    Image.new("RGB", (300, 200), "green").save(folder / "campaign" / "plan.png")
    description = folder / "campaign" / "campaign.yaml"
    tiles = f'tiles: {{address: "{HOST}/{{z}}/{{x}}/{{y}}.png", attribution: "{CREDIT}"}}\n'
    text = description.read_text("utf-8").replace("overlays:\n", f"{tiles}{PLAN}")
    description.write_text(text, encoding="utf-8")
    report = build_report(folder / "campaign", folder / "site", lambda _: None, strict=False)
    assert report.index is not None
    return report.index


def served(asked: list[str]) -> Callable[[Route], None]:
    """Answer every request to the outside with one pixel, and write it down."""

    def answer(route: Route) -> None:
        asked.append(route.request.url)
        route.fulfill(status=200, content_type="image/png", body=PIXEL)

    return answer


def live_map(page: Page) -> None:
    chart = page.locator("figure.chart-map")
    chart.scroll_into_view_if_needed()
    if chart.locator(".chart-open").is_visible():
        chart.locator(".chart-open").click()
    page.wait_for_selector('figure.chart-map[data-state="live"]')


@pytest.mark.parametrize("width_px", [PHONE_PX, DESKTOP_PX])
def test_tiles_are_fetched_when_tapped_and_not_before(
    browser: Browser, tiled_site: Path, width_px: int
) -> None:
    asked: list[str] = []
    with opened_page(browser, "about:blank", width_px=width_px) as (page, log):
        page.route(OUTSIDE, served(asked))
        page.goto(tiled_site.as_uri())
        live_map(page)
        page.wait_for_timeout(500)
        before = list(asked)
        offer = page.locator(".chart-tiles")
        words = offer.inner_text()
        credit_before = page.locator(".tiles-credit").is_visible()
        offer.get_by_role("button").click()
        page.wait_for_timeout(1500)
        drawn = page.evaluate(_DRAWN)
        credit = page.locator(".tiles-credit").inner_text()
        page.emulate_media(color_scheme="dark")  # the figure is made anew, with its tiles
        page.wait_for_timeout(500)
        still_drawn = page.evaluate(_DRAWN)

    assert before == []
    assert not credit_before
    assert "tiles.example.org" in words
    assert 1 < len(set(asked)) <= 30
    assert all(address.startswith(f"{HOST}/") for address in asked)
    outside = [address for address in drawn if address.startswith("http")]
    assert len(outside) == len(set(asked))
    assert drawn == still_drawn
    assert credit == CREDIT
    assert (log.page_errors, log.console_errors) == ([], [])


def test_no_page_fetches_anything_by_itself(browser: Browser, tiled_site: Path) -> None:
    asked: list[str] = []
    with opened_page(browser, "about:blank") as (page, _):
        page.route(OUTSIDE, served(asked))
        for path in linked_pages(tiled_site):
            page.goto(path.as_uri())
            page.evaluate("() => window.scrollTo(0, document.documentElement.scrollHeight)")
            page.wait_for_timeout(300)

    assert asked == []


@pytest.mark.parametrize(
    ("address", "is_let_in"),
    [
        (f"{HOST}/1/0/0.png", True),
        ("https://elsewhere.example.org/1/0/0.png", False),
        ("http://tiles.example.org/1/0/0.png", False),
    ],
)
def test_the_policy_lets_in_the_declared_host_and_nothing_else(
    browser: Browser, tiled_site: Path, address: str, is_let_in: bool
) -> None:
    asked: list[str] = []
    with opened_page(browser, "about:blank") as (page, _):
        page.route(OUTSIDE, served(asked))
        page.goto(tiled_site.as_uri())
        page.evaluate("address => { new Image().src = address; }", address)
        page.wait_for_timeout(400)

    assert asked == ([address] if is_let_in else [])


def test_a_site_without_tiles_offers_none_and_lets_none_in(example_site: Path) -> None:
    text = example_site.read_text("utf-8")

    assert "chart-tiles" not in text
    assert "img-src 'self' file: data: blob:;" in text


def test_the_authors_picture_lies_under_the_still_and_the_live_map(
    browser: Browser, tiled_site: Path
) -> None:
    """Re-made like a photo: of the file itself nothing is in the site."""
    with opened_page(browser, tiled_site.as_uri(), width_px=PHONE_PX) as (page, log):
        still = page.locator(".chart-still svg:visible image")
        address = still.get_attribute("href") or ""
        loaded = page.evaluate(
            "address => new Promise(done => { const image = new Image();"
            " image.onload = () => done(image.naturalWidth); image.onerror = () => done(0);"
            " image.src = address; })",
            address,
        )
        note = page.locator("figure.chart-map").inner_text()
        live_map(page)
        drawn = page.evaluate(_DRAWN)

    assert loaded == 300
    assert drawn == [address]
    assert (tiled_site.parent / address).is_file()
    assert "Plan of the quay" in note
    assert not list(tiled_site.parent.rglob("plan.*"))
    assert (log.page_errors, log.console_errors) == ([], [])
