from __future__ import annotations

from pathlib import Path

import pytest

from tests.conftest import IN_CI

if not IN_CI:  # there, a missing one must be seen
    pytest.importorskip("playwright", reason="playwright is not installed")

from playwright.sync_api import Browser

from tests.browser.page_check import (
    DESKTOP_PX,
    PHONE_PX,
    linked_pages,
    opened_page,
    page_faults,
    search_hits,
)

pytestmark = [pytest.mark.browser, pytest.mark.slow]

WIDTHS = pytest.mark.parametrize("width_px", [PHONE_PX, DESKTOP_PX])


@WIDTHS
def test_no_page_of_the_example_has_a_fault(
    browser: Browser, example_site: Path, width_px: int
) -> None:
    """Every page, from a folder: no error, nothing from outside, no sideways scroll, no blank."""
    pages = linked_pages(example_site)

    faults = {
        path.relative_to(example_site.parent).as_posix(): page_faults(
            browser, path.as_uri(), width_px=width_px
        ).complaints
        for path in pages
    }

    assert len(faults) >= 8
    assert not any(faults.values()), faults


def test_every_page_of_the_example_can_be_reached_from_the_first(
    browser: Browser, example_site: Path
) -> None:
    root = example_site.parent
    waiting, seen = [example_site], {example_site}
    while waiting:
        with opened_page(browser, waiting.pop().as_uri()) as (opened, _):
            links = opened.evaluate(
                "() => [...document.querySelectorAll('a[href]')].map(a => a.href)"
            )
        for link in links:
            path = Path(str(link).split("#")[0].removeprefix("file://"))
            if path.suffix == ".html" and path not in seen:
                seen.add(path)
                waiting.append(path)

    assert seen == set(root.rglob("*.html"))


@WIDTHS
def test_every_chart_of_the_example_draws(
    browser: Browser, example_site: Path, width_px: int
) -> None:
    """The drawing that came with the page gives way to the one that can be explored."""
    counts = {}
    for path in linked_pages(example_site):
        text = path.read_text(encoding="utf-8")
        # The summary in one file has drawings that stay still.
        if "data-chart=" not in text or 'class="chart-live"' not in text:
            continue
        found = page_faults(browser, path.as_uri(), width_px=width_px, open_charts=True)
        assert found.complaints == (), path.name
        counts[path.name] = (found.charts, found.charts_drawn)

    assert sum(charts for charts, _ in counts.values()) >= 3
    assert not {name: pair for name, pair in counts.items() if pair[0] != pair[1]}


def test_search_in_the_example_finds_a_word_of_its_title(
    browser: Browser, example_site: Path
) -> None:
    with opened_page(browser, example_site.as_uri()) as (opened, _):
        title = opened.locator("h1").first.inner_text()
        word = max(title.split(), key=len).strip(".,:;?!")
        hits = search_hits(opened, word)

    assert hits
