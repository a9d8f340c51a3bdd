"""How long the first view of each page takes, how much it moves, and how much it weighs.

``python -m tests.benchmarks.first_view SITE`` opens every page of a built site from its folder,
each time in a browser that has cached nothing, on a telephone's screen and on a wide one, and
prints the worse of the two. Times depend on the machine; shifts and weights hardly do.

Layout shift is the largest sum of shifts within a session window, as the Layout Instability API
and the web vitals define it: windows of at most 5 s, shifts at most 1 s apart (from memory).
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import unquote, urlsplit

from playwright.sync_api import Browser, Page, Request

from tests.browser.page_check import (
    DESKTOP_PX,
    PHONE_PX,
    chromium_path,
    linked_pages,
    started_browser,
)

MOST_MS = 1500.0
MOST_SHIFT = 0.05
MOST_BYTES = 1_000_000
LIBRARY = "plotly.min.js"
"""The shared chart library: no page waits for it, so it is not weighed."""
_STEP_PX = 600
_SETTLE_MS = 700

_WATCH = """
window.seen = { largest: 0, shifts: [] };
new PerformanceObserver(list => list.getEntries().forEach(
  entry => { window.seen.largest = entry.startTime; }
)).observe({ type: 'largest-contentful-paint', buffered: true });
new PerformanceObserver(list => list.getEntries().forEach(
  entry => { if (!entry.hadRecentInput) window.seen.shifts.push([entry.startTime, entry.value]); }
)).observe({ type: 'layout-shift', buffered: true });
"""
_TIMES = """() => [
  performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd,
  (performance.getEntriesByName('first-contentful-paint')[0] || { startTime: NaN }).startTime,
  window.seen.largest,
]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstView:
    """What was measured of one page. Times from the start of navigation; shifts have no unit."""

    name: str
    parsed_ms: float
    first_paint_ms: float
    largest_paint_ms: float
    shift: float
    first_bytes: int
    all_bytes: int

    @property
    def complete_ms(self) -> float:
        """When nothing of the first view is missing."""
        return max(self.parsed_ms, self.first_paint_ms, self.largest_paint_ms)

    @property
    def misses(self) -> tuple[str, ...]:
        """The goals that the page misses."""
        goals = (
            ("time", self.complete_ms < MOST_MS),
            ("shift", self.shift < MOST_SHIFT),
            ("weight", self.first_bytes < MOST_BYTES),
        )
        return tuple(name for name, is_met in goals if not is_met)


def first_view(browser: Browser, path: Path, name: str, *, width_px: int) -> FirstView:
    """Measure one page in a fresh profile, from opening it to the end of a scroll through it."""
    # No emulation of a telephone beyond its size: after it the browser counts no shift for 500 ms.
    is_phone = width_px < 600
    context = browser.new_context(
        viewport={"width": width_px, "height": 844 if is_phone else 900}, has_touch=is_phone
    )
    weights: dict[str, int] = {}

    def weigh(request: Request) -> None:
        file = Path(unquote(urlsplit(request.url).path))
        if request.url.startswith("file:") and file.name != LIBRARY and file.is_file():
            weights[file.as_posix()] = file.stat().st_size

    try:
        page = context.new_page()
        page.on("request", weigh)
        page.add_init_script(_WATCH)
        page.goto(path.as_uri(), wait_until="load")
        page.wait_for_timeout(_SETTLE_MS)
        parsed, painted, largest = page.evaluate(_TIMES)
        first_bytes = sum(weights.values())
        _scroll_through(page)
        shifts = [(float(at), float(size)) for at, size in page.evaluate("() => seen.shifts")]
    finally:
        context.close()
    return FirstView(
        name=name,
        parsed_ms=float(parsed),
        first_paint_ms=float(painted),
        largest_paint_ms=float(largest),
        shift=largest_window(shifts),
        first_bytes=first_bytes,
        all_bytes=sum(weights.values()),
    )


def _scroll_through(page: Page) -> None:
    """Go to the end as a reader does, and let what comes near draw."""
    height = int(page.evaluate("() => document.documentElement.scrollHeight"))
    for top in range(0, height + _STEP_PX, _STEP_PX):
        page.evaluate("top => window.scrollTo(0, top)", top)
        page.wait_for_timeout(60)
    page.wait_for_timeout(_SETTLE_MS)


def largest_window(shifts: Iterable[tuple[float, float]]) -> float:
    """Return the largest sum of shifts, given as (ms, size), within one session window."""
    best = total = 0.0
    start = last = -1e9
    for at, size in sorted(shifts):
        if at - last > 1000 or at - start > 5000:
            start, total = at, 0.0
        total, last = total + size, at
        best = max(best, total)
    return best


def worse(views: Iterable[FirstView]) -> FirstView:
    """Return the worst of each number over several measurements of one page."""
    kept = list(views)
    return FirstView(
        name=kept[0].name,
        parsed_ms=max(view.parsed_ms for view in kept),
        first_paint_ms=max(view.first_paint_ms for view in kept),
        largest_paint_ms=max(view.largest_paint_ms for view in kept),
        shift=max(view.shift for view in kept),
        first_bytes=max(view.first_bytes for view in kept),
        all_bytes=max(view.all_bytes for view in kept),
    )


def table_lines(views: Iterable[FirstView]) -> Iterator[str]:
    """Yield the table as Markdown, one line per page."""
    yield "| page | parsed, s | first paint, s | largest, s | shift | first view, kB | all, kB | |"
    yield "|---|--:|--:|--:|--:|--:|--:|---|"
    for view in views:
        times = (view.parsed_ms, view.first_paint_ms, view.largest_paint_ms)
        cells = (
            view.name,
            *(f"{time / 1000:.2f}" for time in times),
            f"{view.shift:.3f}",
            f"{view.first_bytes / 1000:.0f}",
            f"{view.all_bytes / 1000:.0f}",
            ", ".join(f"**{name}**" for name in view.misses),
        )
        yield f"| {' | '.join(cells)} |"


def main() -> int:
    """Measure the site named on the command line; 1 where a page misses a goal."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("site", type=Path, help="folder of a built site")
    site = parser.parse_args().site.resolve()
    executable = chromium_path()
    if executable is None or not (site / "index.html").is_file():
        print("no Chromium, or no built site there", file=sys.stderr)
        return 2
    with started_browser(executable) as browser:
        views = [
            worse(
                first_view(browser, path, path.relative_to(site).as_posix(), width_px=width_px)
                for width_px in (PHONE_PX, DESKTOP_PX)
            )
            for path in linked_pages(site / "index.html")
        ]
    print("\n".join(table_lines(views)))
    return int(any(view.misses for view in views))


if __name__ == "__main__":
    sys.exit(main())
