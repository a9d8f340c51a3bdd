from __future__ import annotations

import datetime as dt
import json
from dataclasses import replace
from typing import TypedDict, cast

import plotly.graph_objects as go
import pytest

from reportgen.pages.charts.chart_drawing import chart_svg
from reportgen.pages.charts.description import POINT_MARKS, Axis, LineSeries, LineStyle, Mark, Rule
from reportgen.pages.charts.figure_json import CONFIG, PALETTE, figure_json, shown
from reportgen.pages.charts.ink import NARROW, WIDE
from reportgen.pages.charts.interactive import chart_json
from reportgen.pages.charts.map_layout import map_layout
from reportgen.pages.charts.scale import STOPS
from tests.pages.chart_samples import (
    HOSTILE,
    START_S,
    WORDS,
    chart,
    drawn_map,
    heard,
    live_map,
    map_of,
    moves,
    parsed,
    points,
)

BOTH = pytest.mark.parametrize(
    "text", [chart_json(chart(), WORDS), live_map(map_of())], ids=["chart", "map"]
)


class Trace(TypedDict, total=False):
    """The parts of a trace that are looked at here."""

    x: list[object]
    y: list[float]
    text: list[str]
    customdata: list[str]
    hovertemplate: str
    hoverinfo: str
    marker: dict[str, object]
    meta: str
    name: str


def traces(text: str, *marks: str) -> list[Trace]:
    return [trace for trace in cast("list[Trace]", json.loads(text)["data"]) if
            not marks or trace["meta"] in marks]  # fmt: skip


@BOTH
def test_the_chart_library_accepts_the_figure(text: str) -> None:
    """Its own validation knows every property and every kind of value."""
    figure = json.loads(text)

    assert len(go.Figure(data=figure["data"], layout=figure["layout"]).data) == len(figure["data"])


def test_lines_vertical_rules_and_a_logarithmic_axis_are_accepted_too() -> None:
    base = chart(points((10.0, 900.0), (-80.0, -90.0)))
    line = LineSeries(name="l", style=LineStyle.STATION, x=(10.0, 50.0, 90.0), y=(-80.0,) * 3,
                      breaks=(2,))  # fmt: skip
    text = chart_json(
        replace(
            base,
            x=Axis(label="d", unit="m", kind="log", low=10.0, high=1000.0),
            lines=(line,),
            rules=(Rule(value=100.0, label="r", orientation="vertical"),),
        ),
        WORDS,
    )
    figure = json.loads(text)
    go.Figure(data=figure["data"], layout=figure["layout"])

    assert traces(text, "station")[0]["x"] == [10.0, 50.0, None, 90.0]
    assert figure["layout"]["xaxis"]["range"] == pytest.approx([0.964, 3.036])


@BOTH
def test_nothing_is_sent_anywhere_and_no_button_offers_it(text: str) -> None:
    """By default the library shows a button that uploads the data."""
    config = json.loads(text)["config"]

    assert config == CONFIG
    assert (config["showSendToCloud"], config["plotlyServerURL"]) == (False, "")
    assert config["displaylogo"] is False
    offered = {button for group in config["modeBarButtons"] for button in group}
    assert offered == {"zoom2d", "pan2d", "zoomIn2d", "zoomOut2d", "resetScale2d"}


@BOTH
def test_a_finger_on_the_drawing_still_scrolls_the_page(text: str) -> None:
    layout, config = json.loads(text)["layout"], json.loads(text)["config"]

    assert layout["dragmode"] is False
    assert config["scrollZoom"] is False


@BOTH
def test_no_map_of_the_library_is_used(text: str) -> None:
    """Those fetch tiles or letters from the network."""
    assert {trace["type"] for trace in json.loads(text)["data"]} == {"scatter"}


@pytest.mark.parametrize(
    "text",
    [chart_json(chart(text=HOSTILE), WORDS), live_map(map_of(text=HOSTILE))],
    ids=["chart", "map"],
)
def test_the_text_cannot_end_the_script_that_holds_it(text: str) -> None:
    assert "onerror" in text
    assert not set("<>&\u2028\u2029\n") & set(text)


