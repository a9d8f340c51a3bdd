"""What a reader meets who can't see well, uses no pointer, or gets dizzy from things that move.

The rules are those of the Web Content Accessibility Guidelines 2.2, levels A and AA, as far as a
machine can check them, and what is held to be good practice besides.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.conftest import IN_CI

if not IN_CI:  # there, a missing one must be seen
    pytest.importorskip("playwright", reason="playwright is not installed")

from playwright.sync_api import Browser, Page

from tests.browser.page_check import DESKTOP_PX, PHONE_PX, linked_pages, opened_page

pytestmark = [pytest.mark.browser, pytest.mark.slow]

COLOUR_RULES = ["color-contrast", "link-in-text-block"]
"""The rules that look at colours; all else is the same in either palette."""
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
MAP = "figure.chart-map"
LIVE = f'{MAP}[data-state="live"]'
_RUN = """async tags => (await axe.run(document, {resultTypes: ['violations'], runOnly: tags}))
  .violations.map(rule => `${rule.id}: ${rule.nodes.map(n => n.html.slice(0, 160)).join(' | ')}`)"""
_STOPS = """() => {
  const seen = [...document.querySelectorAll(
    'a[href], button, input, select, summary, [tabindex="0"]')].filter(e =>
      e.tabIndex >= 0 && !e.disabled && e.checkVisibility({visibilityProperty: true}));
  const isChosen = e => e.type !== 'radio' || e.checked;
  return seen.filter(isChosen).filter(e => !e.dataset.stopped)
    .map(e => e.outerHTML.slice(0, 120)); }"""
_STOP = """() => { const e = document.activeElement;
  if (!e || e === document.body) return null;
  const first = !e.dataset.stopped, style = getComputedStyle(e);
  e.dataset.stopped = 'yes';
  return {first, ring: style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2,
    html: e.outerHTML.slice(0, 120)}; }"""
_MOVES = """() => [...document.querySelectorAll('*')].flatMap(e => ['', '::before', '::after'].map(
    part => [e, getComputedStyle(e, part)]))
  .filter(([, style]) => style.animationName !== 'none' || style.scrollBehavior === 'smooth'
    || style.transitionDuration.split(',').some(time => parseFloat(time) > 0))
  .map(([e]) => e.outerHTML.slice(0, 80))"""


def violations(page: Page, rules: list[str] = TAGS) -> list[str]:
    """Return the rules that the page breaks as it stands, each with the elements that do."""
    return [str(found) for found in page.evaluate(_RUN, rules)]


def tab_to(page: Page, selector: str) -> None:
    """Press Tab until what has the focus answers to a selector."""
    for _ in range(600):
        page.keyboard.press("Tab")
        if page.evaluate("css => document.activeElement.matches(css)", selector):
            return
    pytest.fail(f"the Tab key never comes to {selector}")


def live_map(page: Page) -> None:
    """Wait until the map of a wide window can be explored, and go back to the top."""
    page.locator(MAP).scroll_into_view_if_needed()
    page.wait_for_selector(LIVE, timeout=20_000)
    page.evaluate("() => scrollTo(0, 0)")


@pytest.mark.parametrize(
    ("dark", "rules"), [(False, TAGS), (True, COLOUR_RULES)], ids=["light", "dark"]
)
def test_no_page_breaks_a_rule_in_either_palette_at_either_width(
    browser: Browser, example_site: Path, axe: str, dark: bool, rules: list[str]
) -> None:
    """Opened narrow and then widened: so the still drawings stay, and a page is loaded once."""
    broken, pages = {}, linked_pages(example_site)
    for path in pages:
        with opened_page(browser, path.as_uri(), dark=dark, width_px=700) as (page, _):
            page.evaluate(axe)
            for width_px in (PHONE_PX, DESKTOP_PX):
                page.set_viewport_size({"width": width_px, "height": 900})
                broken[path.name, width_px] = violations(page, rules)

    assert len(pages) >= 15
    assert {place: found for place, found in broken.items() if found} == {}


def test_no_rule_is_broken_by_what_opens(browser: Browser, example_site: Path, axe: str) -> None:
    """The map that can be explored, the working of a number, the contents and search of a phone."""
    broken = {}
    with opened_page(browser, example_site.as_uri()) as (page, _):
        page.evaluate(axe)
        live_map(page)
        broken["map"] = violations(page)
        page.locator(".stats [popovertarget]").first.click()
        broken["working"] = violations(page)
    with opened_page(browser, example_site.as_uri(), width_px=PHONE_PX) as (page, _):
        page.evaluate(axe)
        page.locator(".sheet-menu summary").click()
        broken["contents"] = violations(page)
        page.locator(".sheet-find").click()
        broken["search"] = violations(page)

    assert {state: found for state, found in broken.items() if found} == {}


@pytest.mark.parametrize("width_px", [PHONE_PX, DESKTOP_PX])
def test_the_tab_key_reaches_everything_and_shows_where_it_is(
    browser: Browser, example_site: Path, width_px: int
) -> None:
    with opened_page(browser, example_site.as_uri(), width_px=width_px) as (page, _):
        if width_px == DESKTOP_PX:
            live_map(page)
        page.locator("body").press("Tab")
        stops = []
        while (stop := page.evaluate(_STOP)) and stop["first"]:
            stops.append(stop)
            page.keyboard.press("Tab")
        passed_by = page.evaluate(_STOPS)

    assert len(stops) > 60
    assert passed_by == []
    assert [stop["html"] for stop in stops if not stop["ring"]] == []


def test_keys_alone_open_a_number_a_table_and_a_layer_of_the_map(
    browser: Browser, example_site: Path
) -> None:
    with opened_page(browser, example_site.as_uri(), width_px=PHONE_PX) as (page, _):
        tab_to(page, ".stats [popovertarget]")
        page.keyboard.press("Enter")
        working = page.locator(":popover-open").inner_text()
        page.keyboard.press("Escape")
        tab_to(page, "input[data-layer=ground]")
        page.keyboard.press("ArrowRight")
        chosen = page.evaluate("() => document.activeElement.value")
        squares = page.locator(f'{MAP} .still-narrow [data-ground="{chosen}"] .squares').first
        is_drawn = squares.is_visible()
        tab_to(page, ".chart-table summary")
        page.keyboard.press("Enter")
        table = page.locator(".chart-table table").first.is_visible()

    assert "farthest" in working.casefold()
    assert (chosen, is_drawn, table) == ("level", True, True)


def test_the_search_of_a_phone_opens_by_key_and_gives_the_focus_back(
    browser: Browser, example_site: Path
) -> None:
    """Who closes it, by key or by button, is where it was opened, not at the top of the page."""
    back = "() => document.activeElement.matches('.sheet-find')"
    with opened_page(browser, example_site.as_uri(), width_px=PHONE_PX) as (page, _):
        tab_to(page, ".sheet-find")
        page.keyboard.press("Enter")
        page.wait_for_function("() => document.activeElement.matches('.md-search__input')")
        page.keyboard.press("Escape")
        page.wait_for_function(back)
        page.keyboard.press("Space")
        page.wait_for_function("() => document.activeElement.matches('.md-search__input')")
        page.locator(".sheet-search__close").click()
        page.wait_for_function(back)
        is_open = page.locator(".md-search__input").is_visible()

    assert not is_open


def test_the_link_that_skips_leads_into_the_report(browser: Browser, example_site: Path) -> None:
    with opened_page(browser, example_site.as_uri()) as (page, _):
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        target = page.evaluate("() => document.querySelector(':target').id")
        page.keyboard.press("Tab")
        is_inside = page.evaluate("() => document.activeElement.closest('#report') !== null")

    assert (target, is_inside) == ("report", True)


@pytest.mark.parametrize("name", ["index.html", "walks/hill-sf7.html", "photos.html"])
def test_nothing_moves_for_those_who_asked_for_that(
    browser: Browser, example_site: Path, name: str
) -> None:
    with opened_page(browser, (example_site.parent / name).as_uri()) as (page, _):
        page.emulate_media(reduced_motion="reduce")
        moving = page.evaluate(_MOVES)

    assert moving == []


@pytest.mark.parametrize(("dark", "paper"), [(False, "251, 250, 246"), (True, "18, 23, 27")])
def test_the_summary_in_one_file_follows_the_system_and_switches_its_map(
    browser: Browser, example_site: Path, tmp_path: Path, dark: bool, paper: str
) -> None:
    """Alone in a folder, as it arrives by mail: no script, and still light or dark."""
    alone = tmp_path / "summary.html"
    alone.write_bytes(example_site.with_name("summary.html").read_bytes())
    with opened_page(browser, alone.as_uri(), width_px=PHONE_PX, dark=dark) as (page, log):
        colour = page.evaluate("() => getComputedStyle(document.body).backgroundColor")
        squares = page.locator(f'{MAP} .still-narrow [data-ground="level"] .squares').first
        before = squares.is_visible()
        page.locator("input[value=level]").check()
        after = squares.is_visible()
        shown = page.evaluate("() => [...document.images].every(i => i.naturalWidth > 100)")
        wide = page.evaluate("() => document.documentElement.scrollWidth")

    assert colour == f"rgb({paper})"
    assert (before, after, shown, wide) == (False, True, True, PHONE_PX)
    assert (log.console_errors, log.failed_requests, log.outside_requests) == ([], [], [])
