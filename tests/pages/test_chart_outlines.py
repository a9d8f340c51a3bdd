from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from reportgen.pages.charts import thinning
from reportgen.pages.charts.ink import Point
from reportgen.pages.charts.outlines import telling_points
from reportgen.pages.charts.thinning import bends, lighter
from reportgen.pages.charts.views import map_view
from tests.pages.chart_samples import WORDS, map_of


def farthest_beside(line: list[Point], kept: list[Point]) -> float:
    """Return how far any point lies from the line that was kept, by brute force."""
    dense = [
        (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)
        for a, b in pairwise(kept)
        for t in np.linspace(0, 1, 400)
    ]
    return max(min(math.dist(point, place) for place in dense) for point in line)


def test_a_straight_way_is_its_two_ends() -> None:
    assert telling_points([(float(n), 2.0 * n) for n in range(50)], 0.1) == [(0, 0), (49, 98)]


def test_a_corner_stays() -> None:
    line = [(0.0, 0.0), (5.0, 0.0), (10.0, 0.0), (10.0, 5.0), (10.0, 10.0)]

    assert telling_points(line, 0.1) == [(0, 0), (10, 0), (10, 10)]


def test_no_point_lies_farther_beside_the_line_than_allowed() -> None:
    chance = np.random.default_rng(4)
    steps = chance.normal(0.0, 1.0, (300, 2)).cumsum(axis=0)
    line = [(float(x), float(y)) for x, y in steps]

    kept = telling_points(line, 0.5)

    assert len(kept) < len(line)
    # Runs that shrank to one point may add their own reach to the line's.
    assert farthest_beside(line, kept) <= 2 * 0.5


def test_there_and_back_on_one_road_keeps_its_far_end() -> None:
    """The far point lies beyond the line between the ends, not beside it."""
    line = [(float(n), 0.0) for n in (*range(11), *range(9, -1, -1))]

    assert telling_points(line, 0.1) == [(0, 0), (10, 0), (0, 0)]
    assert telling_points(line[:-3], 0.1) == [(0, 0), (10, 0), (3, 0)]


@pytest.mark.parametrize("line", [[], [(1.0, 1.0)], [(1.0, 1.0), (1.0, 1.0)]])
def test_what_is_hardly_a_line_stays_as_it_is(line: list[Point]) -> None:
    assert telling_points(line, 0.5) == line


def test_lines_of_few_points_stay_as_they_are() -> None:
    lines = map_of().lines

    assert lighter(lines, 0.1) == (lines, 0.0)


def test_of_too_many_points_those_stay_that_tell_most(monkeypatch: pytest.MonkeyPatch) -> None:
    """No piece loses its ends, and no point lies farther off than is said."""
    lines = map_of(count=400).lines
    monkeypatch.setattr(thinning, "MOST_BENDS", 100)

    found, passed = lighter(lines, 0.1)

    assert len(found[0].pieces()) == 2
    assert bends(found) <= 100 < bends(lines)
    assert passed > 0.1
    for before, after in zip(lines[0].pieces(), found[0].pieces(), strict=True):
        assert (after[0], after[-1]) == (before[0], before[-1])
        assert farthest_beside(list(before), list(after)) <= passed + 0.01


def test_a_line_that_wanders_passes_nothing_farther_off_than_is_said(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Over many steps, each rougher than the last; here some points lie 8.9 aside."""
    monkeypatch.setattr(thinning, "MOST_BENDS", 1_000)
    steps = np.random.default_rng(2).normal(0.0, 1.3, (2, 12_000))
    x, y = (tuple(row.tolist()) for row in np.cumsum(steps, axis=1))
    line = replace(map_of().lines[0], x=x, y=y, breaks=())

    (found,), passed = lighter((line,), 0.5)

    assert passed == 16.0
    places = {point: number for number, point in enumerate(zip(x, y, strict=True))}
    kept = [places[point] for point in zip(found.x, found.y, strict=True)]
    whole = list(zip(x, y, strict=True))
    assert len(kept) <= 1_000
    for first, last in pairwise(kept):
        piece = whole[first : last + 1]
        assert farthest_beside(piece, [piece[0], piece[-1]]) <= passed + 1e-9


def test_lines_without_end_are_drawn_as_roughly_as_may_be(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(thinning, "MOST_BENDS", 1)

    found, passed = lighter(map_of(count=400).lines, 0.1)

    assert bends(found) > 1
    assert passed == pytest.approx(6.4)


def test_a_map_says_how_roughly_its_tracks_are_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    words = replace(WORDS, rough=lambda length: f"to within {length}")
    assert "to within" not in map_view(map_of(count=400), words).note
    monkeypatch.setattr(thinning, "MOST_BENDS", 20)

    assert re.search(r"to within \S+\u202fm", map_view(map_of(count=400), words).note)
