"""What the cards of the example's photos say, against the generator's truth."""

from __future__ import annotations

import html
import json
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from tests.campaigns.example_photos import photo_key

ROOT = Path(__file__).resolve().parents[2]
PHOTOS: dict[str, Any] = json.loads(
    (ROOT / "tests" / "data" / "island-truth.json").read_text("utf-8")
)["photos"]

pytestmark = pytest.mark.slow
each_photo = pytest.mark.parametrize("photo", list(PHOTOS))


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A walk's line in a card."""

    strokes: int
    text: str
    spoken: str


def card_of(site: Path, photo: str) -> str:
    page = html.unescape((site / "photos.html").read_text("utf-8"))
    found = re.search(rf'<article[^>]*id="photo-{photo_key(photo)}".*?</article>', page, re.DOTALL)
    assert found is not None
    return found.group()


def plain(markup: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", markup).split())


def rows_of(site: Path, photo: str) -> list[Row]:
    table = re.search(r'<table class="levels">.*?</table>', card_of(site, photo), re.DOTALL)
    if table is None:
        return []
    rows = re.findall(r"<tr><th scope=\"row\">.*?</tr>", table.group(), re.DOTALL)
    return [
        Row(
            strokes="".join(re.findall(r'class="level-frame" d="([^"]+)"', row)).count("M"),
            text=plain(row.rpartition("<td>")[2]),
            spoken=re.findall(r'aria-label="([^"]*)"', row)[0],
        )
        for row in rows
    ]


@each_photo
def test_a_card_has_a_stroke_for_each_frame_with_a_level(example_site: Path, photo: str) -> None:
    """Walk by walk, as the generator's brute-force search counts them."""
    statistics = PHOTOS[photo]["statistics"] or {}
    expected = sorted(levels["rssi_dbm"]["count"] for levels in statistics.values())

    found = sorted(row.strokes for row in rows_of(example_site.parent, photo) if row.strokes)

    assert found == expected


def test_missed_frames_are_counted_and_have_no_stroke(example_site: Path) -> None:
    """The hill hides the north shore: twelve frames on two walks, and not one was heard."""
    rows = rows_of(example_site.parent, "08-north-shore")

    assert [(row.strokes, row.text) for row in rows] == [
        (0, "0 of 8 8 missed"),
        (0, "0 of 4 4 missed"),
    ]
    assert all(row.spoken.startswith("No level: ") for row in rows)


def test_a_bar_says_in_words_what_it_shows(example_site: Path) -> None:
    rows = rows_of(example_site.parent, "02-lane")

    assert len(rows) == 6
    for row in rows:
        said = r"signal above what the receiver needs: median [\d.]+ dB, middle half [\d.]+ dB to"
        assert re.match(said.replace(" dB", "\u202fdB"), row.spoken), row.spoken


@each_photo
def test_the_sight_line_stands_in_words_at_the_head(example_site: Path, photo: str) -> None:
    card = card_of(example_site.parent, photo)

    (sight,) = re.findall(r'<p class="sight">(.*?)</p>', card, re.DOTALL)
    assert f"Sight line {PHOTOS[photo]['sight_line']}" in plain(sight)
    assert "as the author judged it" in plain(sight)
    assert card.index('class="sight"') < card.index('class="photo-notes"')


@each_photo
def test_how_a_photo_was_placed_is_folded_away_and_whole(example_site: Path, photo: str) -> None:
    """A neighbour asks how far, which way, and was it heard; a doubter can open the rest."""
    card = card_of(example_site.parent, photo)

    (folded,) = re.findall(r"<details.*?</details>", card, re.DOTALL)
    open_part = plain(card.replace(folded, ""))
    told = plain(folded)
    assert "Nearest" not in open_part
    assert "Walk: " in told
    assert ("Nearest log point by time: " in told) == (PHOTOS[photo]["by_time"] is not None)
    assert ("Nearest log point by place: " in told) == (PHOTOS[photo]["by_place"] is not None)
