"""A real browser, or the reason why there is none; in CI a missing one is a failure."""

from __future__ import annotations

import importlib.util
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import pytest

from tests.conftest import IN_CI

if TYPE_CHECKING:
    from playwright.sync_api import Browser


def _go_without(reason: str) -> NoReturn:
    if IN_CI:
        pytest.fail(f"{reason}: in CI it must be there")
    pytest.skip(reason)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Lend the system's Chromium, headless."""
    if importlib.util.find_spec("playwright") is None:
        _go_without("playwright is not installed")
    from tests.browser.page_check import chromium_path, started_browser  # noqa: PLC0415

    path = chromium_path()
    if path is None:
        _go_without("no Chromium is installed")
    with started_browser(path) as started:
        yield started


@pytest.fixture(scope="session")
def tiny_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the first page of a small site made by hand."""
    from reportgen.site.build import build_site  # noqa: PLC0415 - only where a browser is
    from tests.site.sample_content import tiny_content  # noqa: PLC0415

    return build_site(tiny_content(), tmp_path_factory.mktemp("tiny") / "site")
