"""A campaign of payloads, opened page by page: everything is shown, and nothing of it runs."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.conftest import IN_CI

if not IN_CI:  # there, a missing one must be seen
    pytest.importorskip("playwright", reason="playwright is not installed")

from playwright.sync_api import Browser, Page, Request

from reportgen.cli.building import build_report
from tests.browser.page_check import linked_pages, opened_page, search_hits
from tests.browser.test_tiny_site import served
from tests.campaigns.hostile import SUM, WORD, hostile_campaign

pytestmark = [pytest.mark.browser, pytest.mark.slow]

LISTEN = "window.seen = []; window.ran = place => { window.seen.push(place); };"
"""What every payload calls, before anything of a page is there."""
MADE_BY_A_PAYLOAD = """() => [...document.querySelectorAll(
  'img[src="x"], iframe:not([hidden]), object, embed, base, form[action], [http-equiv=refresh], '
  + 'a[href^="javascript:" i], a[href^="data:"], [href*="elsewhere"], [src*="elsewhere"], '
  + '.chart-live .main-svg a, .hoverlayer a')].map(e => e.outerHTML)
  .concat([...document.querySelectorAll('*')].filter(
    e => [...e.attributes].some(a => a.name.startsWith('on'))).map(e => e.outerHTML))
  .concat([...document.querySelectorAll('style')].filter(
    e => e.textContent.includes('elsewhere')).map(e => e.outerHTML))"""
IS_LIVE = "chart => chart.dataset.state === 'live'"
HOVER = """async () => {
  const texts = [], rest = ms => new Promise(done => setTimeout(done, ms));
  for (const plot of document.querySelectorAll('[data-state="live"] .chart-live')) {
    for (const [curve, trace] of plot.data.entries()) {
      if (trace.hoverinfo === 'skip' || trace.visible === false) continue;
      for (const point of new Set([0, 1, trace.x.length - 1])) {
        try { Plotly.Fx.hover(plot, [{ curveNumber: curve, pointNumber: point }]); }
        catch (nothing_there) { continue; }
        await rest(120);
        texts.push(plot.querySelector('.hoverlayer').textContent);
      }
    }
  }
  return texts;
}"""
"""The library draws what is pointed at a moment later."""


@dataclass(frozen=True, slots=True)
class Site:
    """A built site and how many payloads its campaign holds."""

    index: Path
    places: tuple[str, ...]


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Site:
    folder = tmp_path_factory.mktemp("hostile")
    campaign = hostile_campaign(folder)
    report = build_report(campaign.folder, folder / "site", lambda _: None, strict=False)
    assert report.index is not None
    return Site(report.index, campaign.places)


@contextmanager
def watched(
    browser: Browser, site: Site, *, without_policy: bool
) -> Iterator[tuple[Page, list[str]]]:
    """Lend a page, with everything about it that must not be; looked at once it is given back."""
    faults: list[str] = []

    def leaves(request: Request) -> None:
        if not request.url.startswith((site.index.parent.as_uri(), "data:", "blob:", "about:")):
            faults.append(f"a request leaves the folder: {request.url}")

    with opened_page(browser, "about:blank", without_policy=without_policy) as (page, log):
        page.add_init_script(LISTEN)
        page.on("request", leaves)
        page.on("dialog", lambda dialog: faults.append(f"a dialog: {dialog.message}"))
        page.on("popup", lambda popup: faults.append(f"a window: {popup.url}"))
        yield page, faults
        faults += [*log.console_errors, *log.page_errors, *log.failed_requests]


def in_page(page: Page, site: Site) -> list[str]:
    """Return what payloads did or made in the page as it stands."""
    ran = [site.places[number] for number in page.evaluate("() => window.seen")]
    made = page.evaluate(MADE_BY_A_PAYLOAD)
    return [f"ran: {place}" for place in ran] + [f"made: {element[:200]}" for element in made]


def look_at_everything(page: Page) -> list[str]:
    """Unfold, choose and draw what a page offers; return the texts of everything pointed at."""
    page.evaluate("() => document.querySelectorAll('details').forEach(d => { d.open = true; })")
    # The summary has no scripts, so its drawings stay still.
    for chart in page.locator("body:has(script) figure.chart[data-chart]").all():
        chart.scroll_into_view_if_needed()
        page.wait_for_function(IS_LIVE, arg=chart.element_handle())
    page.evaluate("() => document.querySelectorAll('[data-layer]').forEach(c => c.click())")
    texts = page.evaluate(HOVER)
    for photo in page.locator("a.photo-frame").all()[:1]:
        photo.click()
        page.keyboard.press("ArrowRight")
        page.keyboard.press("Escape")
    page.evaluate("() => { location.hash = '#\"><img src=x onerror=ran(0)>'; }")
    page.wait_for_timeout(200)
    return [str(text) for text in texts]


@pytest.mark.parametrize("without_policy", [True, False], ids=["escaping alone", "as shipped"])
def test_nothing_of_a_hostile_campaign_runs_on_any_page(
    browser: Browser, site: Site, without_policy: bool
) -> None:
    """Without the policy, too: it must not hide that something was not escaped."""
    pointed_at = []
    found: dict[str, list[str]] = {}
    for path in linked_pages(site.index):
        with watched(browser, site, without_policy=without_policy) as (page, faults):
            page.goto(path.as_uri())
            pointed_at += look_at_everything(page)
            faults.extend(in_page(page, site))
            text = page.evaluate("() => document.documentElement.textContent")
        found[path.name] = faults
        assert SUM in text
        assert "==49==" not in text

    assert len(found) == 12
    assert not any(found.values()), found
    shown = {int(number) for text in pointed_at for number in re.findall(f"{WORD}(\\d+)", text)}
    stations = {"station pier: name", "station of others: name", "station that nobody described"}
    assert stations <= {site.places[number] for number in shown}


@pytest.mark.parametrize("without_policy", [True, False], ids=["escaping alone", "as shipped"])
def test_nothing_runs_in_what_a_search_finds(
    browser: Browser, site: Site, without_policy: bool
) -> None:
    with watched(browser, site, without_policy=without_policy) as (page, faults):
        page.goto(site.index.as_uri())
        hits = search_hits(page, f"{WORD}{site.places.index('caption')}")
        page.wait_for_timeout(300)
        faults.extend(in_page(page, site))

    assert hits
    assert "<script>ran(" in "".join(hits)
    assert faults == []


PLANTED = (
    "<script>ran(1)</script><img src=x onerror=ran(2)><svg onload=ran(3)></svg>"
    '<a id=planted href="javascript:ran(4)">x</a>'
    "<script>try { eval('ran(5)') } catch (refused) {}</script>"
)
SEARCHED = "() => document.getElementById('planted').click()"


@pytest.mark.parametrize("from_server", [False, True], ids=["folder", "server"])
@pytest.mark.parametrize("name", ["index.html", "summary.html"])
def test_the_policy_alone_keeps_a_planted_script_from_running(
    browser: Browser, site: Site, tmp_path: Path, name: str, from_server: bool
) -> None:
    """What got past every escape would still not run; without the policy it does."""
    folder = tmp_path / "site"
    shutil.copytree(site.index.parent, folder)
    page_path = folder / name
    text = page_path.read_text("utf-8")
    assert text.count("</body>") == 1
    page_path.write_text(text.replace("</body>", f"{PLANTED}</body>"), encoding="utf-8")
    ran = {}
    for without_policy in (False, True):
        with (
            served(folder) as address,
            opened_page(browser, "about:blank", without_policy=without_policy) as (page, _),
        ):
            page.add_init_script(LISTEN)
            page.goto(f"{address}/{name}" if from_server else page_path.as_uri())
            page.evaluate(SEARCHED)
            page.wait_for_timeout(200)
            ran[without_policy] = sorted(page.evaluate("() => window.seen"))

    assert ran == {False: [], True: [1, 2, 3, 4, 5]}
