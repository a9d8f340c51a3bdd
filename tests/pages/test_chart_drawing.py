from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from reportgen.pages.charts.chart_drawing import chart_svg
from reportgen.pages.charts.description import Axis, Mark, Rule
from reportgen.pages.charts.ink import NARROW, WIDE, Size, number, polyline
from reportgen.pages.charts.labels import Box, text_box
from reportgen.pages.charts.thinning import MOST_POINTS, Points, drawn, points_in, thinned
from tests.pages.chart_samples import HOSTILE, SVG, chart, heard, moves, parsed, points

SIZES = pytest.mark.parametrize("size", [WIDE, NARROW], ids=lambda size: size.name)


@SIZES
@pytest.mark.parametrize(
    ("mark", "count"),
    [(Mark.HEARD, 40), (Mark.MISSED, 2), (Mark.MISSED_PLACED, 1), (Mark.OTHER_STATION, 2)],
)
def test_every_point_is_drawn_once(size: Size, mark: Mark, count: int) -> None:
    assert len(moves(parsed(chart_svg(chart(), size)), mark)) == count


@SIZES
def test_every_mark_lies_whole_in_the_drawing(size: Size) -> None:
    """The first and the last frame of a walk stand at the ends of the axis."""
    root = parsed(chart_svg(chart(), size))
    width, height = (float(part) for part in root.get("viewBox", "").split()[2:])

    for x, y in moves(root, Mark.HEARD):
        assert 0 <= x <= width - 2 * size.radius
        assert size.radius <= y <= height - size.radius


@SIZES
def test_a_stronger_signal_stands_higher_and_a_later_one_farther_right(size: Size) -> None:
    low, high = points((1_781_000_000.0, 1_781_000_600.0), (-110.0, -70.0)), heard(40)
    (x1, y1), (x2, y2) = moves(parsed(chart_svg(chart(low, replace(high, level=None)), size)),
                               Mark.HEARD)[:2]  # fmt: skip

    assert x2 > x1
    assert y2 < y1


@SIZES
def test_a_hostile_text_stays_a_text(size: Size) -> None:
    """Names come from the campaign's files."""
    svg = chart_svg(chart(text=HOSTILE), size)
    root = parsed(svg)

    assert "<img" not in svg
    assert "</script>" not in svg
    assert {element.tag for element in root.iter()} <= {
        SVG + tag for tag in ("svg", "title", "desc", "text", "path", "rect")
    }
    assert "onerror=alert(1)>" in (root.findtext(f"{SVG}title") or "")


@SIZES
def test_a_drawing_names_and_describes_itself(size: Size) -> None:
    root = parsed(chart_svg(chart(), size))
    named = {element.get("id"): element.text for element in root.iter() if element.get("id")}

    assert root.get("role") == "img"
    assert [named[key] for key in root.get("aria-labelledby", "").split()] == [
        "Signal",
        "Signal over time",
    ]


@SIZES
def test_ticks_and_titles_do_not_touch_one_another(size: Size) -> None:
    root = parsed(chart_svg(chart(text="Local time"), size))
    boxes = [
        _box(element.get("x"), element.get("y"), element.text, element.get("text-anchor"), size)
        for element in root.iter(f"{SVG}text")
        if element.get("class") in ("tick", "axis-title")
    ]

    assert len(boxes) > 8
    assert not [(a, b) for number, a in enumerate(boxes) for b in boxes[:number] if a.meets(b)]


def _box(x: str | None, y: str | None, text: str | None, anchor: str | None, size: Size) -> Box:
    box = text_box((float(x or 0), float(y or 0) - 0.35 * size.letter), text or "", size.letter)
    half = (box.right - box.left) / 2 - 2
    shift = {"end": -half, "middle": 0.0}.get(anchor or "", half)
    return Box(box.left + shift + 2, box.top + 1, box.right + shift - 2, box.bottom - 1)


