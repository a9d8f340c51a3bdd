"""Ground that walks have in common, and its division into stretches with shadows of their own."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, same_length

CELL_M = 50.0
"""Edge of the square cells in which frames of two walks count as sent from one place (our choice:
a little more than the 40 m over which shadows are alike, and far above the error of a fix)."""

STRETCH_M = 200.0
"""Least ground in one stretch, five times the reach of a shadow (our choice, by simulation)."""

_PLACINGS = ((0.0, 0.0), (0.5, 0.0), (0.0, 0.5), (0.5, 0.5))
"""Where the corner of the grid lies, in cells. A street along an edge of one grid is cut in two by
it: the placing that serves best is taken, which can't depend on what was heard."""

_LONGEST_STEP_M = 1.5 * CELL_M
"""What lies between two cells farther apart than neighbours was not walked by both."""

_FILL_STEP_M = 10.0
_LONGEST_FILL_M = 150.0

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


def shared_cells(east_m: Floats, north_m: Floats, walk: Integers) -> Integers:
    """Return the cell of each frame where every walk sent one from it, else -1.

    Parameters
    ----------
    east_m, north_m : ndarray, shape (n,)
        Places in the order walked, without NaN. [m]
    walk : ndarray of int, shape (n,)
        Labels.

    Returns
    -------
    ndarray of int, shape (n,)
        Numbers from 0 without gaps, in the order of the first frame from each cell; of four
        placings of the grid, the one in which most frames lie in such cells.
    """
    if walk.size == 0:
        return walk
    candidates = [_shared(_corners(east_m, north_m, placing), walk) for placing in _PLACINGS]
    return max(candidates, key=lambda cell: int(np.count_nonzero(cell >= 0)))


