"""A figure opens to its working; the same stands in the figures file."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from jsonschema import Draft7Validator  # type: ignore[import-untyped]  # ships no types

from reportgen.errors import Where
from reportgen.match.join import join
from reportgen.pages.context import Context
from reportgen.pages.downloads import FIGURES_SCHEMA, figures_text
from reportgen.pages.render import renderer
from reportgen.pages.shipped import shipped_folder
from reportgen.pages.views import FigureWriter
from reportgen.pages.words import Words, read_words
from reportgen.pages.working import Working, figure_label
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import assemble
from reportgen.results.figure import Absent, Figure, FigureBook, Maker
from reportgen.site.build import build_site
from tests.campaigns.made import row, track, write
from tests.pages.made_context import whole_site

TEMPLATE = shipped_folder("site_template")
MAST, POLE = Maker(path="setup.station.mast"), Maker(path="setup.node.pole")
GAIN = MAST.figure("antenna_gain_dbi", 5.0, "dB", "eirp")
LOSS = MAST.figure("feeder_loss_db", None, "dB", "feeder-loss", absent=Absent.NOT_STATED)
OTHER_GAIN = POLE.figure("antenna_gain_dbi", 2.5, "dB", "eirp")
ODD = MAST.figure("droop_m", 1.5, "m", "geodesic")


@pytest.fixture(scope="module")
def words() -> Words:
    return read_words(TEMPLATE)


def opened(words: Words, figure: Figure) -> Working:
    book = FigureBook.of((GAIN, LOSS, OTHER_GAIN, ODD, figure))
    return FigureWriter(words, book, "UTC").view(figure.name).working


def pairs(working: Working) -> list[tuple[str, str]]:
    return [(item.label, item.text) for item in working.inputs]


def test_inputs_come_with_their_value_and_unit(words: Words) -> None:
    figure = MAST.figure("eirp_dbm", 19.0, "dBm", "eirp", inputs=(GAIN.name,))

    working = opened(words, figure)

    assert pairs(working) == [("Antenna gain", "5\u202fdB")]
    assert (working.title, working.label, working.value) == ("EIRP", "", "19\u202fdBm")
    assert working.formula.startswith("transmit power")
    assert working.source.startswith("Source: ITU Radio Regulations")


def test_an_input_that_is_not_known_says_why(words: Words) -> None:
    figure = MAST.figure("eirp_dbm", 19.0, "dBm", "eirp", inputs=(LOSS.name,))

    reason = words.say("absent.not-stated")
    assert pairs(opened(words, figure)) == [("Feeder loss", f"not known: {reason}")]


def test_a_figure_that_is_not_known_says_why_itself(words: Words) -> None:
    figure = MAST.figure("eirp_dbm", None, "dBm", "eirp", absent=Absent.NOT_STATED)

    assert opened(words, figure).value == f"not known: {words.say('absent.not-stated')}"


def test_inputs_of_one_label_say_whose_they_are(words: Words) -> None:
    """Two gains in one budget would be a riddle otherwise."""
    inputs = (GAIN.name, OTHER_GAIN.name)
    figure = MAST.figure("largest_loss_db", 135.0, "dB", "largest-loss", inputs=inputs)

    assert pairs(opened(words, figure)) == [
        ("Antenna gain (station mast)", "5\u202fdB"),
        ("Antenna gain (node pole)", "2.5\u202fdB"),
    ]


def test_a_name_without_a_label_takes_its_methods_title(words: Words) -> None:
    figure = MAST.figure("eirp_dbm", 19.0, "dBm", "eirp", inputs=(ODD.name,))

    assert pairs(opened(words, figure)) == [(words.say("methods.geodesic.title"), "1.5\u202fm")]


def test_a_name_of_which_nothing_is_known_stands_as_it_is(words: Words) -> None:
    """A key of the description leads to where the author wrote it; none can break a build."""
    keys = ("stations.mast.droop", "stations.mast.antenna.gain_dbi")
    figure = MAST.figure("eirp_dbm", 19.0, "dBm", "eirp", inputs=keys)

    assert pairs(opened(words, figure)) == [(key, "") for key in keys]
    strange = Maker(path="a").figure("droop", 1.0, "m", "no-such-method")
    assert figure_label(strange.name, strange, words) == "a.droop"


def test_a_value_of_an_unheard_of_unit_is_still_written(words: Words) -> None:
    """What an author states may come in units that no rule of ours knows."""
    for value, text in ((2.15, "2.15"), (3.0, "3"), (1 / 3, "0.333")):
        figure = MAST.figure("sway", value, "sways", "geodesic")
        assert opened(words, figure).value == f"{text}\u202fsways"


def test_a_text_stands_as_it_was_stated(words: Words) -> None:
    figure = MAST.figure("cable", "thin, grey", "text", "geodesic")

    assert opened(words, figure).value == "thin, grey"


def test_an_interval_is_written_like_the_value_between(words: Words) -> None:
    figure = MAST.figure("ratio", 0.8, "1", "delivery-ratio", low=0.7, high=0.9)

    assert opened(words, figure).interval == "95\u202f% interval 70\u202f% to 90\u202f%"
    assert opened(words, MAST.figure("eirp_dbm", 1.0, "dBm", "eirp")).interval == ""


def test_the_rows_of_a_single_table_are_counted_once(words: Words) -> None:
    figure = MAST.figure(
        "farthest_heard_m", 900.0, "m", "farthest-heard", count=1200, inputs=("receptions",),
        where=Where(path="log.csv", line=7), prefix="at least",
    )  # fmt: skip

    working = opened(words, figure)

    assert pairs(working) == [("Receptions", "1\u202f200 rows used")]
    assert working.notes == "from log.csv:7"
    assert working.value == "at least 900\u202fm"


def test_of_two_tables_none_is_said_to_have_all_rows(words: Words) -> None:
    tables = ("track_points", "receptions")
    figure = MAST.figure("walked_m", 900.0, "m", "farthest-walked", count=12, inputs=tables)

    working = opened(words, figure)

    assert pairs(working) == [("Track points", ""), ("Receptions", "")]
    assert working.notes == "rests on 12"


def test_the_button_is_named_by_its_number_and_what_it_is(words: Words) -> None:
    """The spoken name holds the visible text, so that it can be called by voice (WCAG 2.5.3)."""
    book = FigureBook.of((GAIN,))

    assert FigureWriter(words, book, "UTC").view(GAIN.name).spoken == "5\u202fdB, Antenna gain"


def campaign(folder: Path) -> Path:
    """Write a walk with frames heard and missed, and conclusions that name a figure twice."""
    rows = tuple(row(10 * n, n, 100 + 10 * n) for n in range(30) if n % 3)
    write(folder, "Made", rows=rows, gpx=track((0, 0), (300, 390)))
    call = '{{ figure("walk.loop.station.pier.delivery_ratio") }}'
    (folder / "conclusions.md").write_text(f"{call}\n\n- again {call}\n", encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def context(tmp_path_factory: pytest.TempPathFactory, words: Words) -> Context:
    folder = campaign(tmp_path_factory.mktemp("made") / "campaign")
    return Context(
        results=assemble(join(read_campaign(folder))),
        words=words,
        renderer=renderer(TEMPLATE, words),
        published={},
        author_html=None,
    )


def test_the_figures_file_tells_the_working(context: Context) -> None:
    document = json.loads(figures_text(context))
    figures = {figure["name"]: figure for figure in document["figures"]}
    ratio = figures["walk.loop.station.pier.delivery_ratio"]
    sent = figures["walk.loop.station.pier.frames_sent"]

    assert ratio["method"] == "delivery-ratio"
    assert ratio["method_title"] == "Delivery ratio"
    assert ratio["formula"].startswith("frames heard by the station / frames sent")
    assert "Wilson" in ratio["source"]
    assert ratio["inputs"] == [
        {"name": "walk.loop.station.pier.frames_heard_of_sent", "value": 20, "unit": "frames"},
        {"name": sent["name"], "value": sent["value"], "unit": "frames"},
    ]
    assert sent["inputs"] == [{"name": "frames"}]
    assert sent["value"] == 29


def test_an_input_in_the_figures_file_says_why_it_has_no_value(context: Context) -> None:
    figures = json.loads(figures_text(context))["figures"]
    inputs = [item for figure in figures for item in figure["inputs"] if "absent_reason" in item]

    assert inputs
    assert all(item["value"] is None and item["absent_reason"] for item in inputs)


@pytest.mark.parametrize(
    "change",
    [
        {"name": "x", "value": 1},
        {"name": "x", "absent_reason": "why"},
        {"value": 1, "unit": "m"},
        {"name": "x", "value": 1, "unit": "m", "more": 1},
        "x",
    ],
    ids=["no unit", "reason without value", "no name", "unknown key", "the name alone"],
)
def test_the_schema_of_the_figures_file_knows_an_input(context: Context, change: object) -> None:
    document = json.loads(figures_text(context))
    validator = Draft7Validator(FIGURES_SCHEMA)
    assert list(validator.iter_errors(document)) == []

    document["figures"][0]["inputs"] = [change]

    assert list(validator.iter_errors(document))


class _Openers(HTMLParser):
    """Notes ids, what buttons open, and what stands where it may not."""

    VOID = frozenset({"area", "base", "br", "img", "input", "link", "meta", "path", "hr"})

    def __init__(self) -> None:
        super().__init__()
        self.open: list[tuple[str, bool]] = []
        self.ids: list[str] = []
        self.targets: list[str] = []
        self.popovers: list[str] = []
        self.misplaced: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = dict(attrs)
        around = {name for name, _ in self.open}
        inside = any(is_popover for _, is_popover in self.open)
        self.ids += [values["id"] or ""] if "id" in values else []
        self.targets += [values["popovertarget"] or ""] if "popovertarget" in values else []
        self.popovers += [values.get("id") or ""] if "popover" in values else []
        if (tag in {"a", "button"} and around & {"a", "button"}) or (
            inside and tag in {"span", "p", "div", "dl", "ul", "button"}
        ):
            self.misplaced.append(f"{tag} at {self.getpos()}")
        if tag not in self.VOID:
            self.open.append((tag, "popover" in values))

    def handle_endtag(self, tag: str) -> None:
        while self.open and self.open.pop()[0] != tag:
            pass


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of a small built site."""
    place = tmp_path_factory.mktemp("site")
    results = assemble(join(read_campaign(campaign(place / "campaign"))))
    return build_site(whole_site(results), place / "site").parent