def test_even_a_text_that_nobody_escaped_cannot_end_that_script() -> None:
    """The second of two doors, tried without the first."""
    text = figure_json([{"name": "</script><!--&\u2028\u2029"}], {}, WORDS)

    assert not set("<>&\u2028\u2029") & set(text)
    assert json.loads(text)["data"] == [{"name": "</script><!--&\u2028\u2029"}]


@BOTH
def test_no_number_is_missing(text: str) -> None:
    def refuse(name: str) -> None:
        raise AssertionError(name)

    json.loads(text, parse_constant=refuse)


@pytest.mark.parametrize("mark", POINT_MARKS)
def test_chart_and_still_drawing_show_the_same_number_of_points(mark: Mark) -> None:
    (trace,) = traces(chart_json(chart(), WORDS), mark)

    assert len(trace["x"]) == len(moves(parsed(chart_svg(chart(), WIDE)), mark)) > 0


def test_a_thinned_chart_has_the_points_of_its_still_drawing() -> None:
    view = chart(heard(11_000))
    (trace,) = traces(chart_json(view, WORDS), Mark.HEARD)

    assert len(trace["x"]) == len(moves(parsed(chart_svg(view, WIDE)), Mark.HEARD))


@pytest.mark.parametrize("mark", [Mark.HEARD, Mark.MISSED])
def test_map_and_still_drawing_show_the_same_number_of_points(mark: Mark) -> None:
    (trace,) = traces(live_map(map_of()), mark)

    assert len(trace["x"]) == len(moves(parsed(drawn_map(map_of(), WIDE)), mark)) > 0


def test_points_keep_places_levels_and_identities() -> None:
    view = chart()
    (trace,) = traces(chart_json(view, WORDS), Mark.HEARD)

    assert trace["y"] == pytest.approx(list(view.series[0].y), abs=0.05)
    assert trace["marker"]["color"] == pytest.approx(list(view.series[0].level or ()), abs=0.05)
    assert trace["customdata"] == list(view.series[0].ids)


def test_times_are_wall_clock_times_without_a_zone() -> None:
    """The library drops an offset without a word and would show another hour."""
    (trace,) = traces(chart_json(chart(), WORDS), Mark.HEARD)
    expected = dt.datetime.fromtimestamp(START_S, dt.UTC).strftime("%Y-%m-%dT%H:%M:%S")

    assert trace["x"][0] == expected
    assert not [x for x in trace["x"] if str(x).endswith("Z") or "+" in str(x)]


@pytest.mark.parametrize("mark", [Mark.HEARD, Mark.MISSED])
def test_hover_texts_are_data_and_never_templates(mark: Mark) -> None:
    """A text such as %{x} in a template would be filled in by the library."""
    view = chart(points((START_S, START_S + 60.0), (-80.0, -90.0), mark=mark, hover=HOSTILE))
    (trace,) = traces(chart_json(view, WORDS), mark)

    assert trace["hovertemplate"] == "%{text}<extra></extra>"
    assert "%{x}" in trace["text"][0]
    assert "<" not in trace["text"][0]


def test_what_a_reader_sees_of_a_hostile_text_is_the_text() -> None:
    """Quotes too go by number: the library would print most names of characters as they stand."""
    assert shown("<b> & \"x\" 'y'") == "&#60;b&#62; &#38; &#34;x&#34; &#39;y&#39;"
    assert shown("first\nsecond\x07") == "first<br>second "


def test_names_labels_and_titles_of_a_map_are_escaped() -> None:
    figure = json.loads(live_map(map_of(text=HOSTILE)))
    texts = [trace["name"] for trace in figure["data"]]
    texts += [note["text"] for note in figure["layout"]["annotations"]]

    assert any("onerror" in text for text in texts)
    assert not [text for text in texts if "<" in text]


def test_one_metre_is_as_long_both_ways() -> None:
    axes = json.loads(live_map(map_of()))["layout"]

    assert (axes["yaxis"]["scaleanchor"], axes["yaxis"]["scaleratio"]) == ("x", 1)


