"""Before anything is published, `check` says what a stranger will learn."""

from __future__ import annotations

from dataclasses import replace

from reportgen.cli.revealed import revealed_lines
from reportgen.model.station import Position
from reportgen.results.reveals import Reveals, StationReveal

PIER = StationReveal(
    name="Pier", is_own=True, place=Position(latitude_deg=47.5, longitude_deg=-31.25)
)
BARE = Reveals(
    authors=("Orla Venning",),
    stations=(PIER, StationReveal(name="Hill", is_own=False, place=None)),
    unlisted=2,
    photos=3,
    bare_photos=2,
    boxes=1,
    identifiers=False,
    file_names=False,
    cuts=0,
    rows_cut=0,
    photos_cut=0,
    left_out=0,
)


def test_names_places_photos_and_what_is_not_shown_are_said() -> None:
    text = "\n".join(revealed_lines(BARE))

    assert "authors: Orla Venning" in text
    assert "place of Pier: 47.500000, -31.250000" in text
    assert "place of Hill: none" in text
    assert "1 part hidden: look at the 2 without a box for faces and number plates" in text
    assert "not shown; 2 unlisted stations under an alias" in text
    assert "names of files: not shown" in text
    assert "left out" not in text.replace("leaves out", "")


def test_what_the_author_lets_out_and_cuts_is_said() -> None:
    found = replace(
        BARE, identifiers=True, file_names=True, cuts=2, rows_cut=40, photos_cut=1, left_out=1
    )
    text = "\n".join(revealed_lines(found))

    assert "shown, for publish.identifiers is true" in text
    assert "shown, for publish.file_names is true" in text
    assert "near 2 places: 40 rows and 1 photo left out" in text
    assert "left out by request: 1 file" in text
