"""Fewer points where a drawing would drown in them, the telling ones kept."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from reportgen.pages.charts.description import LineSeries, Mark, PointSeries
from reportgen.pages.charts.outlines import telling_points

MOST_POINTS = 3000
"""Points of one drawing; more make a page heavy and a phone slow, and show no more."""

MOST_BENDS = 8000
"""Points of all lines of one drawing; more weigh megabytes."""
_ROUGHER = (1.0, 2.0, 4.0, 8.0, 16.0, 32.0)

_Floats = NDArray[np.float64]
_Indexes = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True)
class Points:
    """All points of one kind as columns of equal length, before it is known which are drawn.

    `ids` are the numbers of their frames; `texts` puts the hover texts of some of them together,
    by index, since of a million points few will need one.
    """

    name: str
    mark: Mark
    x: _Floats
    y: _Floats
    level: _Floats | None
    ids: NDArray[np.int64]
    texts: Callable[[_Indexes], tuple[str, ...]]
    walk: str = ""

    def drawn(self, kept: _Indexes) -> PointSeries:
        """Return some of the points, ready to be drawn."""
        return PointSeries(
            name=self.name,
            mark=self.mark,
            x=tuple(self.x[kept].tolist()),
            y=tuple(self.y[kept].tolist()),
            level=None if self.level is None else tuple(self.level[kept].tolist()),
            hover=self.texts(kept),
            ids=tuple(f"f{number}" for number in self.ids[kept].tolist()),
            walk=self.walk,
        )


def drawn(points: Sequence[Points], *, by_x: bool) -> tuple[PointSeries, ...]:
    """Return what is drawn of each kind, as `thinned` does; kinds without a point are left out."""
    total = sum(len(item.x) for item in points)
    series = (
        item.drawn(_kept(item.x, item.y, item.level, total, by_x=by_x))
        for item in points
        if len(item.x)
    )
    return tuple(series)


def thinned(series: Sequence[PointSeries], *, by_x: bool) -> tuple[PointSeries, ...]:
    """Return what is drawn: all, or the extremes of each of many equal runs of points.

    Runs follow the abscissa of a chart (`by_x`), or the order of a walk on a map. Of each run the
    points with the lowest and the highest level stay, and of each series those at its four sides,
    so that neither the farthest frame nor the weakest is lost.
    """
    total = points_in(series)
    if total <= MOST_POINTS:
        return tuple(series)
    return tuple(_thinned(item, total, by_x=by_x) for item in series)


def lighter(
    lines: tuple[LineSeries, ...], tolerance: float
) -> tuple[tuple[LineSeries, ...], float]:
    """Return lines of no more than `MOST_BENDS` points in all, and by how much they pass others.

    At most twice the least of `tolerance`, twice that, and so on, that does, or the last of these,
    where lines are so many that their ends alone are more. 0 where `tolerance`, which no eye can
    see, does.
    """
    if bends(lines) <= MOST_BENDS:
        return lines, 0.0
    found, passed = lines, 0.0
    for rougher in _ROUGHER:
        # Of what is left from the last time; what is passed by adds up.
        found = tuple(_lighter(line, rougher * tolerance - passed) for line in found)
        passed = rougher * tolerance
        if bends(found) <= MOST_BENDS:
            break
    # Runs may shrink to a point by as much as stretches stray besides.
    return (found, 2 * passed) if passed > tolerance else (lines, 0.0)


def bends(lines: Sequence[LineSeries]) -> int:
    """Return how many points lines have in all."""
    return sum(len(line.x) for line in lines)


def _lighter(line: LineSeries, tolerance: float) -> LineSeries:
    pieces = [telling_points(piece, tolerance) for piece in line.pieces()]
    points = [point for piece in pieces for point in piece]
    return replace(
        line,
        x=tuple(x for x, _ in points),
        y=tuple(y for _, y in points),
        breaks=tuple(np.cumsum([len(piece) for piece in pieces])[:-1].tolist()),
    )


def points_in(series: Sequence[PointSeries]) -> int:
    """Return how many points there are in all."""
    return sum(len(item.x) for item in series)


def _thinned(series: PointSeries, total: int, *, by_x: bool) -> PointSeries:
    level = None if series.level is None else np.asarray(series.level)
    kept = _kept(np.asarray(series.x), np.asarray(series.y), level, total, by_x=by_x)
    return _chosen(series, kept.tolist())


def _kept(x: _Floats, y: _Floats, level: _Floats | None, total: int, *, by_x: bool) -> _Indexes:
    """Return the indexes of a series' points that are drawn, of `total` points in the drawing."""
    count = len(x)
    most = MOST_POINTS * count // total
    if total <= MOST_POINTS:
        return np.arange(count)
    order = np.argsort(x, kind="stable") if by_x else np.arange(count)
    height = level if level is not None and not by_x else y
    sides = np.concatenate([_extremes(values[order][np.newaxis, :]) for values in (x, y)])
    runs = max(1, (most - len(set(sides.tolist()))) // 2)
    width = math.ceil(count / runs)
    padded = np.full(math.ceil(count / width) * width, np.nan)
    padded[:count] = height[order]
    kept = np.concatenate([sides, _extremes(padded.reshape(-1, width))])
    return np.unique(order[kept])


def _extremes(runs: _Floats) -> _Indexes:
    """Return the flat indexes of the lowest and the highest value of each row.

    Where all are equal the ends of the run stay, so that a row of misses keeps its length.
    """
    starts = np.arange(len(runs)) * runs.shape[1]
    low = np.nanargmin(runs, axis=1)
    high = runs.shape[1] - 1 - np.nanargmax(runs[:, ::-1], axis=1)
    return np.concatenate([starts + low, starts + high])


def _chosen(series: PointSeries, kept: Sequence[int]) -> PointSeries:
    return replace(
        series,
        x=tuple(series.x[index] for index in kept),
        y=tuple(series.y[index] for index in kept),
        level=None if series.level is None else tuple(series.level[index] for index in kept),
        hover=tuple(series.hover[index] for index in kept),
        ids=tuple(series.ids[index] for index in kept),
    )
