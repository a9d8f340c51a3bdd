"""Which points of a line an eye can tell from its neighbours."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

_Point = tuple[float, float]
_Floats = NDArray[np.float64]
_Indexes = NDArray[np.int64]


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
    if len(kept) < 3:
        return kept
    x, y = np.array(kept, dtype=np.float64).T.copy()
    first, last = np.array([0]), np.array([len(kept) - 1])
    telling = [first, last]
    while first.size:
        is_split, farthest = _farthest(x, y, first, last, tolerance)
        first, last, farthest = first[is_split], last[is_split], farthest[is_split]
        telling.append(farthest)
        first, last = np.concatenate([first, farthest]), np.concatenate([farthest, last])
        is_long = last - first > 1
        first, last = first[is_long], last[is_long]
    return [kept[index] for index in np.sort(np.concatenate(telling)).tolist()]


def _farthest(
    x: _Floats, y: _Floats, first: _Indexes, last: _Indexes, tolerance: float
) -> tuple[NDArray[np.bool_], _Indexes]:
    """Return of each stretch whether a point strays from it, and which one strays farthest."""
    inner = last - first - 1
    starts = np.cumsum(inner) - inner
    stretch = np.repeat(np.arange(inner.size), inner)
    point = np.arange(stretch.size) + np.repeat(first + 1 - starts, inner)
    along_x, along_y = x[last] - x[first], y[last] - y[first]
    length2 = along_x * along_x + along_y * along_y
    per_length2 = np.divide(1.0, length2, out=np.zeros_like(length2), where=length2 > 0.0)
    step_x, step_y = x[point] - x[first][stretch], y[point] - y[first][stretch]
    along_x, along_y = along_x[stretch], along_y[stretch]
    share = np.clip((step_x * along_x + step_y * along_y) * per_length2[stretch], 0.0, 1.0)
    away = np.hypot(step_x - share * along_x, step_y - share * along_y)
    most = np.maximum.reduceat(away, starts)
    found = np.flatnonzero(away == most[stretch])
    # The first of several that stray as far.
    _, chosen = np.unique(stretch[found], return_index=True)
    return most > tolerance, point[found[chosen]]


def _apart(points: Sequence[_Point], tolerance: float) -> list[_Point]:
    """Return points that do not fall on the one before."""
    kept: list[_Point] = []
    for index, point in enumerate(points):
        is_end = index in (0, len(points) - 1)
        if is_end or math.dist(point, kept[-1]) >= tolerance:
            kept.append(point)
    return kept
