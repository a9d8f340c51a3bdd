"""Switching what the ground of a map shows, with scripts and without."""

from __future__ import annotations

import json
import re
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

MAP = "figure.chart-map"
_SQUARES = """map => Object.fromEntries(['level', 'share', 'others'].map(ground => [ground,
  [...map.querySelectorAll('.squares.grid')].filter(
    group => group.checkVisibility() && group.getBoundingClientRect().width > 0
      && group.parentNode.dataset.ground === ground
  ).map(group => group.parentNode.dataset.walk || '')]).filter(pair => pair[1].length))"""
_BARS = """map => map.querySelector('.js-plotly-plot').data.filter(
  trace => trace.type === 'bar' && trace.visible).map(trace => trace.meta)"""
_COLOUR = """map => map.querySelector('.js-plotly-plot').data.find(
  trace => trace.type === 'bar' && trace.visible).marker.pattern.shape.includes('.')"""
_RANGE = "map => [...map.querySelector('.js-plotly-plot')._fullLayout.xaxis.range]"


def squares(chart: Locator) -> object:
    """Return what kinds of squares the still drawing shows, and of which walks."""
    return chart.evaluate(_SQUARES)


@contextmanager
def without_scripts(browser: Browser, url: str, width_px: int) -> Iterator[Page]:
    context = browser.new_context(
        java_script_enabled=False, viewport={"width": width_px, "height": 900}
    )
    try:
        page = context.new_page()
        page.goto(url)
        yield page
    finally:
        context.close()


@pytest.mark.parametrize("width_px", [PHONE_PX, DESKTOP_PX])
def test_the_still_map_switches_without_scripts(
    browser: Browser, example_site: Path, width_px: int
) -> None:
    """Only the marks at first; then one kind of square, of all walks or of the one chosen."""
    with without_scripts(browser, example_site.as_uri(), width_px) as page:
        chart = page.locator(MAP)
        assert squares(chart) == {}
        for ground in ("level", "share", "others"):
            chart.locator(f"input[value={ground}]").check()
            assert squares(chart) == {ground: ["all"]}
            assert chart.locator(f'.key-marks [data-ground~="{ground}"]').first.is_visible()
        chart.locator("select").select_option("3")
        assert squares(chart) == {"others": ["3"]}
        page.emulate_media(media="print")
        assert squares(chart) == {"others": ["3"]}
        assert chart.locator(".layer-grounds label:visible").all_inner_texts() == [
            "heard by somebody else's stations (counts)"
        ]


def test_the_map_of_a_walk_switches_too_and_has_no_choice_of_walks(
    browser: Browser, example_site: Path
) -> None:
    url = (example_site.parent / "walks" / "hill-sf7.html").as_uri()
    with without_scripts(browser, url, DESKTOP_PX) as page:
        chart = page.locator(MAP)
        chart.locator("input[value=share]").check()

        assert squares(chart) == {"share": [""]}
        assert chart.locator("select").count() == 0


def test_keys_alone_switch_the_ground(browser: Browser, example_site: Path) -> None:
    with opened_page(browser, example_site.as_uri(), width_px=PHONE_PX) as (page, _):
        chart = page.locator(MAP)
        chart.locator("input[value=nothing]").focus()
        page.keyboard.press("ArrowDown")

        assert squares(chart) == {"level": ["all"]}


def test_controls_are_large_enough_for_a_finger(browser: Browser, example_site: Path) -> None:
    with opened_page(browser, example_site.as_uri(), width_px=PHONE_PX) as (page, _):
        heights = page.locator(f"{MAP} .chart-layers label").evaluate_all(
            "labels => labels.map(label => label.getBoundingClientRect().height)"
        )

    assert len(heights) == 5
    assert min(heights) >= 44


def test_the_interactive_map_switches_and_stays_where_it_was_moved(
    browser: Browser, example_site: Path
) -> None:
    with opened_page(browser, example_site.as_uri()) as (page, log):
        chart = page.locator(MAP)
        chart.locator("input[value=share]").check()  # chosen before it is drawn
        chart.scroll_into_view_if_needed()
        page.wait_for_selector(f'{MAP}[data-state="live"]')
        assert chart.evaluate(_BARS) == ["squares"]
        assert not chart.evaluate(_COLOUR)

        whole = chart.evaluate(_RANGE)
        # Not by the pointer: a busy machine may draw no frame in the time it waits for one.
        chart.locator('.modebar-btn[data-attr="zoom"][data-val="in"]').dispatch_event("click")
        page.wait_for_timeout(600)
        moved = chart.evaluate(_RANGE)
        assert moved != whole
        chart.locator("input[value=level]").check()
        page.wait_for_timeout(200)
        assert chart.evaluate(_BARS) == ["squares"]
        assert chart.evaluate(_COLOUR), "the pattern for a median below the limit"
        chart.locator("select").select_option("2")
        chart.locator("input[value=others]").check()
        page.wait_for_timeout(200)
        assert chart.evaluate(_BARS) == ["squares-others"]
        assert chart.evaluate(_RANGE) == pytest.approx(moved)
        chart.locator("input[value=nothing]").check()
        page.wait_for_timeout(200)
        assert chart.evaluate(_BARS) == []
        assert (log.page_errors, log.console_errors) == ([], [])


def test_pointing_at_a_square_says_its_numbers(browser: Browser, example_site: Path) -> None:
    """At its south-east corner no mark is near."""
    url = (example_site.parent / "walks" / "hill-sf7.html").as_uri()
    with opened_page(browser, url) as (page, _):
        chart = page.locator(MAP)
        chart.scroll_into_view_if_needed()
        page.wait_for_selector(f'{MAP}[data-state="live"]')
        chart.locator("input[value=share]").check()
        chart.locator(".chart-live").evaluate("live => live.scrollIntoView()")
        page.wait_for_timeout(200)
        place = chart.evaluate(
            """map => {
              const plot = map.querySelector('.js-plotly-plot'), full = plot._fullLayout;
              const bar = plot.data.find(trace => trace.type === 'bar' && trace.visible);
              const index = bar.text.findIndex(text => text.startsWith('0 of'));
              const box = plot.querySelector('.nsewdrag').getBoundingClientRect();
              return [box.x + full.xaxis.d2p(bar.x[index] + 0.42 * bar.y[index]),
                      box.y + full.yaxis.d2p(bar.base[index] + 0.08 * bar.y[index])];
            }"""
        )
        page.mouse.move(place[0] - 3, place[1])
        page.mouse.move(*place)
        page.wait_for_selector(".hoverlayer .hovertext")

        assert "frames heard" in (page.locator(".hoverlayer .hovertext").text_content() or "")


def test_the_search_knows_neither_squares_nor_controls(example_site: Path) -> None:
    """Hundreds of counts and each walk's title once more would bury what a reader looks for."""
    index = json.loads((example_site.parent / "search" / "search_index.json").read_text("utf-8"))
    maps = [doc["text"] for doc in index["docs"] if doc["location"] == "index.html#map"]

    assert "heard by somebody else's station only" in maps[0]
    assert not re.search(r"\d of \d+ frames heard", maps[0])
    assert "all walks together" not in maps[0]


def test_the_first_page_stays_light(example_site: Path) -> None:
    """A phone in the field has to load it; a regression value of ours."""
    assert example_site.stat().st_size < 900_000
