from __future__ import annotations

import html.parser
import json
import re
from dataclasses import replace

import pytest
from jinja2 import Environment, FileSystemLoader, StrictUndefined

from reportgen.pages.charts.description import Mark, Rule, Scale
from reportgen.pages.charts.figure_json import PALETTE
from reportgen.pages.charts.marks import key_mark
from reportgen.pages.charts.views import ChartView, chart_view, map_view
from reportgen.pages.shipped import shipped_folder
from tests.pages.chart_samples import (
    HOSTILE,
    SCALE,
    WORDS,
    chart,
    heard,
    map_of,
    parsed,
    points,
)

TEMPLATES = shipped_folder("site_template")


def rendered(view: ChartView) -> str:
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    template = '{% from "components/chart.html.jinja" import chart %}{{ chart(view) }}'
    return environment.from_string(template).render(view=view)


class Outline(html.parser.HTMLParser):
    """The elements of a page, and what stands in its script."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.script = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        if self.found and self.found[-1][0] == "script":
            self.script += data


def outline(text: str) -> Outline:
    parser = Outline()
    parser.feed(text)
    return parser


VIEWS = pytest.mark.parametrize(
    "view", [chart_view(chart(), WORDS), map_view(map_of(), WORDS)], ids=["chart", "map"]
)


@VIEWS
def test_markdown_lets_the_figure_pass(view: ChartView) -> None:
    """A blank line would end the block of HTML, four spaces would make it a piece of code."""
    lines = rendered(view).splitlines()

    assert all(line.strip() for line in lines)
    assert not [line for line in lines if line.startswith("    ")]


@VIEWS
def test_the_figure_has_what_the_script_looks_for(view: ChartView) -> None:
    found = outline(rendered(view))
    classes = [attrs.get("class") for _, attrs in found.found]

    assert found.found[0] == (
        "figure",
        {
            "class": "chart chart-map" if view.is_map else "chart",
            "data-chart": view.key,
            "aria-labelledby": f"chart-{view.key}-title",
            "style": view.shape,
        },
    )
    assert {"chart-still", "chart-live", "chart-data", "chart-open", "chart-table"} <= set(classes)
    assert json.loads(found.script)["data"]
    assert classes.count("still still-wide") == classes.count("still still-narrow") == 1


@VIEWS
def test_no_id_stands_twice_and_every_name_that_is_asked_for_is_there(view: ChartView) -> None:
    attributes = [attrs for _, attrs in outline(rendered(view)).found]
    ids = [attrs["id"] for attrs in attributes if "id" in attrs]
    asked = {name for a in attributes for name in (a.get("aria-labelledby") or "").split()}

    assert len(set(ids)) == len(ids)
    assert asked <= set(ids)


def test_a_hostile_text_adds_no_element() -> None:
    view = map_view(map_of(text=HOSTILE), WORDS)
    found = outline(rendered(view))

    assert "img" not in {tag for tag, _ in found.found}
    assert sum(tag == "script" for tag, _ in found.found) == 1
    assert not [attrs for _, attrs in found.found if "onerror" in attrs]


def test_a_thinned_drawing_says_how_many_points_it_shows() -> None:
    note = chart_view(chart(heard(12_000)), WORDS).note

    assert re.fullmatch(r"\d{4} of 12000 drawn", note)


def test_a_whole_drawing_has_nothing_to_add() -> None:
    assert not chart_view(chart(), WORDS).has_note


def test_nothing_to_draw_is_said() -> None:
    empty = replace(map_of(), points=(), lines=(), photos=(), stations=(), areas=())

    assert map_view(empty, WORDS).note == "nothing"


def test_the_key_explains_each_mark_once_and_what_was_heard_first() -> None:
    first, second = heard(3), points((1_781_000_000.0,), (-80.0,), mark=Mark.MISSED, name="missed")
    view = chart_view(chart(second, first, first), WORDS)

    assert [entry.label for entry in view.marks][:2] == ["heard", "missed"]
    assert len(view.marks) == 3
    assert not view.marks[-1].is_narrow_only


def test_only_the_key_says_what_a_floor_is_and_a_wide_drawing_names_its_other_rules() -> None:
    """The weakest frames stand right above the floor and would hide a label there."""
    floor, other = (
        Rule(value=-116.0, label="floor", is_floor=True),
        Rule(value=-90.0, label="other"),
    )
    view = chart_view(chart(rules=(floor, other)), WORDS)
    wide = str(view.stills[0])

    assert [entry.is_narrow_only for entry in view.marks[-2:]] == [False, True]
    assert ">other</text>" in wide
    assert ">floor</text>" not in wide
    assert "other" in view.data
    assert "floor" not in view.data


def test_photos_are_named_under_the_mark_that_they_have() -> None:
    view = map_of()
    aimed, unaimed = (
        replace(view.photos[0], number=n, heading_deg=h) for n, h in ((1, 90.0), (2, None))
    )
    keys = map_view(replace(view, photos=(aimed, unaimed)), WORDS).photos

    assert [[link.number for link in key.links] for key in keys] == [["1"], ["2"]]


def test_a_station_outside_the_map_is_not_in_its_key() -> None:
    view = map_of()
    far = replace(view, stations=(view.stations[0], replace(view.stations[1], x=90_000.0)))

    assert "other" in [entry.label for entry in map_view(view, WORDS).marks]
    assert "other" not in [entry.label for entry in map_view(far, WORDS).marks]


def test_photos_are_reached_by_links_in_the_key() -> None:
    links = [
        (attrs["href"], attrs["aria-label"])
        for tag, attrs in outline(rendered(map_view(map_of(), WORDS))).found
        if tag == "a" and "tabindex" not in attrs
    ]

    assert links == [(f"photos.html#photo-{n}", f"Photo {n}") for n in (1, 2, 3)]


def test_marks_without_levels_need_no_colour_bar() -> None:
    plain = chart(points((1_781_000_000.0, 1_781_000_060.0), (-80.0, -90.0)))

    assert not chart_view(plain, WORDS).has_scale
    assert chart_view(chart(), WORDS).has_scale


def test_a_limit_within_the_scale_is_named_on_the_bar() -> None:
    inside = Scale(label="SNR", unit="dB", low=-20.0, high=20.0, limit=-7.5)
    views = [chart_view(replace(chart(), scale=scale), WORDS).scale for scale in (SCALE, inside)]
    texts = [[stop.text for stop in view.stops] for view in views if view is not None]

    assert texts[0] == ["0", "10", "20", "30", "40"]
    assert texts[1] == ["\u221220", "limit", "0", "10", "20"]


@pytest.mark.parametrize("mark", list(Mark))
def test_every_mark_of_the_vocabulary_has_a_place_in_keys(mark: Mark) -> None:
    assert "<path" in key_mark(mark)
    parsed(key_mark(mark))


def test_the_style_sheets_know_every_stand_in_for_a_colour_light_and_dark() -> None:
    """A colour the page does not define would stay that of the light page."""
    sheets = "".join(
        (TEMPLATES / "assets" / name).read_text("utf-8").split("@media print")[0]
        for name in ("report.css", "charts.css")
    )

    assert not [name for name in PALETTE if sheets.count(f"--{name}:") < 2]
