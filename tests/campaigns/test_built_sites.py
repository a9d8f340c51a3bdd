"""Campaigns at the edge, and those recorded by others, built into sites that say what they are."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path

import pytest

from reportgen.cli.building import build_report
from tests.campaigns.made import EDGES

pytestmark = pytest.mark.slow


def built(folder: Path, target: Path) -> Path:
    report = build_report(folder, target, lambda _: None, strict=False)
    assert report.index is not None
    return target


def text_of(page: Path) -> str:
    """Return what a reader sees of a page, narrow spaces made plain."""
    content = page.read_text("utf-8")
    body = content[content.index('<div class="report">') :]
    body = re.sub(r"<(script|style|svg).*?</\1>", " ", body, flags=re.DOTALL)
    # What a number opens to is not there until it is opened; no other span stands inside it.
    body = re.sub(r"<span popover.*?</span>", " ", body, flags=re.DOTALL)
    plain = html.unescape(re.sub(r"<[^>]+>", " ", body))
    return re.sub(r"\s+", " ", plain)


@pytest.mark.parametrize(
    ("edge", "page", "sentences"),
    [
        ("nothing-heard", "index.html", ["Nothing was heard by Pier.", "780 m"]),
        ("nothing-heard", "walks/loop.html", ["Nothing was heard", "nothing was heard"]),
        (
            "only-others",
            "index.html",
            [
                "Nothing was heard by Pier.",
                "Frames were also heard by 1 station of other people; those are never counted",
            ],
        ),
        ("standing", "walks/loop.html", ["Nobody moved on this walk", "30 of 39 frames"]),
        ("standing", "photos.html", ["No photos", "This campaign has no photos."]),
        ("single-row", "walks/loop.html", ["A single frame: enough to say"]),
        ("no-walks", "index.html", ["No walk is described yet."]),
    ],
)
def test_an_edge_says_what_it_is(
    tmp_path: Path, edge: str, page: str, sentences: list[str]
) -> None:
    site = built(EDGES[edge](tmp_path / "campaign"), tmp_path / "site")

    text = text_of(site / page)

    for sentence in sentences:
        assert sentence in text, text[:2000]


def test_frames_in_doubt_are_told_where_the_others_are_counted(example_site: Path) -> None:
    """Heard and missed do not add up to sent without them."""
    text = text_of(example_site.parent / "walks" / "quay-first.html")

    assert "167 of 190 frames" in text
    assert "21 known to be missed" in text
    assert "2 frames are in doubt" in text


def test_a_small_count_looks_unsure_and_says_its_interval(example_site: Path) -> None:
    """7 of 9 frames between 1 000 and 1 200 m: 78 % that could be 43 or 94."""
    page = (example_site.parent / "walks" / "hill-sf7.html").read_text("utf-8")
    number = 'ring.1000-1200.delivery_ratio"'

    assert re.search(rf'class="figure is-unsure" data-figure="[^"]*{re.escape(number)}', page)
    assert "43 % to 94 %, few frames" in text_of(example_site.parent / "walks" / "hill-sf7.html")


def totals(site: Path) -> dict[str, dict[str, int]]:
    figures = json.loads((site / "data" / "figures.json").read_text("utf-8"))["figures"]
    found: dict[str, dict[str, int]] = {}
    for figure in figures:
        path, name = figure["name"].rsplit(".", 1)
        if path.startswith("input."):
            found.setdefault(path, {})[name] = figure["value"]
    return found


@pytest.mark.parametrize("edge", list(EDGES))
def test_used_and_set_aside_add_up_in_the_figures_file(tmp_path: Path, edge: str) -> None:
    site = built(EDGES[edge](tmp_path / "campaign"), tmp_path / "site")

    for path, counts in totals(site).items():
        assert counts["used"] + counts["set_aside"] == counts["read"], path


@pytest.mark.shared
def test_the_bicycle_survey_builds_and_shows_its_independent_figures(
    lyon_folder: Path, tmp_path: Path
) -> None:
    site = built(lyon_folder, tmp_path / "site")

    text = text_of(site / "walks" / "ride-24-july.html")

    for shown in ("71 %", "83 %", "65 %", "4 591 m", "5 111 m", "13.9 km"):
        assert shown in text, shown
    data = text_of(site / "data.html")
    assert "402 329 73 0" in data
    assert "Rows of devices that are no nodes of the walk, left out." in data
    for counts in totals(site).values():
        assert counts["used"] + counts["set_aside"] == counts["read"]


@pytest.mark.shared
def test_the_mountain_walk_builds_and_says_what_it_can_not_know(
    pyrenees_folder: Path, tmp_path: Path
) -> None:
    site = built(pyrenees_folder, tmp_path / "site")

    text = text_of(site / "photos.html")

    assert "Place: from the track, across a gap of 15 min 55 s; rough" in text
    assert "the station's position is not stated" in text
    assert "Nearest track point: 24 s before the photo." in text


def test_two_builds_are_the_same_byte_for_byte(tmp_path: Path) -> None:
    folder = EDGES["standing"](tmp_path / "campaign")
    first = built(folder, tmp_path / "one" / "site")
    second = built(folder, tmp_path / "another" / "place")

    def contents(site: Path) -> dict[str, bytes]:
        return {
            path.relative_to(site).as_posix(): path.read_bytes()
            for path in site.rglob("*")
            if path.is_file()
        }

    assert contents(first) == contents(second)


def test_a_device_that_slipped_into_another_column_is_not_published(tmp_path: Path) -> None:
    folder = EDGES["standing"](tmp_path / "campaign")
    log = folder / "log.csv"
    log.write_text(
        log.read_text("utf-8") + "bad,n-1,gw-1,70B3D57ED0SECRET,1,2,7,47.5,-31.2\n", "utf-8"
    )

    site = built(folder, tmp_path / "site")

    assert "Log 1, line 32" in text_of(site / "data.html")
    for path in site.rglob("*"):
        if path.is_file():
            assert b"70b3d57ed0secret" not in path.read_bytes().lower(), path
