"""One frame is a frame, and one point a point."""

from __future__ import annotations

import re

import pytest

from reportgen.pages.context import Context
from reportgen.pages.drafts import drafts
from reportgen.pages.formats import MINUS
from reportgen.pages.map_layers import map_layers
from reportgen.pages.overview_page import overview_view
from reportgen.pages.sentences import as_html
from reportgen.pages.views import FigureWriter
from reportgen.pages.walk_page import walk_view
from reportgen.results.figure import FigureBook, Maker
from tests.campaigns.made import single_row
from tests.pages.made_context import context_of, plain

WRONG = re.compile(r"(?<![\d,.]\s)(?<![\d,.])1\s(frames|rows|points|sentences|figures)\b")


@pytest.fixture(scope="module")
def context(tmp_path_factory: pytest.TempPathFactory) -> Context:
    """A campaign of one frame."""
    return context_of(single_row(tmp_path_factory.mktemp("made") / "c"))


def test_a_campaign_of_one_frame_is_told_in_the_singular(context: Context) -> None:
    overview, walk = overview_view(context), walk_view(context, context.results.walks[0])
    layers = map_layers(context, context.results.walks)
    assert layers is not None
    said = [
        *(plain(text) for text in overview.lead),
        *(item.note for item in (*overview.headline, *walk.figures)),
        *(plain(as_html(context, draft)) for draft in drafts(context)),
        walk.map.summary if walk.map else "",
        *(square.hover for layer in layers.squares for square in layer.squares),
    ]

    assert overview.headline[3].label == "frame heard by Pier"
    assert any("1 of 1 frame" in text for text in said)
    assert not [text for text in said if WRONG.search(text)]


@pytest.mark.parametrize(
    ("difference", "text"),
    [
        (0.01, "+1 point"),
        (-0.01, f"{MINUS}1 point"),
        (0.0148, "+1 point"),
        (-0.02, f"{MINUS}2 points"),
    ],
)
def test_one_percentage_point_is_a_point(context: Context, difference: float, text: str) -> None:
    figure = Maker(path="x").figure("y", difference, "points", "delivery-difference")
    writer = FigureWriter(context.words, FigureBook.of([figure]), "UTC")

    assert plain(writer.view("x.y").text) == text


def test_the_notes_of_downloads_bear_any_number(context: Context) -> None:
    notes = [
        text.format(n=1)
        for key, text in context.words.texts.items()
        if key.startswith("data.download_") and "{n}" in text
    ]

    assert len(notes) > 4
    assert not [note for note in notes if WRONG.search(note)]