def stretches(east_m: Floats, north_m: Floats, cell: Integers) -> Integers:
    """Return the stretch of each cell: neighbouring cells, together at least `STRETCH_M` long.

    Parameters
    ----------
    east_m, north_m : ndarray, shape (n,)
        Places of frames. [m]
    cell : ndarray of int, shape (n,)
        Cells numbered from 0 in the order walked, each with a frame in it.

    Returns
    -------
    ndarray of int, shape (cells,)
        Numbers from 0; stretches are disjoint pieces of ground of about equal length. All 0 where
        there is too little ground for two.

    Notes
    -----
    The length runs from cell to cell through the mean place of their frames, and half a cell
    beyond either end. Ground walked again
    belongs to the stretch of its first visit, however many walks and laps lead over it.
    """
    if cell.size == 0:
        return cell
    frames = np.bincount(cell)
    places = [np.bincount(cell, weights=values) / frames for values in (east_m, north_m)]
    steps_m = np.minimum(np.hypot(np.diff(places[0]), np.diff(places[1])), _LONGEST_STEP_M)
    along_m = np.cumsum(np.append(0.5 * CELL_M, steps_m))
    length_m = along_m[-1] + 0.5 * CELL_M
    count = max(int(length_m // STRETCH_M), 1)
    return np.asarray(along_m * count // length_m, dtype=np.int64)


def common_ground_ratio(
    east_m: ArrayLike, north_m: ArrayLike, time_s: ArrayLike, walk: ArrayLike
) -> float:
    """Return the share of the ground of some walks that each of them covered.

    Parameters
    ----------
    east_m, north_m : array_like, shape (n,)
        Places of frames or of a track; rows without place are left out. [m]
    time_s : array_like, shape (n,)
        On one clock. [s]
    walk : array_like of int, shape (n,)
        Labels.

    Returns
    -------
    float
        Cells walked by all over cells walked by any; NaN where nothing was walked. A walk passes
        through the cells between two places in a row that are no more than 150 m apart.

    Raises
    ------
    DomainError
        If the arrays differ in length.
    """
    east, north, time, label = _rows(east_m, north_m, time_s, walk)
    paths = [_filled(*_path(east, north, time, label == each)) for each in np.unique(label)]
    if not paths:
        return float("nan")
    whole = [np.concatenate(parts) for parts in zip(*paths, strict=True)]
    labels = np.repeat(np.arange(len(paths)), [path[0].size for path in paths])
    return max(_common(_corners(whole[0], whole[1], each), labels) for each in _PLACINGS)


def frames_per_100_m(
    east_m: ArrayLike, north_m: ArrayLike, time_s: ArrayLike, walk: ArrayLike
) -> float:
    """Return how many frames were sent per 100 m of way, over all walks.

    Parameters
    ----------
    east_m, north_m : array_like, shape (n,)
        Places; frames without one are left out. [m]
    time_s : array_like, shape (n,)
        On one clock. [s]
    walk : array_like of int, shape (n,)
        Labels.

    Returns
    -------
    float
        NaN where nobody moved. [1/(100 m)]

    Raises
    ------
    DomainError
        If the arrays differ in length.
    """
    east, north, time, label = _rows(east_m, north_m, time_s, walk)
    paths = [_path(east, north, time, label == each) for each in np.unique(label)]
    way_m = sum(float(np.sum(np.hypot(np.diff(x), np.diff(y)))) for x, y in paths)
    return 100.0 * (label.size - len(paths)) / way_m if way_m > 0.0 else float("nan")


def _rows(
    east_m: ArrayLike, north_m: ArrayLike, time_s: ArrayLike, walk: ArrayLike
) -> tuple[Floats, Floats, Floats, Integers]:
    """Return the rows that have a place."""
    east, north, time = floats(east_m), floats(north_m), floats(time_s)
    label = np.asarray(walk, dtype=np.int64)
    same_length(east_m=east, north_m=north, time_s=time, walk=label)
    is_placed = ~np.isnan(east + north)
    return east[is_placed], north[is_placed], time[is_placed], label[is_placed]


def _path(
    east: Floats, north: Floats, time: Floats, is_own: NDArray[np.bool_]
) -> tuple[Floats, Floats]:
    order = np.argsort(time[is_own], kind="stable")
    return east[is_own][order], north[is_own][order]


def _filled(east: Floats, north: Floats) -> tuple[Floats, Floats]:
    """Return a path with points added so that it skips no cell."""
    steps_m = np.hypot(np.diff(east), np.diff(north))
    parts = np.where(steps_m <= _LONGEST_FILL_M, np.ceil(steps_m / _FILL_STEP_M), 1.0)
    row = np.arange(east.size, dtype=np.float64)
    marks = [start + np.arange(max(int(n), 1)) / max(n, 1.0) for start, n in enumerate(parts)]
    fine = np.concatenate([*marks, row[-1:]])
    return floats(np.interp(fine, row, east)), floats(np.interp(fine, row, north))


def _corners(east: Floats, north: Floats, placing: tuple[float, float]) -> Integers:
    """Return the number of each place's cell, from 0 without gaps."""
    scaled = np.column_stack([east / CELL_M + placing[0], north / CELL_M + placing[1]])
    _, cell = np.unique(np.floor(scaled), axis=0, return_inverse=True)
    return np.asarray(cell, dtype=np.int64).ravel()


def _visits(cell: Integers, walk: Integers) -> NDArray[np.bool_]:
    """Return which walk was in which cell, shape (cells, walks)."""
    _, column = np.unique(walk, return_inverse=True)
    visited = np.zeros((np.max(cell) + 1, np.max(column) + 1), dtype=np.bool_)
    visited[cell, column] = True
    return visited


def _common(cell: Integers, walk: Integers) -> float:
    return float(np.mean(np.all(_visits(cell, walk), axis=1)))


def _shared(cell: Integers, walk: Integers) -> Integers:
    """Return cells renumbered by first visit, and -1 for those that some walk never was in."""
    kept = np.all(_visits(cell, walk), axis=1)[cell]
    names, first = np.unique(cell[kept], return_index=True)
    number = np.full(np.max(cell) + 1, -1, dtype=np.int64)
    number[names[np.argsort(first)]] = np.arange(names.size)
    return number[cell]
