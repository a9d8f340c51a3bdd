"""What a reader and an author are told of a camera's clock, in built sites."""

from __future__ import annotations

import html
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.campaigns.example_photos import photo_key

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def unstated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the example campaign without a word of its cameras' clocks."""
    folder = tmp_path_factory.mktemp("unstated") / "campaign"
    shutil.copytree(ROOT / "example_campaign", folder)
    text = (ROOT / "example_campaign" / "campaign.yaml").read_text("utf-8")
    cut = re.sub(r"  cameras:\n.*?(?=  files:)", "", text, flags=re.DOTALL)
    assert "clock_ahead_s" not in cut
    (folder / "campaign.yaml").write_text(cut, encoding="utf-8")
    return folder


def run(*arguments: str) -> str:
    command = [sys.executable, "-m", "reportgen.cli", *arguments]
    done = subprocess.run(
        command, cwd=ROOT, capture_output=True, encoding="utf-8", check=False, timeout=180
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def cards(site: Path) -> dict[str, str]:
    page = html.unescape((site / "photos.html").read_text("utf-8"))
    parts = re.findall(r'<article[^>]*id="photo-([\w-]+)"(.*?)</article>', page, re.DOTALL)
    return dict(parts)


@pytest.mark.slow
def test_the_photo_page_says_that_the_clock_was_found(unstated: Path, tmp_path: Path) -> None:
    run("build", str(unstated), "--out", str(tmp_path / "site"))
    shown = cards(tmp_path / "site")

    for photo in ("03-out-to-sea", "09-east-flank", "10-strand"):
        assert "Nobody states this camera's clock. 3 of its photos" in shown[photo_key(photo)]
        assert "taken off" in shown[photo_key(photo)]
    for photo in ("01-quay", "06-village-green", "11-the-mast"):
        assert "states this camera's clock" not in shown[photo_key(photo)]


@pytest.mark.slow
def test_where_the_stated_clock_agrees_nothing_is_said(example_site: Path) -> None:
    text = "".join(cards(example_site.parent).values())

    assert "camera clock 1\u202fmin\u202f37\u202fs ahead, taken off" in text
    assert "nearest to the track with" not in text


def test_check_lists_what_is_known_of_each_camera(unstated: Path) -> None:
    said = run("check", str(unstated)).split("\nCameras\n")[1].split("\nRows\n")[0]

    assert "Drawn Sketch One  4 photos with a time  nothing stated of its clock" in said
    assert "(3 photos); used" in said
    assert "by its GPS times: 2 s ahead" in said
