"""Opens a built page from its folder as a reader does, and writes down what went wrong."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from playwright.sync_api import Browser, ConsoleMessage, Error, Page, Request, sync_playwright

PHONE_PX = 390
DESKTOP_PX = 1440
_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")

_MEASURE = """() => ({
  wide: document.documentElement.scrollWidth - document.documentElement.clientWidth,
  charts: document.querySelectorAll('figure.chart[data-chart]').length,
  still: [...document.querySelectorAll('figure.chart[data-chart]')].filter(chart =>
    [...chart.querySelectorAll('.chart-still svg')].some(
      svg => svg.getBoundingClientRect().width > 0)
  ).length,
  drawn: [...document.querySelectorAll('figure.chart[data-chart]')].filter(chart => {
    const plot = chart.querySelector('.js-plotly-plot .main-svg');
    return plot && plot.getBoundingClientRect().width > 0;
  }).length,
})"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PageFaults:
    """What a browser complained of, and what it drew.

    `sideways_px` is how far the page can be pushed sideways; `charts` counts the containers,
    `charts_still` those that show the drawing that came with the page, `charts_drawn` those that
    show the interactive one in its place.
    """

    console_errors: tuple[str, ...] = ()
    page_errors: tuple[str, ...] = ()
    failed_requests: tuple[str, ...] = ()
    outside_requests: tuple[str, ...] = ()
    sideways_px: int = 0
    charts: int = 0
    charts_still: int = 0
    charts_drawn: int = 0

    @property
    def complaints(self) -> tuple[str, ...]:
        """Everything that must not be, in one list."""
        sideways = (f"scrolls sideways by {self.sideways_px} px",) if self.sideways_px > 0 else ()
        blank = self.charts - self.charts_still - self.charts_drawn
        return (
            *self.console_errors,
            *self.page_errors,
            *self.failed_requests,
            *self.outside_requests,
            *sideways,
            *((f"{blank} charts show nothing",) if blank > 0 else ()),
        )


@dataclass  # without slots: playwright leaves attributes of its own on what it calls back
class _Log:
    console_errors: list[str] = field(default_factory=list)
    page_errors: list[str] = field(default_factory=list)
    failed_requests: list[str] = field(default_factory=list)
    outside_requests: list[str] = field(default_factory=list)

    def console(self, message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            self.console_errors.append(f"console {message.type}: {message.text}")

    def page_error(self, error: Error) -> None:
        self.page_errors.append(f"page error: {error.message}")

    def failed(self, request: Request) -> None:
        # A file whose page was left before it came was given up; one that is not there, or that a
        # policy keeps out, fails otherwise.
        if request.failure == "net::ERR_ABORTED" and request.url.startswith("file:"):
            return
        self.failed_requests.append(f"failed request: {request.url} ({request.failure})")

    def request(self, request: Request) -> None:
        if not request.url.startswith(("file:", "data:", "blob:", "about:")):
            self.outside_requests.append(f"request to the outside: {request.url}")


def chromium_path() -> str | None:
    """Return where the system's Chromium lies, or None."""
    return next((path for name in _NAMES if (path := shutil.which(name))), None)


@contextmanager
def started_browser(executable: str) -> Iterator[Browser]:
    """Lend a headless browser that may run as root, as it must in a container."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=executable, args=["--no-sandbox", "--disable-gpu"]
        )
        try:
            yield browser
        finally:
            browser.close()


@contextmanager
def opened_page(
    browser: Browser,
    url: str,
    *,
    width_px: int = DESKTOP_PX,
    dark: bool = False,
    without_policy: bool = False,
) -> Iterator[tuple[Page, _Log]]:
    """Open a page at a width and lend it with the log of what happened on it."""
    is_phone = width_px < 600
    context = browser.new_context(
        viewport={"width": width_px, "height": 844 if is_phone else 900},
        has_touch=is_phone,
        is_mobile=is_phone,
        color_scheme="dark" if dark else "light",
        bypass_csp=without_policy,
    )
    log = _Log()
    try:
        page = context.new_page()
        page.on("console", log.console)
        page.on("pageerror", log.page_error)
        page.on("requestfailed", log.failed)
        page.on("request", log.request)
        page.goto(url, wait_until="load")
        yield page, log
    finally:
        context.close()


def page_faults(
    browser: Browser,
    url: str,
    *,
    width_px: int = DESKTOP_PX,
    open_charts: bool = False,
    patience_ms: int = 20_000,
) -> PageFaults:
    """Open a page from its folder and return what went wrong on it.

    Parameters
    ----------
    browser : Browser
    url : str
        Address of the page, ``file://``.
    width_px : int
        Width of the window; below 600 it is a telephone with a touch screen.
    open_charts : bool
        Tap every ``.chart-open`` button, and wait until every chart is interactive.
    patience_ms : int
        How long to wait for that.
    """
    with opened_page(browser, url, width_px=width_px) as (page, log):
        if open_charts:
            _open_charts(page, patience_ms)
        page.wait_for_timeout(250)
        seen = page.evaluate(_MEASURE)
        return PageFaults(
            console_errors=tuple(log.console_errors),
            page_errors=tuple(log.page_errors),
            failed_requests=tuple(log.failed_requests),
            outside_requests=tuple(log.outside_requests),
            sideways_px=int(seen["wide"]),
            charts=int(seen["charts"]),
            charts_still=int(seen["still"]),
            charts_drawn=int(seen["drawn"]),
        )


def _open_charts(page: Page, patience_ms: int) -> None:
    """Go to each chart, tap it if it waits to be tapped, and wait for all of them."""
    for chart in page.locator("figure.chart[data-chart]").all():
        chart.scroll_into_view_if_needed()
        button = chart.locator(".chart-open")
        if button.is_visible():
            button.click()
    try:
        page.wait_for_function(
            "() => document.querySelectorAll('figure.chart[data-chart]').length"
            " === document.querySelectorAll('figure.chart .js-plotly-plot .main-svg:first-child')"
            ".length",
            timeout=patience_ms,
        )
    except Error:
        return  # the counts say which did not draw


def search_hits(page: Page, word: str) -> list[str]:
    """Type a word into the search box and return the texts of the hits."""
    if not page.locator(".md-search__input").is_visible():
        page.locator(".sheet-find").click()
    # Key by key, as the search listens to keys; the first click is what makes it load its index.
    page.locator(".md-search__input").click()
    page.keyboard.type(word)
    try:
        page.wait_for_selector(".md-search-result__item", timeout=10_000)
    except Error:
        return []
    return page.locator(".md-search-result__item").all_inner_texts()


def linked_pages(index: Path) -> list[Path]:
    """Return every built page of a site, the first page first."""
    others = sorted(path for path in index.parent.rglob("*.html") if path != index)
    return [index, *others]
