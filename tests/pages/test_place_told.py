"""Pages of campaigns whose place is moved or not told: nothing empty, and every gap explained."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from reportgen.match.join import join
from reportgen.pages.author_part import checked_author_text
from reportgen.pages.book import author_needs, site_content
from reportgen.pages.data_page import data_view
from reportgen.pages.downloads import downloads
from reportgen.pages.shipped import shipped_folder
from reportgen.pages.units import Units
from reportgen.pages.words import read_words
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import assemble
from reportgen.results.place_published import as_published
from tests.campaigns.made import EDGES, LINE, publish, row, track, two_own, write
from tests.pages.made_context import context_of, plain

TEMPLATE = shipped_folder("site_template")
N = "\u202f"


@pytest.mark.parametrize("edge", EDGES)
@pytest.mark.parametrize(
    "stated", ["place: moved", "place: coarse", "place: coarse, language: de, units: imperial"]
)
def test_every_edge_of_a_campaign_has_pages_under_every_setting(
    tmp_path: Path, edge: str, stated: str
) -> None:
    """Nothing heard, others alone, one row: a wording that is missing would end the build."""
    folder = EDGES[edge](tmp_path / "c")
    publish(folder, stated)
    content = site_content(assemble(join(read_campaign(folder))), (), TEMPLATE)

    for page in content.pages:
        assert not re.search(r"\bNone\b(?! of)", plain(page.markdown)), page.path
        assert ('class="chart' in page.markdown) <= ("coarse" not in stated), page.path


def test_a_figure_that_is_left_out_says_why_in_the_author_s_text(tmp_path: Path) -> None:
    """The text was written while all was exact; it must still build, and not read as unknown."""
    folder = two_own(tmp_path / "c")
    publish(folder, "place: coarse")
    name = "campaign.farthest_heard_bearing_deg"
    text = f'To the {{{{ figure("{name}") }}}}, from {{{{ figure("campaign.farthest_heard_m") }}}}.'
    (folder / "conclusions.md").write_text(text, encoding="utf-8")
    words = read_words(TEMPLATE)
    results = assemble(join(read_campaign(folder)))
    author = checked_author_text(
        results.joined.campaign.conclusions, author_needs(results), TEMPLATE
    )

    assert not author.problems
    said = plain(author.html or "")
    assert f"To the left out: {words.say('absent.withheld-coarse')}" in said
    assert "0–500 m" in said  # noqa: RUF001 - as print has it


@pytest.mark.parametrize(("place", "is_quoted"), [("exact", True), ("moved", False)])
def test_numbers_of_rows_that_could_not_be_read_are_not_quoted(
    tmp_path: Path, place: str, is_quoted: bool
) -> None:
    """A latitude without its point is a fault, is quoted on the page of data, and is a place."""
    rows = tuple(row(9 * n, n, 40 * n) for n in range(1, 9))
    folder = write(tmp_path / "c", "Broken", rows=(*rows, row(90, 9, 10).replace("47.5", "475.1")),
                   gpx=track(*LINE))  # fmt: skip
    publish(folder, f"place: {place}, identifiers: true, file_names: true")
    context = context_of(folder)
    context = replace(context, results=as_published(context.results))
    found = [row[2].text for row in data_view(context, downloads(context)).problems.rows]

    assert any("latitude" in text for text in found)
    assert any("475.1" in text for text in found) is is_quoted


@pytest.mark.parametrize(
    ("kind", "low_m", "high_m", "text"),
    [
        ("metric", 1000.0, 2000.0, f"1–2{N}km"),  # noqa: RUF001 - as print has it
        ("metric", 0.0, 500.0, f"0–500{N}m"),  # noqa: RUF001
        ("imperial", 1000.0, 2000.0, f"0.62–1.2{N}mi"),  # noqa: RUF001
        ("imperial", 0.0, 500.0, f"0–1{N}600{N}ft"),  # noqa: RUF001
        ("both", 1000.0, 2000.0, f"1–2{N}km (0.62–1.2{N}mi)"),  # noqa: RUF001
    ],
)
def test_a_band_is_written_with_one_unit(kind: str, low_m: float, high_m: float, text: str) -> None:
    """1 km is 0.621 mi, 2 km 1.243 mi, 500 m 1640 ft: to two digits that count."""
    assert Units(kind).band(low_m, high_m) == text  # type: ignore[arg-type]
