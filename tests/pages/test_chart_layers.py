"""Squares of ground in both drawings: what they look like, where they lie, when they show."""

from __future__ import annotations

import itertools
import json
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TypedDict, cast
from xml.etree.ElementTree import Element

import plotly.graph_objects as go
import pytest

from reportgen.pages.charts.description import Mark
from reportgen.pages.charts.ink import NARROW, WIDE, Point, Size
from reportgen.pages.charts.layers import Ground
from reportgen.pages.charts.map_layout import extent_of, frame_of
from reportgen.pages.charts.scale import CLASSES, class_colour
from reportgen.pages.charts.square_looks import SHARE_STEPS, share_colour, share_step_colour
from reportgen.pages.charts.views import map_view
from tests.pages.chart_samples import (
    HOSTILE,
    SQUARES,
    SVG,
    WORDS,
    drawn_map,
    layered_map,
    live_map,
    map_of,
    parsed,
)

SIZES = pytest.mark.parametrize("size", [WIDE, NARROW], ids=lambda size: size.name)
ONE = layered_map(walks=1, has_others=False)
_TURN = re.compile(r"translate\((\S+) (\S+)\) scale\((\S+)\)")
_STEP = re.compile(r"M(\S+) (\S+)h(\S+)v\S+?h\S+?z")


@dataclass(frozen=True, slots=True)
class Box:
    """A square as it is drawn: south-west corner in metres from the station, and its look."""

    x: float
    y: float
    edge: float
    look: str


def groups(svg: str, **when: str) -> Iterator[Element]:
    """Yield the groups that show under some choices, as the style sheet decides it."""
    for group in parsed(svg).iter(f"{SVG}g"):
        wanted = {key: group.get(f"data-{key}", "") for key in when}
        if all(value in wanted[key].split() or not wanted[key] for key, value in when.items()):
            yield group


def boxes(svg: str, per_metre: float, **when: str) -> list[Box]:
    found = []
    for group in groups(svg, **when):
        for inner in group.findall(f"{SVG}g[@class='squares grid']"):
            turn = _TURN.fullmatch(inner.get("transform", ""))
            assert turn is not None
            edge = float(turn[3])
            for path in inner.findall(f"{SVG}path"):
                look = f"{path.get('class', '')} {path.get('fill', '')}".strip()
                for x, y, side in _STEP.findall(path.get("d", "")):
                    south = float(y) + float(side)
                    metres = [edge * float(part) / per_metre for part in (x, side)]
                    north = -edge * south / per_metre
                    found.append(Box(round(metres[0], 1), round(north, 1), round(metres[1], 1),
                                     look))  # fmt: skip
    return found


def looks(svg: str, ground: Ground) -> dict[Point, str]:
    per_metre = frame_of(extent_of(ONE), WIDE).per_metre
    return {(box.x, box.y): box.look for box in boxes(svg, per_metre, ground=ground)}


class Bars(TypedDict):
    """The parts of a trace of squares that are looked at here."""

    type: str
    x: list[float]
    base: list[float]
    y: list[float]
    text: list[str]
    marker: dict[str, object]
    meta: str


def bars(text: str) -> list[Bars]:
    data = cast("list[Bars]", json.loads(text)["data"])
    return [trace for trace in data if trace["type"] == "bar"]


@SIZES
def test_squares_are_true_metres_with_the_station_in_a_corner_of_four(size: Size) -> None:
    """Measured against the frame by which marks and tracks are placed."""
    frame = frame_of(extent_of(ONE), size)
    svg = drawn_map(ONE, size)
    (turn,) = set(_TURN.findall(svg))
    drawn = boxes(svg, frame.per_metre, ground=Ground.LEVEL)

    assert (float(turn[0]), float(turn[1])) == pytest.approx(frame.place(0.0, 0.0), abs=0.01)
    assert {(box.x, box.y) for box in drawn if box.edge > 60.0} == {
        (item.x, item.y) for item in SQUARES if not item.is_uncertain
    }
    assert {box.edge for box in drawn} == {100.0, 50.0}


def test_silent_ground_differs_from_ground_without_a_frame_and_from_ground_not_walked() -> None:
    """The mission's first rule: a place nobody walked is not a place without coverage."""
    for ground in (Ground.LEVEL, Ground.SHARE):
        seen = looks(drawn_map(ONE, WIDE), ground)

        assert seen[100.0, 0.0].startswith("silent url(#silent-")
        assert seen[-100.0, -100.0] == "walked"
        assert (-100.0, 0.0) not in seen


