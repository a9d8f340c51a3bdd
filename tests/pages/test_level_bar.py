"""The bars of levels in the cards, and the mark of the sight line."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest

from reportgen.pages.charts.description import Scale
from reportgen.pages.charts.level_bar import LevelBar, bar_drawing, scale_drawing
from reportgen.pages.charts.sight_mark import sight_mark

MARGIN = Scale(label="margin", unit="dB", low=0.0, high=50.0, limit=0.0)
RSSI = Scale(label="RSSI", unit="dBm", low=-130.0, high=-60.0, limit=-120.0)
BAR = LevelBar(
    levels=(5.0, 10.0, 20.0, 25.0),
    low=8.75,
    median=15.0,
    high=21.25,
    colour="#123456",
    spoken="median <15 dB>",
)


def places(drawing: str, css: str) -> list[float]:
    """Return where strokes of a class stand, in percent of the width."""
    return [float(x) for x in re.findall(rf'class="{css}" x1="([\d.]+)%"', drawing)]


def frames(drawing: str) -> list[list[float]]:
    """Return where the strokes of frames stand, in percent of the width, a list for each path."""
    paths = re.findall(r'<path class="level-frame" d="([^"]+)"/>', drawing)
    return [[float(x) for x in re.findall(r"M([\d.]+) 3v14", path)] for path in paths]


def on_scale(level: float, scale: Scale) -> float:
    """Return where a level stands: 1.2 % is left free at either end."""
    return 1.2 + (level - scale.low) / (scale.high - scale.low) * 97.6


def test_each_frame_has_its_stroke_where_its_level_is() -> None:
    expected = [on_scale(level, MARGIN) for level in BAR.levels]

    drawing = bar_drawing(BAR, MARGIN)

    assert 'viewBox="0 0 100 20" preserveAspectRatio="none"' in drawing
    assert frames(drawing) == [pytest.approx(expected, abs=0.051)]


def test_frames_of_one_level_lie_over_each_other() -> None:
    """See-through as they are, they are darker together, also where a breath apart."""
    levels = (5.0, 10.0, 10.0, 25.0, 25.01, 25.0)
    one, two, three = (on_scale(level, MARGIN) for level in (5.0, 10.0, 25.0))

    found = frames(bar_drawing(replace(BAR, levels=levels), MARGIN))

    near = [[one, two, three], [two, three], [three]]
    assert found == [pytest.approx(layer, abs=0.051) for layer in near]


def test_thousands_of_frames_at_the_end_of_the_scale_are_ten_strokes() -> None:
    levels = tuple(60.0 + number / 100 for number in range(5_000))

    found = frames(bar_drawing(replace(BAR, levels=levels), MARGIN))

    assert found == [pytest.approx([98.8])] * 10


def test_the_band_reaches_from_quartile_to_quartile_and_the_median_stands_in_it() -> None:
    drawing = bar_drawing(BAR, MARGIN)

    (found,) = re.findall(r'class="level-band" x="([\d.]+)%" y="6" width="([\d.]+)%"', drawing)
    left, width = map(float, found)
    assert left == pytest.approx(on_scale(8.75, MARGIN), abs=0.01)
    assert left + width == pytest.approx(on_scale(21.25, MARGIN), abs=0.02)
    assert places(drawing, "level-median") == pytest.approx([on_scale(15.0, MARGIN)], abs=0.01)
    assert 'fill="#123456"' in drawing


def test_three_frames_have_no_middle_half() -> None:
    """A band of three would look like knowledge of a spread."""
    assert "level-band" not in bar_drawing(replace(BAR, levels=(5.0, 10.0, 20.0)), MARGIN)


def test_nothing_heard_leaves_the_scale_alone() -> None:
    """A made-up stroke at the limit would be an invented level."""
    empty = replace(BAR, levels=(), low=None, median=None, high=None)

    drawing = bar_drawing(empty, MARGIN)

    assert not re.findall(r"level-(?:frame|band|median)", drawing)
    assert "level-ground" in drawing


def test_levels_beyond_the_scale_stand_at_its_ends() -> None:
    drawing = bar_drawing(replace(BAR, levels=(-3.0, 5.0, 10.0, 60.0)), MARGIN)

    (strokes,) = frames(drawing)
    assert (strokes[0], strokes[-1]) == pytest.approx((1.2, 98.8), abs=0.01)


def test_the_limit_is_marked_where_it_is_known() -> None:
    assert places(bar_drawing(BAR, MARGIN), "level-limit") == pytest.approx([1.2])
    assert places(bar_drawing(BAR, replace(MARGIN, limit=None)), "level-limit") == []
    at_limit = places(bar_drawing(replace(BAR, levels=(-90.0,)), RSSI), "level-limit")
    assert at_limit == pytest.approx([on_scale(-120.0, RSSI)], abs=0.01)


def labels(drawing: str) -> list[tuple[float, str]]:
    pattern = r'class="level-label" x="([\d.]+)%"[^>]*>([^<]+)<'
    return [(float(x), text) for x, text in re.findall(pattern, drawing)]


def test_the_ruler_names_the_limit_and_counts_up_from_it() -> None:
    found = [text for _, text in labels(scale_drawing(MARGIN, limit="limit", spoken="x"))]

    assert found == ["limit", "+20", "+40\u202fdB"]


@pytest.mark.parametrize(
    ("limit", "high"),
    [
        (None, -100.0),
        (None, -30.0),
        (-120.0, -100.0),
        (-120.0, -60.0),
        (-105.0, -30.0),
        (-63.0, -60.0),
    ],
)
def test_labels_of_the_ruler_have_room(limit: float | None, high: float) -> None:
    """A card on a small telephone leaves some 140 px to the bar; "limit" is 30 px wide."""
    scale = replace(RSSI, limit=limit, high=high)

    found = [x for x, _ in labels(scale_drawing(scale, limit="limit", spoken="x"))]

    assert len(found) >= 2
    assert min(right - left for left, right in pairwise(found)) >= 17


def test_bar_and_ruler_say_in_words_what_they_show() -> None:
    assert 'role="img" aria-label="median &lt;15 dB&gt;"' in bar_drawing(BAR, MARGIN)
    assert 'aria-label="0 to 50"' in scale_drawing(MARGIN, limit="limit", spoken="0 to 50")


def test_the_sight_line_is_told_by_its_shape() -> None:
    """In grey, and to a reader who sees no colours, the four must differ."""
    marks = {sight_mark(sight) for sight in ("clear", "partly blocked", "blocked", "")}

    assert len(marks) == 4
    assert all("fill=" not in mark and "style" not in mark for mark in marks)