def test_no_number_stands_below_the_floor() -> None:
    """There marks have no level, and a number beside them would give them one."""
    root = parsed(chart_svg(chart(), WIDE))
    labels = {text.text for text in root.iter(f"{SVG}text") if text.get("class") == "tick"}

    assert "\u2212110" in labels
    assert "\u2212120" not in labels


def test_a_rule_whose_label_does_not_fit_leaves_it_to_the_key() -> None:
    rule = Rule(value=-116.0, label="sent, not heard, and therefore quite without any level")

    def labels(size: Size) -> int:
        root = parsed(chart_svg(chart(rules=(rule,)), size))
        return sum(text.get("class") == "rule-label" for text in root.iter(f"{SVG}text"))

    assert (labels(WIDE), labels(NARROW)) == (1, 0)


def test_a_logarithmic_axis_gives_each_decade_the_same_room() -> None:
    base = chart(points((10.0, 100.0, 1000.0), (-80.0, -90.0, -100.0)))
    shown = replace(base, x=Axis(label="d", unit="m", kind="log", low=10.0, high=1000.0))
    x = [place[0] for place in moves(parsed(chart_svg(shown, WIDE)), Mark.HEARD)]

    assert x[1] - x[0] == pytest.approx(x[2] - x[1], abs=0.11)


def test_the_same_description_gives_the_same_bytes() -> None:
    assert chart_svg(chart(), WIDE) == chart_svg(chart(), WIDE)


def test_many_points_are_thinned_and_their_extremes_kept() -> None:
    """Ten thousand marks make a page of a megabyte; the weakest frame must outlive the rest."""
    series = heard(12_000)
    odd = replace(series, y=(*series.y[:7001], -125.5, *series.y[7002:]))
    kept = thinned((odd,), by_x=True)

    assert 0.5 * MOST_POINTS < points_in(kept) <= MOST_POINTS
    assert -125.5 in kept[0].y
    assert (kept[0].x[0], kept[0].x[-1]) == (odd.x[0], odd.x[-1])
    assert max(kept[0].y) == max(odd.y)
    assert len(moves(parsed(chart_svg(chart(odd), WIDE)), Mark.HEARD)) == points_in(kept)


def test_a_thinned_point_keeps_its_own_text_level_and_identity() -> None:
    series = heard(9000)
    numbered = replace(series, hover=tuple(str(value) for value in series.x))
    (kept,) = thinned((numbered,), by_x=True)

    assert kept.level is not None
    for x, hover, level, identity in zip(kept.x, kept.hover, kept.level, kept.ids, strict=True):
        index = int(identity[1:])
        assert (hover, x, level) == (str(x), series.x[index], (series.level or ())[index])


def test_texts_are_put_together_for_the_points_that_are_drawn_alone() -> None:
    """Of a million receptions a page shows some thousand: the others need no words."""
    asked: list[int] = []

    def texts(kept: NDArray[np.intp]) -> tuple[str, ...]:
        asked.extend(kept.tolist())
        return tuple(f"text {index}" for index in kept.tolist())

    series = heard(20_000)
    numbers = np.arange(20_000)
    many = Points(
        name=series.name, mark=series.mark, x=np.array(series.x), y=np.array(series.y),
        level=np.array(series.level), ids=numbers, texts=texts,
    )  # fmt: skip
    (kept,) = drawn((many,), by_x=True)

    assert 0.5 * MOST_POINTS < len(asked) == len(kept.x) <= MOST_POINTS
    assert kept.hover == tuple(f"text {identity[1:]}" for identity in kept.ids)
    assert kept.x == thinned((series,), by_x=True)[0].x


def test_a_number_is_written_as_short_as_a_tenth_allows() -> None:
    assert [number(value) for value in (1.04, -0.04, 12.25, 100.0)] == ["1", "0", "12.2", "100"]


def test_a_resting_walker_adds_no_ink() -> None:
    assert polyline([(0.0, 0.0), (0.1, 0.0), (0.2, 0.1), (9.0, 0.0)]) == "M0 0L9 0"