def test_every_pattern_that_fills_a_square_is_in_its_drawing() -> None:
    for size in (WIDE, NARROW):
        svg = drawn_map(ONE, size)
        asked = set(re.findall(r"url\(#([^)]+)\)", svg))

        assert len(asked) == 2
        assert asked <= {item.get("id") for item in parsed(svg).iter(f"{SVG}pattern")}


def test_a_median_below_the_limit_has_a_pattern_and_no_colour_of_the_scale() -> None:
    svg = drawn_map(ONE, WIDE)

    assert looks(svg, Ground.LEVEL)[200.0, 100.0].startswith("below url(#below-")
    assert looks(svg, Ground.SHARE)[200.0, 100.0] == share_colour(2 / 9)


def test_colours_are_those_of_the_scale_that_the_ground_shows() -> None:
    """10 dB on a scale of 40 dB is a quarter of the way up; 9 of 10 frames the last step."""
    svg = drawn_map(ONE, WIDE)

    assert looks(svg, Ground.LEVEL)[0.0, 0.0] == class_colour(CLASSES // 4)
    assert looks(svg, Ground.SHARE)[0.0, 0.0] == share_step_colour(SHARE_STEPS - 1)


def test_few_frames_make_a_small_square_in_the_middle_of_its_cell() -> None:
    frame = frame_of(extent_of(ONE), WIDE)
    (box,) = [item for item in boxes(drawn_map(ONE, WIDE), frame.per_metre,
              ground=Ground.SHARE) if "few" in item.look]  # fmt: skip

    assert (box.x, box.y, box.edge) == (-175.0, 125.0, 50.0)


def test_squares_lie_under_rings_tracks_marks_and_labels() -> None:
    svg = drawn_map(layered_map(), WIDE)
    last = svg.rindex('class="squares')

    assert svg.index('class="ground"') < svg.index('class="squares')
    assert all(
        last < svg.index(f'class="{css}"') for css in ("ring", "track", "heard", "bar-label")
    )


def test_the_wide_drawing_says_numbers_under_the_pointer() -> None:
    wide, narrow = (parsed(drawn_map(ONE, size)) for size in (WIDE, NARROW))
    titles = [path.findtext(f"{SVG}title") for path in wide.iter(f"{SVG}path")]

    assert [title for title in titles if title] == [item.title for item in SQUARES]
    assert not [path for path in narrow.iter(f"{SVG}path") if path.findtext(f"{SVG}title")]


def test_squares_show_with_one_ground_and_one_walk_only() -> None:
    svg = drawn_map(layered_map(), WIDE)
    per_metre = frame_of(extent_of(layered_map()), WIDE).per_metre

    for walk in ("all", "1", "2"):
        counts = {ground: len(boxes(svg, per_metre, ground=ground, walk=walk)) for ground in Ground}
        assert counts == {"nothing": 0, "level": 5, "share": 5, "others": 1}


def test_marks_and_tracks_show_with_their_walk_and_with_all() -> None:
    svg = drawn_map(layered_map(), WIDE)

    def is_shown(css: str, **when: str) -> bool:
        return any(
            css in path.get("class", "").split()
            for group in groups(svg, **when)
            if group.get("data-walk")
            for path in group.findall(f"{SVG}path")
        )

    for css in (Mark.HEARD, Mark.MISSED, "track", "arrow"):
        assert is_shown(css, walk="all", ground=Ground.LEVEL)
        assert is_shown(css, walk="1", ground=Ground.LEVEL)
        assert not is_shown(css, walk="2", ground=Ground.LEVEL)
    assert not is_shown(Mark.HEARD, walk="1", ground=Ground.OTHERS)
    assert is_shown("track", walk="1", ground=Ground.OTHERS)


def test_the_chart_library_accepts_squares_and_their_other_markers() -> None:
    figure = json.loads(live_map(layered_map()))
    others = [go.Bar(marker=marker) for switch in figure["switches"]
              for marker in switch.get("marker", {}).values()]  # fmt: skip

    assert len(go.Figure(data=figure["data"], layout=figure["layout"]).data) == len(figure["data"])
    assert len(figure["switches"]) == len(figure["data"])
    assert len(others) == 6


def test_the_interactive_map_has_the_squares_of_the_still_one_in_one_trace() -> None:
    (trace,) = bars(live_map(ONE))
    per_metre = frame_of(extent_of(ONE), WIDE).per_metre
    still = boxes(drawn_map(ONE, WIDE), per_metre, ground=Ground.LEVEL)
    places = zip(trace["x"], trace["base"], trace["y"], strict=True)

    assert sorted((x - y / 2, base, y) for x, base, y in places) == sorted(
        (box.x, box.y, box.edge) for box in still
    )
    assert trace["text"] == [item.hover for item in SQUARES]


def test_interactive_squares_have_the_colours_and_patterns_of_the_still_ones() -> None:
    figure = json.loads(live_map(ONE))
    markers = figure["switches"][0]["marker"]

    assert markers["level"]["color"][0] == class_colour(CLASSES // 4)
    assert markers["share"]["color"][0] == share_step_colour(SHARE_STEPS - 1)
    assert markers["level"]["pattern"]["shape"] == ["", "/", "", ".", ""]
    assert markers["share"]["pattern"]["shape"] == ["", "/", "", "", ""]
    assert markers["level"]["color"][2] == "rgba(0,0,0,0)"
    assert figure["data"][0]["marker"] == markers["level"]


def test_walks_and_sides_are_a_trace_each_whatever_the_ground_shows() -> None:
    """The fewer traces, the sooner a map of ten thousand marks can be moved."""
    figure = json.loads(live_map(layered_map(walks=3)))
    switches = [item for item, trace in zip(figure["switches"], figure["data"], strict=True)
                if trace["type"] == "bar"]  # fmt: skip

    assert [tuple(item["walk"]) for item in switches] == [
        ("1",), ("2",), ("3",), ("all",), ("1",), ("2",), ("3",), ("all",),
    ]  # fmt: skip
    assert {tuple(item["ground"]) for item in switches} == {("level", "share"), ("others",)}


def test_steps_of_the_share_are_equal_in_lightness_and_no_colour_of_the_signal() -> None:
    """CIE 1976 L* and colour difference; 10 is far more than can be confused side by side."""
    colours = [lab(share_step_colour(step)) for step in range(SHARE_STEPS)]
    steps = [light[0] - dark[0] for light, dark in itertools.pairwise(colours)]
    signal = [lab(class_colour(number)) for number in range(CLASSES)]

    assert all(step == pytest.approx(sum(steps) / len(steps), abs=0.6) for step in steps)
    assert min(math.dist(one, other) for one in colours for other in signal) > 10.0
    assert min(math.dist(lab("#b8400e"), other) for other in colours) > 40.0  # the station's


def lab(colour: str) -> tuple[float, float, float]:
    """Return CIE 1976 L*a*b* under D65 (IEC 61966-2-1 for sRGB)."""
    parts = [int(colour[start : start + 2], 16) / 255 for start in (1, 3, 5)]
    r, g, b = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505
    y = 0.2126 * r + 0.7152 * g + 0.0722 * b
    z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089
    fx, fy, fz = (t ** (1 / 3) if t > 0.008856 else 7.787 * t + 16 / 116 for t in (x, y, z))
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def test_a_map_without_squares_has_nothing_to_switch() -> None:
    view = map_view(map_of(), WORDS)

    assert not view.layers.is_there
    assert "switches" not in json.loads(live_map(map_of()))
    assert "data-ground" not in "".join(view.stills)


def test_one_walk_has_no_choice_of_walks() -> None:
    view = map_view(ONE, WORDS)

    assert view.layers.is_there
    assert not view.layers.has_walks
    assert "data-walk" not in "".join(view.stills)
    assert [option.value for option in view.layers.grounds if option.is_chosen] == ["nothing"]


def test_the_key_explains_each_look_with_the_ground_that_has_it() -> None:
    entries = {entry.label: str(entry.when) for entry in map_view(layered_map(), WORDS).marks}

    assert entries["Harbour below"] == ' data-ground="level"'
    assert entries["Harbour silent"] == entries["Harbour small"] == ' data-ground="level share"'
    assert entries["Harbour plain"] == ' data-ground="others"'
    assert entries["heard Harbour"] == ' data-ground="nothing level share"'
    assert entries["own"] == ""


def test_looks_that_no_square_has_are_not_in_the_key() -> None:
    few = replace(ONE.layers, squares=(replace(ONE.layers.squares[0], squares=SQUARES[:1]),)) if (
        ONE.layers) else None  # fmt: skip
    labels = [entry.label for entry in map_view(replace(ONE, layers=few), WORDS).marks]

    assert "Harbour coloured" in labels
    assert not {"Harbour silent", "Harbour small", "Harbour below"} & set(labels)


def test_a_hostile_title_stays_a_text() -> None:
    hostile = replace(SQUARES[0], title=HOSTILE, hover=HOSTILE)
    assert ONE.layers is not None
    layers = replace(ONE.layers, squares=(replace(ONE.layers.squares[0], squares=(hostile,)),))
    svg = drawn_map(replace(ONE, layers=layers), WIDE)

    assert "<img" not in svg
    assert "onerror" in "".join(parsed(svg).itertext())
