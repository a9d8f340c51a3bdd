"""The example with nothing, or little, said of what is published: both searches over every byte.

One looks for what is private, one for true places; each knows nothing of the package.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from reportgen.cli.building import build_report
from tests.campaigns.private_values import private_values
from tests.campaigns.site_search import layers, leftovers, search
from tests.campaigns.test_place_told import places_told, recorded_places
from tests.conftest import ROOT

pytestmark = pytest.mark.slow

EXAMPLE = ROOT / "example_campaign"
COORDINATE = re.compile(r"(?<![\d.])(\d\d\.\d{4})\d*")
BLOCK = re.compile(r"\npublish:\n(?:[ ]+.*\n)+")
CUT = "{place: coarse, cut: [{place: harbour, radius_m: 300}]}"
NOTHING, GERMAN, COARSE = "", "{language: de}", "{place: coarse, language: de}"
Told = Callable[[str], Path]


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Told:
    """Return a function that gives the example's site with what is stated under `publish`."""

    @cache
    def site(stated: str) -> Path:
        folder = tmp_path_factory.mktemp("unstated")
        shutil.copytree(EXAMPLE, folder / "campaign")
        path = folder / "campaign" / "campaign.yaml"
        publish = f"\npublish: {stated}\n" if stated else "\n"
        text, count = BLOCK.subn(publish, path.read_text("utf-8"))
        assert count == 1
        path.write_text(text, encoding="utf-8")
        report = build_report(folder / "campaign", folder / "site", lambda _: None, strict=False)
        assert report.index is not None
        return report.index.parent

    return site


@pytest.mark.parametrize("stated", [NOTHING, GERMAN, COARSE, CUT])
def test_no_byte_of_the_site_is_private(told: Told, stated: str) -> None:
    """Moving makes tables anew, and a coarse site other pages: neither may let out a name."""
    site = told(stated)

    assert search(site, set().union(*private_values(EXAMPLE).values())) == []
    assert leftovers(site) == []


@pytest.mark.parametrize("stated", [NOTHING, GERMAN, COARSE, CUT])
def test_no_byte_of_the_site_tells_a_true_place(told: Told, stated: str) -> None:
    """Neither a whole place nor a coordinate by itself, bare or wrapped, in whatever file."""
    true = recorded_places()
    for name, content in layers(told(stated)):
        text = content.decode("latin-1")
        assert places_told(text) == 0, name
        found = {hit[1] for hit in COORDINATE.finditer(text)} & true
        # One of the thousands of numbers of a moved site may meet a true one.
        assert len(found) <= 1, (name, found)
        assert not [word for word in ("coast.geojson", "Coast line of Tolverra") if word in text]


@pytest.mark.parametrize(
    ("stated", "said"),
    [
        (NOTHING, "The place is not told."),
        (GERMAN, "Der Ort wird nicht verraten."),
        (COARSE, "Hier werden keine Orte verraten."),
        (CUT, "No places are told here."),
    ],
)
def test_the_first_page_and_the_one_file_say_so(told: Told, stated: str, said: str) -> None:
    for name in ("index.html", "summary.html"):
        assert said in (told(stated) / name).read_text("utf-8"), name


def test_no_row_is_quoted_nor_said_to_be_where_only_its_kind_is_shown(told: Told) -> None:
    page = (told(NOTHING) / "data.html").read_text("utf-8")

    assert "of a problem only its kind" in page
    assert "rows are quoted below" not in page