@pytest.mark.slow
class TestTheBuiltSite:
    """Every page as a browser takes it."""

    def test_each_button_opens_the_one_popover_of_its_own(self, site: Path) -> None:
        counts = {}
        for path in sorted(site.rglob("*.html")):
            page = _Openers()
            page.feed(path.read_text("utf-8"))
            assert len(page.ids) == len(set(page.ids)), path.name
            assert page.targets == page.popovers, path.name
            assert page.misplaced == [], path.name
            counts[path.name] = len(page.targets)

        assert counts["index.html"] >= 5
        # Two calls of the author, and those in the drafts beside.
        assert counts["conclusions.html"] > 2

    def test_two_builds_number_alike(self, context: Context) -> None:
        first, second = (whole_site(context.results) for _ in range(2))

        assert first.pages == second.pages

    def test_the_search_finds_no_working(self, site: Path, words: Words) -> None:
        """Formulas and sources stand on the page of methods; there, and only there."""
        index = json.loads((site / "search" / "search_index.json").read_text("utf-8"))
        texts = {
            entry["location"]: entry["text"]
            for entry in index["docs"]
            if not entry["location"].startswith("method.html")
        }
        told = (words.say("figure.onward"), words.say("methods.delivery-ratio.formula"), "Source:")

        assert len(texts) > 10
        assert any("69\u202f%" in text for text in texts.values())
        assert [place for place, text in texts.items() if any(part in text for part in told)] == []

    def test_what_follows_a_working_is_found_again(self, site: Path) -> None:
        """The search leaves out one part of a page and must take up again right after it."""
        index = json.loads((site / "search" / "search_index.json").read_text("utf-8"))
        texts = [
            entry["text"]
            for entry in index["docs"]
            if entry["location"].startswith("conclusions.html")
        ]

        assert any(re.search(r"again.*%", text) for text in texts)

    def test_the_marks_for_the_search_are_gone(self, site: Path) -> None:
        assert "data-search-exclude" not in (site / "index.html").read_text("utf-8")
