"""Squares of ground: what was sent and heard from each, and how far it was walked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, positive, same_length
from reportgen.errors import DomainError

CELL_M = 100.0
"""Edge of a cell unless another is asked for: a few frames of one walk, seen well on a map (our
choice)."""

LONGEST_STEP_M = 150.0
"""Two places of a track farther apart leave open what lies between (our choice)."""

_PARTS_PER_CELL = 20
"""Ways are shared out among cells by parts no longer than an edge over this."""

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class CensoredMedian:
    """The median of levels of which some lay below what can be heard.

    Attributes
    ----------
    level_dbm : float
        NaN where `is_below_limit`, or where `count` is 0. [dBm]
    is_below_limit : bool
        Whether the median falls among the frames missed: all that is known of it.
    count : int
        Levels and misses together.
    """

    level_dbm: float
    is_below_limit: bool
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundGrid:
    """Cells of ground that were walked or sent from; any other cell was not walked.

    Rows go from south to north, in each from west to east. Shapes (cells,).

    Attributes
    ----------
    cell_m : float
        Edge of a cell. [m]
    column, row : ndarray of int
        The cell reaches from `column * cell_m` to `(column + 1) * cell_m` east of the station, and
        likewise north by `row`.
    sent, heard : ndarray of int
        Frames. A cell walked in which none was sent tells nothing; one in which some were sent and
        none heard is silent.
    level_dbm : ndarray
        Censored median; NaN where there is none or it lies below the limit. [dBm]
    is_below_limit : ndarray of bool
        Whether the median falls among the misses.
    walked_m : ndarray
        Length of the ways that lead through, each as often as it was walked. 0 where only frames
        tell of the cell, or somebody stood there. [m]
    set_aside : int
        Frames without a place: in no cell.
    """

    cell_m: float
    column: Integers
    row: Integers
    sent: Integers
    heard: Integers
    level_dbm: Floats
    is_below_limit: Flags
    walked_m: Floats
    set_aside: int


def cell_index(east_m: ArrayLike, north_m: ArrayLike, cell_m: float = CELL_M) -> Floats:
    """Return column and row of the cell of each place, the station in a corner of four.

    Parameters
    ----------
    east_m, north_m : array_like, shape (n,)
        From the station, as `geodesy.local_metres` gives them. [m]
    cell_m : float
        Edge of a cell. [m], > 0

    Returns
    -------
    ndarray, shape (n, 2)
        Whole numbers; NaN where there is no place. A place on an edge belongs to the cell east or
        north of it.

    Raises
    ------
    DomainError
        If the edge is not positive, or the arrays differ in length.
    """
    east, north = floats(east_m), floats(north_m)
    same_length(east_m=east, north_m=north)
    index = np.floor(np.column_stack([east, north]) / float(positive("cell_m", cell_m)))
    index[np.isnan(index).any(axis=1)] = np.nan
    return floats(index)


def censored_median(level_dbm: ArrayLike, is_heard: ArrayLike) -> CensoredMedian:
    """Return the median level, each frame missed counting as below every level.

    Parameters
    ----------
    level_dbm : array_like, shape (n,)
        Of frames missed it is not looked at. [dBm]
    is_heard : array_like of bool, shape (n,)
        A frame heard whose level is NaN is left out.

    Returns
    -------
    CensoredMedian

    Raises
    ------
    DomainError
        If the arrays differ in length.

    Notes
    -----
    The middle one; of an even number, the mean of the two in the middle, unless one of them was
    missed. Where all misses share one limit this is the median of the distribution that Kaplan and
    Meier's estimator gives, turned round to count from below [1]_. A limit that moves (the data
    rate changes) makes it too low, never too high.

    References
    ----------
    .. [1] D. R. Helsel, "Nondetects and Data Analysis", Wiley (2005), ch. 6 (from memory).
    """
    level, heard = floats(level_dbm), np.asarray(is_heard, dtype=np.bool_)
    same_length(level_dbm=level, is_heard=heard)
    known = np.sort(np.where(heard, level, -np.inf)[~(heard & np.isnan(level))])
    if known.size == 0:
        return CensoredMedian(level_dbm=np.nan, is_below_limit=False, count=0)
    lower, upper = known[(known.size - 1) // 2], known[known.size // 2]
    is_below = bool(np.isneginf(lower))
    return CensoredMedian(
        level_dbm=np.nan if is_below else 0.5 * float(lower + upper),
        is_below_limit=is_below,
        count=int(known.size),
    )


def ground_grid(
    *,
    east_m: ArrayLike,
    north_m: ArrayLike,
    is_heard: ArrayLike,
    level_dbm: ArrayLike,
    walked_east_m: ArrayLike,
    walked_north_m: ArrayLike,
    walk: ArrayLike,
    cell_m: float = CELL_M,
) -> GroundGrid:
    """Return what is known of each square of ground around the station.

    Parameters
    ----------
    east_m, north_m, is_heard, level_dbm : array_like, shape (n,)
        Of frames known to have been sent and to be heard or missed, leaving out those in doubt.
        [m, m, -, dBm]
    walked_east_m, walked_north_m : array_like, shape (m,)
        Places walked, in the order walked; NaN breaks the way. [m]
    walk : array_like of int, shape (m,)
        Label of each; no way leads from one walk to the next.
    cell_m : float
        Edge of a cell. [m], > 0

    Raises
    ------
    DomainError
        If the edge is not positive, arrays that belong together differ in length, or a place is
        infinite.
    """
    heard, level = np.asarray(is_heard, dtype=np.bool_), floats(level_dbm)
    same_length(east_m=floats(east_m), is_heard=heard, level_dbm=level)
    same_length(walked_east_m=floats(walked_east_m), walk=np.asarray(walk))
    sent_in = _known(cell_index(east_m, north_m, cell_m))
    is_placed = ~np.isnan(sent_in[:, 0])
    heard, level = heard[is_placed], level[is_placed]
    middles, lengths_m = _parts(floats(walked_east_m), floats(walked_north_m), walk, cell_m)
    walked_in = _known(cell_index(middles[:, 0], middles[:, 1], cell_m))
    cells, number = _numbered(np.concatenate([sent_in[is_placed], walked_in]))
    of_frame, of_part = number[: heard.size], number[heard.size :]
    count = cells.shape[0]
    medians = [censored_median(level[mine], heard[mine]) for mine in _members(of_frame, count)]
    return GroundGrid(
        cell_m=float(cell_m),
        column=cells[:, 0],
        row=cells[:, 1],
        sent=np.bincount(of_frame, minlength=count),
        heard=np.bincount(of_frame[heard], minlength=count),
        level_dbm=floats([median.level_dbm for median in medians]),
        is_below_limit=np.array([median.is_below_limit for median in medians], dtype=np.bool_),
        walked_m=floats(np.bincount(of_part, weights=lengths_m, minlength=count)),
        set_aside=int(np.count_nonzero(~is_placed)),
    )


def _known(index: Floats) -> Floats:
    if np.isinf(index).any():
        raise DomainError("places must be finite, or NaN where there is none; found infinity")
    return index


def _parts(east: Floats, north: Floats, walk: ArrayLike, cell_m: float) -> tuple[Floats, Floats]:
    """Return the middles of short parts of the ways, shape (parts, 2), and their lengths.

    Every place is a part of length 0 besides, so that a cell in which somebody stood is known.
    """
    place = np.column_stack([east, north])
    place = np.where(np.isnan(place).any(axis=1, keepdims=True), np.nan, place)
    step, step_m = np.diff(place, axis=0), np.hypot(*np.diff(place, axis=0).T)
    is_way = (step_m > 0.0) & (step_m <= LONGEST_STEP_M) & (np.diff(np.asarray(walk)) == 0)
    start, step, step_m = place[:-1][is_way], step[is_way], step_m[is_way]
    parts = np.ceil(step_m * _PARTS_PER_CELL / cell_m).astype(np.int64)
    way = np.repeat(np.arange(parts.size), parts)
    rank = np.arange(way.size) - np.repeat(np.cumsum(parts) - parts, parts)
    share = ((rank + 0.5) / parts[way])[:, np.newaxis]
    stood = place[~np.isnan(place[:, 0])]
    middles = np.concatenate([start[way] + share * step[way], stood])
    return floats(middles), np.concatenate([(step_m / parts)[way], np.zeros(stood.shape[0])])


def _numbered(index: Floats) -> tuple[Integers, Integers]:
    """Return the cells there are, south to north and then west to east, and each row's number."""
    cell = index.astype(np.int64)
    if not cell.size:
        return cell, np.zeros(0, dtype=np.int64)
    least, most = cell.min(axis=0), cell.max(axis=0)
    across = int(most[0] - least[0]) + 1
    if across * (int(most[1] - least[1]) + 1) > np.iinfo(np.int64).max:
        raise DomainError("places lie too far apart for cells of that size")
    one = (cell[:, 1] - least[1]) * across + (cell[:, 0] - least[0])
    known, number = np.unique(one, return_inverse=True)
    cells = np.column_stack([known % across + least[0], known // across + least[1]])
    return cells, np.asarray(number, dtype=np.int64)


def _members(number: Integers, count: int) -> list[Integers]:
    """Return the rows of each cell."""
    order = np.argsort(number, kind="stable")
    ends = np.searchsorted(number[order], np.arange(1, count + 1))
    return np.split(order, ends)[:count]
