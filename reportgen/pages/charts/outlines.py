"""Which points of a line an eye can tell from its neighbours."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

_Point = tuple[float, float]
_Floats = NDArray[np.float64]


def telling_points(points: Sequence[_Point], tolerance: float) -> list[_Point]:
    """Return the points without which a line would pass more than `tolerance` beside one.

    The ends stay. First runs within the tolerance of their first point shrink to it, then lines
    are split where they stray farthest, until none does.

    References
    ----------
    .. [1] D. H. Douglas and T. K. Peucker, "Algorithms for the reduction of the number of points
       required to represent a digitized line or its caricature", The Canadian Cartographer 10
       (1973) 112-122 (from memory).
    """
    kept = _apart(points, tolerance)
    places = np.array(kept, dtype=np.float64).reshape(-1, 2)
    is_telling = np.zeros(len(kept), dtype=bool)
    is_telling[[0, -1] if kept else []] = True
    waiting = [(0, len(kept) - 1)]
    while waiting:
        first, last = waiting.pop()
        if last - first < 2:
            continue
        away = _away(places[first + 1 : last], places[first], places[last])
        farthest = int(np.argmax(away))
        if away[farthest] > tolerance:
            middle = first + 1 + farthest
            is_telling[middle] = True
            waiting += [(first, middle), (middle, last)]
    return [point for point, tells in zip(kept, is_telling, strict=True) if tells]


def _apart(points: Sequence[_Point], tolerance: float) -> list[_Point]:
    """Return points that do not fall on the one before."""
    kept: list[_Point] = []
    for index, point in enumerate(points):
        is_end = index in (0, len(points) - 1)
        if is_end or math.dist(point, kept[-1]) >= tolerance:
            kept.append(point)
    return kept


def _away(places: _Floats, start: _Floats, end: _Floats) -> _Floats:
    """Return how far points lie from the stretch between two others."""
    along, steps = end - start, places - start
    length2 = float(along @ along)
    if length2 == 0.0:
        return np.hypot(steps[:, 0], steps[:, 1])
    share = np.clip(steps @ along / length2, 0.0, 1.0)
    beside = steps - share[:, np.newaxis] * along
    return np.hypot(beside[:, 0], beside[:, 1])
