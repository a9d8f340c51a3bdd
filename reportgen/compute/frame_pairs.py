"""Frames of two settings, and which of them are sent from nearly one place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.censored_difference import PairedFrames
from reportgen.compute.domain import floats, same_length
from reportgen.compute.ground_stretches import CELL_M, stretches

MOST_FRAMES_PER_CELL = 40
"""Of more frames of one walk in one cell, as many spread evenly in time are paired."""

LONGEST_GAP_S = 120.0
"""Frames of two nodes carried together are paired if no farther apart in time (our choice)."""

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkedFrames:
    """Frames of two settings, heard and missed, in the order they were sent.

    Attributes
    ----------
    east_m, north_m : ndarray, shape (n,)
        Places on a plane with any origin. [m]
    time_s : ndarray, shape (n,)
        Rising, on one clock for all walks. [s]
    level_dbm : ndarray, shape (n,)
        NaN for a frame that was missed. [dBm]
    limit_dbm : ndarray, shape (n,)
        Level at which a frame of its data rate is just heard; NaN where not known. [dBm]
    is_second : ndarray of bool, shape (n,)
        Which of the two settings.
    walk : ndarray of int, shape (n,)
        Labels.
    count_without_place : int
        Frames set aside.
    """

    east_m: Floats
    north_m: Floats
    time_s: Floats
    level_dbm: Floats
    limit_dbm: Floats
    is_second: NDArray[np.bool_]
    walk: Integers
    count_without_place: int


def walked_frames(
    *,
    east_m: ArrayLike,
    north_m: ArrayLike,
    time_s: ArrayLike,
    level_dbm: ArrayLike,
    limit_dbm: ArrayLike,
    is_second: ArrayLike,
    walk: ArrayLike,
) -> WalkedFrames:
    """Return frames to compare, ordered in time; those without place or time are set aside.

    Raises
    ------
    DomainError
        If the arrays differ in length.
    """
    numbers = [floats(each) for each in (east_m, north_m, time_s, level_dbm, limit_dbm)]
    second, label = np.asarray(is_second, dtype=np.bool_), np.asarray(walk, dtype=np.int64)
    names = ("east_m", "north_m", "time_s", "level_dbm", "limit_dbm", "is_second", "walk")
    same_length(**dict(zip(names, [*numbers, second, label], strict=True)))
    is_placed = ~np.isnan(numbers[0] + numbers[1] + numbers[2])
    order = np.flatnonzero(is_placed)[np.argsort(numbers[2][is_placed], kind="stable")]
    return WalkedFrames(
        east_m=numbers[0][order],
        north_m=numbers[1][order],
        time_s=numbers[2][order],
        level_dbm=numbers[3][order],
        limit_dbm=numbers[4][order],
        is_second=second[order],
        walk=label[order],
        count_without_place=int(label.size - order.size),
    )


def crossed(cell: Integers, side: Integers) -> tuple[Integers, Integers]:
    """Return rows of all pairs of a frame of side 0 and one of side 1 in one cell."""
    rows = [_by_cell(cell, side == each) for each in (0, 1)]
    pairs = [
        np.array(np.meshgrid(rows[0][number], rows[1][number])).reshape(2, -1)
        for number in sorted(rows[0].keys() & rows[1].keys())
    ]
    first, second = np.concatenate([np.empty((2, 0), dtype=np.int64), *pairs], axis=1)
    return first, second


def neighbours(frames: WalkedFrames) -> tuple[Integers, Integers]:
    """Return rows of pairs of a frame of the first setting and the next one of the second.

    Next in time, on the same walk, within `LONGEST_GAP_S` and one cell's edge; the closest pairs
    are formed first and no frame is in two.
    """
    one, two = np.arange(frames.walk.size - 1), np.arange(1, frames.walk.size)
    gap_s = np.diff(frames.time_s)
    is_pair = frames.is_second[one] != frames.is_second[two]
    is_pair &= (frames.walk[one] == frames.walk[two]) & (gap_s <= LONGEST_GAP_S)
    is_pair &= np.hypot(np.diff(frames.east_m), np.diff(frames.north_m)) <= CELL_M
    free = np.ones(frames.walk.size, dtype=np.bool_)
    rows = list[int]()
    for row in np.flatnonzero(is_pair)[np.argsort(gap_s[is_pair], kind="stable")]:
        if free[row] and free[row + 1]:
            free[row : row + 2] = False
            rows.append(int(row))
    earlier = np.sort(np.array(rows, dtype=np.int64))
    is_later = frames.is_second[earlier]
    return earlier + is_later, earlier + ~is_later


def paired_frames(
    frames: WalkedFrames, first: Integers, second: Integers, cell: Integers
) -> PairedFrames:
    """Return pairs with their weights and stretches."""
    of_pair, used = cell[first], np.unique(np.append(first, second))
    cells = int(np.max(of_pair, initial=-1)) + 1
    counts = [
        np.maximum(np.bincount(cell[np.unique(rows)], minlength=cells), 1)
        for rows in (first, second)
    ]
    weight = 1.0 / (1.0 + 1.0 / counts[0] + 1.0 / counts[1])
    weight /= np.maximum(np.bincount(of_pair, minlength=cells), 1)
    stretch = _stretches_of_cells(frames, used, cell)
    return PairedFrames(
        first_dbm=frames.level_dbm[first],
        second_dbm=frames.level_dbm[second],
        first_limit_dbm=frames.limit_dbm[first],
        second_limit_dbm=frames.limit_dbm[second],
        weight=weight[of_pair],
        stretch=stretch[of_pair],
    )


def _by_cell(cell: Integers, is_own: NDArray[np.bool_]) -> dict[int, Integers]:
    """Return the rows in each cell, at most `MOST_FRAMES_PER_CELL`."""
    rows = np.flatnonzero(is_own & (cell >= 0))
    rows = rows[np.argsort(cell[rows], kind="stable")]
    names, starts = np.unique(cell[rows], return_index=True)
    groups = np.split(rows, starts[1:]) if names.size else []
    return {int(name): _thinned(group) for name, group in zip(names, groups, strict=True)}


def _thinned(rows: Integers) -> Integers:
    if rows.size <= MOST_FRAMES_PER_CELL:
        return rows
    return rows[np.linspace(0, rows.size - 1, MOST_FRAMES_PER_CELL).astype(np.int64)]


def _stretches_of_cells(frames: WalkedFrames, used: Integers, cell: Integers) -> Integers:
    names, number = np.unique(cell[used], return_inverse=True)
    stretch = np.full(int(np.max(names, initial=-1)) + 1, -1, dtype=np.int64)
    stretch[names] = stretches(frames.east_m[used], frames.north_m[used], number)
    return stretch
