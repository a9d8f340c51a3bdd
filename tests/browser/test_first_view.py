"""What a page weighs and how much it moves; and what is left of it where no script runs."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from tests.conftest import IN_CI

if not IN_CI:  # there, a missing one must be seen
    pytest.importorskip("playwright", reason="playwright is not installed")

from playwright.sync_api import Browser

from reportgen.pages.summary_file import SUMMARY
from tests.benchmarks.first_view import (
    MOST_BYTES,
    MOST_SHIFT,
    first_view,
    largest_window,
)
from tests.browser.page_check import DESKTOP_PX, PHONE_PX, linked_pages

pytestmark = [pytest.mark.browser, pytest.mark.slow]

WIDTHS = pytest.mark.parametrize("width_px", [PHONE_PX, DESKTOP_PX])
_TOLD = """() => {
  const shows = item => item.checkVisibility({ visibilityProperty: true })
    && item.getBoundingClientRect().width > 0;
  const all = choice => [...document.querySelectorAll(choice)];
  return {
    title: all('#report h1').filter(shows).length,
    letters: document.querySelector('#report').innerText.length,
    blank: all('figure.chart[data-chart]').filter(
      chart => ![...chart.querySelectorAll('.chart-still svg')].some(shows)).length,
    figures: all('[data-figure]').filter(shows).length,
    broken: all('#report img').filter(image => !image.complete || !image.naturalWidth).length,
    pictures: all('#report img').length,
    idle: all('.chart-open, .sheet-scheme, .sheet-find, .sheet-search').filter(shows).map(
      item => item.className),
    wide: document.documentElement.scrollWidth - document.documentElement.clientWidth,
  };
}"""


@WIDTHS
@pytest.mark.parametrize("name", ["index.html", "photos.html", "walks/both-nodes.html"])
def test_a_page_of_the_example_is_light_and_stands_still(
    browser: Browser, example_site: Path, name: str, width_px: int
) -> None:
    """The heaviest pages; how long they take depends on the machine and is measured by hand."""
    view = first_view(browser, example_site.parent / name, name, width_px=width_px)

    assert view.shift < MOST_SHIFT
    assert 100_000 < view.first_bytes < MOST_BYTES
    assert view.all_bytes >= view.first_bytes
    assert view.complete_ms > 0


@WIDTHS
def test_a_page_that_moves_is_seen_to_move(browser: Browser, tmp_path: Path, width_px: int) -> None:
    """Half a screen pushed down by something late: a measurement that can't fail says nothing."""
    page = tmp_path / "late.html"
    page.write_text(
        "<!doctype html><div id=top></div><p style='height: 500px; background: red'>text</p>"
        "<script>setTimeout(() => { document.querySelector('#top').style.height = '200px'; },"
        " 300)</script>",
        encoding="utf-8",
    )

    assert first_view(browser, page, "late", width_px=width_px).shift > MOST_SHIFT


def test_only_shifts_of_one_window_add_up() -> None:
    """More than a second apart they count alone, and no window is longer than five seconds."""
    assert largest_window([(0, 0.1), (900, 0.1), (2500, 0.15)]) == pytest.approx(0.2)
    assert largest_window((900.0 * step, 0.01) for step in range(12)) == pytest.approx(0.06)
    assert largest_window([]) == 0


@WIDTHS
def test_every_page_tells_its_story_without_scripts(
    browser: Browser, example_site: Path, width_px: int
) -> None:
    """Text, figures, still charts and pictures; and nothing that would do nothing when tapped."""
    told = {}
    size = {"width": width_px, "height": 900}
    with browser.new_context(java_script_enabled=False, viewport=size) as context:  # type: ignore[arg-type]
        page = context.new_page()
        for path in linked_pages(example_site):
            if path.name == SUMMARY:  # without scripts in any case, and tested as a file of its own
                continue
            page.goto(path.as_uri(), wait_until="load")
            told[path.name] = page.evaluate(_TOLD)

    for name, seen in told.items():
        assert (seen["title"], seen["blank"], seen["broken"]) == (1, 0, 0), name
        assert (seen["idle"], seen["wide"]) == ([], 0), name
        assert seen["letters"] > 600, name
    assert told["index.html"]["figures"] >= 5
    assert told["hill-sf7.html"]["figures"] >= 20
    assert told["photos.html"]["pictures"] >= 10


def test_a_mark_is_a_whole_circle(browser: Browser, example_site: Path) -> None:
    """It is written as one arc that all but closes; a browser must draw it round."""
    with browser.new_context(java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(example_site.as_uri())
        round_mark = page.locator(".key-mark .missed-placed").first.evaluate(
            "path => [path.getBBox().width, path.getBBox().height, path.getTotalLength()]"
        )

    assert round_mark == pytest.approx([12.0, 12.0, math.pi * 12.0], abs=0.15)
