"""Drawings of a page answer one another, and an address leads to a photo's place on the map."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.conftest import IN_CI

if not IN_CI:  # there, a missing one must be seen
    pytest.importorskip("playwright", reason="playwright is not installed")

from playwright.sync_api import Browser, Page

from tests.browser.page_check import PHONE_PX, opened_page

pytestmark = [pytest.mark.browser, pytest.mark.slow]

_MARKS = """() => {
  const trace = [...document.querySelectorAll('.chart-live')].find(
    live => live.id.endsWith('-time')).data.find(trace => trace.meta === 'MARK');
  return trace.customdata;
}"""
_PLACE = """([drawing, mark]) => {
  const live = document.querySelector(`[id="live-${drawing}"]`), full = live._fullLayout;
  const trace = live.data.find(
    trace => Array.isArray(trace.customdata) && trace.customdata.includes(mark));
  const index = trace.customdata.indexOf(mark);
  const box = live.querySelector('.nsewdrag').getBoundingClientRect();
  return [box.x + full.xaxis.d2p(trace.x[index]), box.y + full.yaxis.d2p(trace.y[index])];
}"""
_RINGS = """() => Object.fromEntries([...document.querySelectorAll('.chart-live')].map(live => {
  const ring = live.querySelector('.chart-ring');
  if (!ring || !ring.checkVisibility({ visibilityProperty: true })) return [live.id, null];
  const box = ring.getBoundingClientRect();
  return [live.id, [box.x + box.width / 2, box.y + box.height / 2]];
}))"""
_WALK = "hill-sf7"


def live_walk(page: Page) -> None:
    """Go through the page until every drawing of it is live."""
    for chart in page.locator("figure.chart[data-chart]").all():
        chart.scroll_into_view_if_needed()
        button = chart.locator(".chart-open")
        if button.is_visible():
            button.click()
        key = chart.get_attribute("data-chart")
        page.wait_for_selector(f'figure[data-chart="{key}"][data-state="live"]')


def walk_url(example_site: Path) -> str:
    return (example_site.parent / "walks" / f"{_WALK}.html").as_uri()


def show(page: Page, drawing: str) -> None:
    page.evaluate(
        "id => document.getElementById(id).scrollIntoView({block: 'center'})", f"live-{drawing}"
    )
    page.wait_for_timeout(150)


def point_at(page: Page, drawing: str, mark: str) -> None:
    show(page, drawing)
    x, y = page.evaluate(_PLACE, [drawing, mark])
    page.mouse.move(x - 40, y - 40)
    page.mouse.move(x, y, steps=4)
    page.wait_for_timeout(250)


def assert_ringed(page: Page, drawing: str, mark: str) -> None:
    ring = page.evaluate(_RINGS)[f"live-{drawing}"]
    assert ring == pytest.approx(page.evaluate(_PLACE, [drawing, mark]), abs=1.0)


@pytest.mark.parametrize("kind", ["heard", "missed"])
def test_pointing_at_a_frame_rings_it_in_the_other_drawings(
    browser: Browser, example_site: Path, kind: str
) -> None:
    """Heard or missed, a frame is one frame in all three drawings of a walk."""
    with opened_page(browser, walk_url(example_site)) as (page, log):
        live_walk(page)
        marks = page.evaluate(_MARKS.replace("MARK", kind))
        mark = marks[len(marks) // 2]
        point_at(page, f"{_WALK}-time", mark)

        assert_ringed(page, f"{_WALK}-map", mark)
        assert_ringed(page, f"{_WALK}-distance", mark)
        assert page.evaluate(_RINGS)[f"live-{_WALK}-time"] is None
        assert (log.page_errors, log.console_errors) == ([], [])


def test_the_ring_goes_with_the_pointer_unless_a_click_keeps_it(
    browser: Browser, example_site: Path
) -> None:
    """Kept, it follows its mark through a zoom, which itself stays; Escape takes it away."""
    drawing, other = f"{_WALK}-time", f"{_WALK}-map"
    with opened_page(browser, walk_url(example_site)) as (page, _):
        live_walk(page)
        mark = page.evaluate(_MARKS.replace("MARK", "heard"))[0]
        point_at(page, drawing, mark)
        page.mouse.move(2, 2)
        page.wait_for_timeout(300)
        left = page.evaluate(_RINGS)[f"live-{other}"]

        point_at(page, drawing, mark)
        page.mouse.down()
        page.mouse.up()
        page.mouse.move(2, 2)
        page.wait_for_timeout(300)
        assert_ringed(page, other, mark)
        show(page, other)
        page.locator(f'[id="live-{other}"] .modebar-btn[data-val="out"]').dispatch_event("click")
        page.wait_for_timeout(700)
        assert_ringed(page, other, mark)
        page.keyboard.press("Escape")
        after = page.evaluate(_RINGS)[f"live-{other}"]

    assert left is None
    assert after is None


def test_a_tap_rings_a_frame_in_the_other_drawings(browser: Browser, example_site: Path) -> None:
    with opened_page(browser, walk_url(example_site), width_px=PHONE_PX) as (page, _):
        live_walk(page)
        marks = page.evaluate(_MARKS.replace("MARK", "heard"))
        show(page, f"{_WALK}-time")
        x, y = page.evaluate(_PLACE, [f"{_WALK}-time", marks[0]])
        page.touchscreen.tap(x, y)
        page.wait_for_timeout(400)
        ringed = page.evaluate(_RINGS)[f"live-{_WALK}-map"]

    assert ringed is not None


def test_a_drawing_that_is_not_live_takes_no_part(browser: Browser, example_site: Path) -> None:
    """On a telephone only what was tapped is loaded."""
    with opened_page(browser, walk_url(example_site), width_px=PHONE_PX) as (page, log):
        chart = page.locator(f'figure[data-chart="{_WALK}-time"]')
        chart.locator(".chart-open").click()
        page.wait_for_selector(f'figure[data-chart="{_WALK}-time"][data-state="live"]')
        mark = page.evaluate(_MARKS.replace("MARK", "heard"))[0]
        point_at(page, f"{_WALK}-time", mark)

        assert not any(page.evaluate(_RINGS).values())
        assert log.page_errors == []


@pytest.mark.parametrize("width_px", [PHONE_PX, 1440])
def test_a_card_leads_to_the_photos_place_without_scripts(
    browser: Browser, example_site: Path, width_px: int
) -> None:
    """The ring stands where the still map has the photo's mark, on either drawing."""
    url = example_site.with_name("photos.html").as_uri()
    size = {"width": width_px, "height": 900}
    with browser.new_context(java_script_enabled=False, viewport=size) as context:  # type: ignore[arg-type]
        page = context.new_page()
        page.goto(url)
        link = page.locator('.photo-card a[href^="#map-photo-"]').first
        anchor = (link.get_attribute("href") or "").removeprefix("#")
        link.click()
        ring = page.locator(f'[id="{anchor}"]')
        box, mark = ring.bounding_box(), page.locator(
            f'.photo-mark[href$="#{anchor.removeprefix("map-")}"] path:visible'
        ).first.bounding_box()  # fmt: skip
        visible = page.locator(".chart-ring").evaluate_all(
            "rings => rings.filter(r => r.checkVisibility({visibilityProperty: true})).length"
        )

    assert box is not None
    assert mark is not None
    assert visible == 1
    assert 200 < box["y"] < 600, "with ground around it"
    assert box["x"] + box["width"] / 2 == pytest.approx(mark["x"] + mark["width"] / 2, abs=1.5)
    assert box["y"] + box["height"] / 2 == pytest.approx(mark["y"] + mark["height"] / 2, abs=1.5)


