"""Fewer points where a drawing would drown in them, the telling ones kept."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from reportgen.pages.charts.description import PointSeries

MOST_POINTS = 5000
"""Points of one drawing; more make a page heavy and a phone slow, and show no more."""


def thinned(series: Sequence[PointSeries], *, by_x: bool) -> tuple[PointSeries, ...]:
    """Return what is drawn: all, or the extremes of each of many equal runs of points.

    Runs follow the abscissa of a chart (`by_x`), or the order of a walk on a map. Of each run the
    points with the lowest and the highest level stay, and of each series those at its four sides,
    so that neither the farthest frame nor the weakest is lost.
    """
    total = points_in(series)
    if total <= MOST_POINTS:
        return tuple(series)
    return tuple(_thinned(item, MOST_POINTS * len(item.x) // total, by_x=by_x) for item in series)


def points_in(series: Sequence[PointSeries]) -> int:
    """Return how many points there are in all."""
    return sum(len(item.x) for item in series)


def _thinned(series: PointSeries, most: int, *, by_x: bool) -> PointSeries:
    order = sorted(range(len(series.x)), key=series.x.__getitem__ if by_x else None)
    height = series.level if series.level is not None and not by_x else series.y
    kept: set[int] = set()
    for values in (series.x, series.y):
        kept |= _extremes(order, values)
    runs = max(1, (most - len(kept)) // 2)
    width = math.ceil(len(order) / runs)
    for start in range(0, len(order), width):
        kept |= _extremes(order[start : start + width], height)
    return _chosen(series, sorted(kept))


def _extremes(part: Sequence[int], values: Sequence[float]) -> set[int]:
    if not part:
        return set()
    # Where all are equal the ends of the run stay, so that a row of misses keeps its length.
    low = min(enumerate(part), key=lambda item: (values[item[1]], item[0]))
    high = max(enumerate(part), key=lambda item: (values[item[1]], item[0]))
    return {low[1], high[1]}


def _chosen(series: PointSeries, kept: Sequence[int]) -> PointSeries:
    return replace(
        series,
        x=tuple(series.x[index] for index in kept),
        y=tuple(series.y[index] for index in kept),
        level=None if series.level is None else tuple(series.level[index] for index in kept),
        hover=tuple(series.hover[index] for index in kept),
        ids=tuple(series.ids[index] for index in kept),
    )