def test_rings_are_circles_of_their_radius_around_the_origin() -> None:
    shapes = json.loads(live_map(map_of()))["layout"]["shapes"]
    circles = [shape for shape in shapes if shape["type"] == "circle"]
    radii = [radius_m for radius_m, _ in map_layout(map_of(), WIDE, WORDS).rings]

    assert [(c["x0"], c["x1"], c["y0"], c["y1"]) for c in circles] == [
        (-r, r, -r, r) for r in radii
    ]


def test_a_photo_carries_the_way_to_its_card() -> None:
    (trace,) = traces(live_map(map_of()), Mark.PHOTO)

    assert trace["customdata"] == [f"photos.html#photo-{number}" for number in (1, 2, 3)]


def test_numbers_below_a_floor_are_blank() -> None:
    aliases = json.loads(chart_json(chart(), WORDS))["layout"]["yaxis"]["labelalias"]

    assert aliases["\u2212120"] == " "
    assert "\u2212110" not in aliases


def test_stand_ins_for_colours_cannot_be_taken_for_one_another() -> None:
    """The page swaps them by value: two alike, or one of the scale's, would be swapped wrongly."""
    assert len(set(PALETTE.values())) == len(PALETTE)
    assert not set(PALETTE.values()) & set(STOPS)


@BOTH
def test_every_colour_is_a_stand_in_or_belongs_to_the_scale(text: str) -> None:
    """Any other would stay light when the page turns dark."""
    found = {
        value
        for value in _strings(json.loads(text)["data"]) | _strings(json.loads(text)["layout"])
        if value.startswith("#")
    }

    assert found <= set(PALETTE.values()) | set(STOPS)


def _strings(value: object) -> set[str]:
    if isinstance(value, str):
        return {value}
    items = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return set().union(*map(_strings, items))


def test_the_same_description_gives_the_same_bytes() -> None:
    assert chart_json(chart(), WORDS) == chart_json(chart(), WORDS)
    assert live_map(map_of()) == live_map(map_of())


def test_the_librarys_buttons_speak_the_sites_language() -> None:
    """In English the library needs no telling."""
    words = replace(WORDS, buttons=(("Zoom in", "näher"),))

    assert "locale" not in json.loads(chart_json(chart(), WORDS))["config"]
    config = json.loads(chart_json(chart(), words))["config"]
    assert config["locales"][config["locale"]]["dictionary"] == {"Zoom in": "näher"}


def test_a_map_on_a_phone_shows_the_ground_of_its_narrow_drawing() -> None:
    """The wide drawing's ground would leave its marks a third of a phone's width."""
    figure = json.loads(live_map(map_of()))
    frame = map_layout(map_of(), NARROW, WORDS).frame
    (west, north), (east, south) = frame.ground(0, 0), frame.ground(frame.width, frame.height)

    assert figure["narrow"]["x"] == pytest.approx([west, east], abs=0.1)
    assert figure["narrow"]["y"] == pytest.approx([south, north], abs=0.1)
    assert figure["narrow"]["marks"] < 1
    fixed = figure["layout"]["shapes"][: figure["narrow"]["fixed"]]
    assert {shape["type"] for shape in fixed} == {"path", "circle"}


def test_a_phrase_that_hover_texts_repeat_is_written_once_and_can_be_put_back() -> None:
    """Hover texts are half of what a map weighs, and most of each is the same."""
    texts = tuple(f"heard by the harbour office {number}" for number in range(40))
    series = replace(heard(40), hover=texts)
    figure = json.loads(live_map(replace(map_of(), points=(series,))))
    (trace,) = traces(json.dumps(figure), Mark.HEARD)

    whole = [
        "".join(
            figure["phrases"][ord(letter) - 0xE000] if ord(letter) >= 0xE000 else letter
            for letter in text
        )
        for text in trace["text"]
    ]

    assert whole == list(texts)
    assert sum(map(len, trace["text"])) < sum(map(len, texts)) / 3