def test_a_card_leads_to_the_photos_place_on_the_live_map(
    browser: Browser, example_site: Path
) -> None:
    url = example_site.with_name("photos.html").as_uri()
    with opened_page(browser, url) as (page, log):
        live_walk(page)
        link = page.locator('.photo-card a[href^="#map-photo-"]').last
        anchor = (link.get_attribute("href") or "").removeprefix("#")
        for _ in range(2):  # the second time the address is there already
            link.click()
            page.wait_for_timeout(300)
            ring = page.evaluate(_RINGS)["live-photos"]
            place = page.evaluate(_PLACE, ["photos", f"photos.html#{anchor.removeprefix('map-')}"])
            assert ring == pytest.approx(place, abs=1.0)
            assert 0 < ring[1] < 900
        assert (log.page_errors, log.console_errors) == ([], [])


def test_an_address_with_a_photos_place_rings_it_once_the_map_is_live(
    browser: Browser, example_site: Path
) -> None:
    page_path = example_site.with_name("photos.html")
    anchor = page_path.read_text("utf-8").split('id="map-photo-')[1].split('"')[0]
    with opened_page(browser, f"{page_path.as_uri()}#map-photo-{anchor}") as (page, _):
        page.wait_for_selector('figure.chart-map[data-state="live"]')
        page.wait_for_timeout(300)
        ring = page.evaluate(_RINGS)["live-photos"]

    assert ring is not None
    assert 0 < ring[1] < 900
