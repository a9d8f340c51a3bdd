"""A real browser, or the reason why there is none; in CI a missing one is a failure."""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import pytest

from tests.conftest import IN_CI

if TYPE_CHECKING:
    from playwright.sync_api import Browser


AXE = "axe-core@4"
"""The checker of accessibility rules; what is fetched stays in a temporary folder."""


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


@pytest.fixture(scope="session")
def axe(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return the script that checks a page for accessibility, from AXE_CORE or fetched by npm."""
    place = os.environ.get("AXE_CORE")
    folder = Path(place) if place else _fetched(tmp_path_factory.mktemp("npm"))
    script = folder / "axe.min.js"
    if not script.is_file():
        _go_without(f"there is no {script}")
    return script.read_text(encoding="utf-8")


def _fetched(folder: Path) -> Path:
    npm = shutil.which("npm")
    if npm is None:
        _go_without("npm is not installed")
    command = [npm, "install", "--no-audit", "--no-fund", "--ignore-scripts", "--prefix"]
    try:
        subprocess.run([*command, str(folder), AXE], check=True, capture_output=True, timeout=120)
    except (subprocess.SubprocessError, OSError) as error:
        _go_without(f"npm could not fetch {AXE}: {error}")
    return folder / "node_modules" / "axe-core"
