"""An open page of the preview follows the site without a hand, under the site's own policy."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from reportgen.site.build import build_site
from reportgen.site.preview_server import Preview, PreviewServer, preview_server
from tests.site.sample_content import tiny_content, with_home

pytestmark = [pytest.mark.browser, pytest.mark.slow]


@pytest.fixture
def server(tmp_path: Path) -> Iterator[PreviewServer]:
    build_site(tiny_content(), tmp_path / "site")
    with preview_server(Preview(site=tmp_path / "site", builds=1), 8800) as started:
        threading.Thread(target=started.serve_forever, daemon=True).start()
        yield started
        started.shutdown()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    context = browser.new_context()
    yield context.new_page()
    context.close()


def test_an_open_page_loads_itself_anew_after_a_build(page: Page, server: PreviewServer) -> None:
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.goto(server.address)
    page.wait_for_timeout(1200)
    assert page.locator("text=Another question").count() == 0

    build_site(with_home('<h1 id="rows">Another question</h1>\n'), server.preview.site)
    server.preview.builds += 1

    page.wait_for_selector("text=Another question", timeout=15_000)
    assert complaints == []


def test_what_stops_a_build_is_shown_as_text_and_goes_again(
    page: Page, server: PreviewServer
) -> None:
    page.goto(server.address)
    server.preview.message = "campaign.yaml:3  error\n  found <img src=x onerror=alert(1)>"

    box = page.wait_for_selector("pre[role=status]", timeout=15_000)
    assert box is not None
    assert box.inner_text() == server.preview.message
    assert page.locator("pre[role=status] img").count() == 0
    server.preview.message = ""
    page.wait_for_selector("pre[role=status]", state="detached", timeout=15_000)


def test_a_page_opened_before_the_first_site_turns_into_it(
    page: Page, server: PreviewServer
) -> None:
    server.preview.builds = 0
    page.goto(f"{server.address}walks/quay.html")
    assert "No site could be built yet" in page.inner_text("body")
    page.wait_for_timeout(1200)

    server.preview.builds = 1

    page.wait_for_selector("article#report", timeout=15_000)
