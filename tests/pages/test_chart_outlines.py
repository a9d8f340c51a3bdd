from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from reportgen.pages.charts.ink import Point
from reportgen.pages.charts.outlines import telling_points


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
