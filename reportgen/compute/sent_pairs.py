"""Which frame of a node's own log is which frame heard, by counter and by time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, same_length
from reportgen.compute.frame_counting import ROLL_OVER

SAME_SESSION_S = 60.0
"""Frames of one counter whose clocks differ by this much more or less than usual are of two
sessions: counters roll over and restart (our choice). [s]"""

FARTHEST_S = 15.0
"""Frames paired by time alone lie no farther apart once the clocks agree: the jitter of time
stamps given by a network (our choice). [s]"""

MOST_OFFSET_S = 60.0
"""By time alone no larger difference of clocks is believed. [s]"""

LEAST_NEAR_SHARE = 0.8
"""Times tell frames apart where this share of the frames heard lies within a quarter of the
node's spacing of a frame sent; of times that have nothing to do with each other half would."""

MOST_CANDIDATES = 2_000_000
"""More pairs of equal counters than this come from a column that counts nothing."""

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SentPairs:
    """Frames sent and heard that are one; no frame is in two pairs.

    Attributes
    ----------
    sent_index, heard_index : ndarray of int64, shape (k,)
        Rows of the input, in the order of `heard_index`.
    offset_s : float
        Stations' clocks less the node's; NaN where no pairs could be told. [s]
    """

    sent_index: Rows
    heard_index: Rows
    offset_s: float


def pairs_by_counter(
    sent_counter: ArrayLike, sent_s: ArrayLike, heard_counter: ArrayLike, heard_s: ArrayLike
) -> SentPairs:
    """Return the pairs of one node's frames that carry one counter.

    Parameters
    ----------
    sent_counter, heard_counter : array_like of int, shapes (n,) and (m,)
        Compared as sent in 16 bits.
    sent_s, heard_s : array_like, shapes (n,) and (m,)
        By the clocks of the node and of the stations; NaN where unknown. [s]

    Returns
    -------
    SentPairs

    Raises
    ------
    DomainError
        If counters and times differ in length.

    Notes
    -----
    The clocks may differ by any constant: it is the median difference where most pairs of equal
    counters agree to within `SAME_SESSION_S`, and pairs farther from it are none. Frames without
    time are paired where their counter stands once on either side.
    """
    sent, heard = _counts(sent_counter), _counts(heard_counter)
    sent_times_s, heard_times_s = floats(sent_s), floats(heard_s)
    same_length(sent_counter=sent, sent_s=sent_times_s)
    same_length(heard_counter=heard, heard_s=heard_times_s)
    first, second = _of_equal_counter(sent, heard)
    apart_s = heard_times_s[second] - sent_times_s[first]
    offset_s = _commonest(apart_s[np.isfinite(apart_s)])
    is_lone = _is_lone(sent)[first] & _is_lone(heard)[second]
    residual_s = np.abs(apart_s - offset_s)
    is_pair = (residual_s <= SAME_SESSION_S) | (np.isnan(apart_s) & is_lone)
    return _one_to_one(first[is_pair], second[is_pair], residual_s[is_pair], offset_s)


def pairs_by_time(sent_s: ArrayLike, heard_s: ArrayLike, *, offset_s: float = np.nan) -> SentPairs:
    """Return the pairs of one node's frames that lie nearest to each other in time.

    Parameters
    ----------
    sent_s, heard_s : array_like, shapes (n,) and (m,)
        By the clocks of the node and of the stations, in any order; NaN where unknown. [s]
    offset_s : float
        Stations' clocks less the node's, where it is known; else it is worked out. [s]

    Returns
    -------
    SentPairs
        Without pairs and with an offset of NaN where the times can't be told apart.

    Notes
    -----
    The offset is the median over frames heard whose nearest frame sent is at most half as far as
    the next nearest. Of frames sent evenly it can't be seen that clocks differ by a whole
    spacing: clocks have to agree to a third of it. A frame heard is its nearest frame sent, unless
    another is nearer to that one, and no farther apart than half the median spacing and
    `FARTHEST_S`.
    """
    sent_times_s, heard_times_s = floats(sent_s), floats(heard_s)
    sent_rows, heard_rows = _in_order(sent_times_s), _in_order(heard_times_s)
    sent, heard = sent_times_s[sent_rows], heard_times_s[heard_rows]
    spacing_s = median_spacing_s(sent)
    if np.isnan(offset_s):
        offset_s = _offset_by_time(sent, heard, spacing_s)
    if np.isnan(offset_s) or not sent.size or not heard.size:
        return _one_to_one(sent_rows[:0], heard_rows[:0], floats([]), offset_s)
    heard = heard - offset_s
    mine = _nearest(heard, sent)
    residual_s = np.abs(heard - sent[mine])
    is_pair = residual_s <= np.fmin(spacing_s / 2.0, FARTHEST_S)
    return _one_to_one(
        sent_rows[mine[is_pair]], heard_rows[is_pair], residual_s[is_pair], offset_s
    )  # fmt: skip


def median_spacing_s(time_s: ArrayLike) -> float:
    """Return the median time from one frame to the next; NaN for fewer than two. [s]"""
    steps = np.diff(np.unique(floats(time_s)[np.isfinite(floats(time_s))]))
    return float(np.median(steps)) if steps.size else np.nan


def _counts(counter: ArrayLike) -> Rows:
    return np.asarray(counter, dtype=np.int64) % ROLL_OVER


def _in_order(time_s: Floats) -> Rows:
    """Return the rows that have a time, in its order."""
    return np.argsort(time_s, kind="stable")[: int(np.isfinite(time_s).sum())].astype(np.int64)


def _of_equal_counter(sent: Rows, heard: Rows) -> tuple[Rows, Rows]:
    """Return every pair of rows with one counter."""
    order = np.argsort(sent, kind="stable").astype(np.int64)
    low = np.searchsorted(sent[order], heard, side="left")
    count = np.searchsorted(sent[order], heard, side="right") - low
    if count.sum() > MOST_CANDIDATES:
        return order[:0], order[:0]
    second = np.repeat(np.arange(heard.size, dtype=np.int64), count)
    within = np.arange(second.size) - np.repeat(np.cumsum(count) - count, count)
    return order[np.repeat(low, count) + within], second


def _is_lone(counter: Rows) -> NDArray[np.bool_]:
    _, where, count = np.unique(counter, return_inverse=True, return_counts=True)
    return np.asarray(count[where.reshape(-1)] == 1, dtype=np.bool_)


def _commonest(apart_s: Floats) -> float:
    """Return the median of the differences where most lie together, the smallest of equals."""
    if not apart_s.size:
        return np.nan
    ordered = np.sort(apart_s)
    start = np.arange(ordered.size)
    end = np.searchsorted(ordered, ordered + SAME_SESSION_S, side="right")
    best = start[(end - start) == (end - start).max()]
    medians = [float(np.median(ordered[row : end[row]])) for row in best]
    return min(medians, key=abs)


def _offset_by_time(sent: Floats, heard: Floats, spacing_s: float) -> float:
    """Return the difference of clocks that nearness shows; NaN where it shows none."""
    if not sent.size or not heard.size:
        return np.nan
    apart_s = heard - sent[_nearest(heard, sent)]
    is_clear = (2.0 * np.abs(apart_s) <= _second_nearest_s(heard, sent)) & (
        np.abs(apart_s) <= MOST_OFFSET_S
    )
    if not is_clear.any():
        return np.nan
    offset_s = float(np.median(apart_s[is_clear]))
    moved = heard - offset_s
    near_s = np.fmin(spacing_s / 4.0, FARTHEST_S)
    is_covered = (moved >= sent[0] - near_s) & (moved <= sent[-1] + near_s)
    is_near = np.abs(moved - sent[_nearest(moved, sent)]) <= near_s
    needed = LEAST_NEAR_SHARE * is_covered.sum()
    has_enough = is_near.any() and is_near[is_covered].sum() >= needed
    return offset_s if has_enough else np.nan


def _nearest(asked: Floats, among: Floats) -> Rows:
    """Return for each time the row of the nearest of `among`, which rises; the earlier of two."""
    after = np.clip(np.searchsorted(among, asked), 0, among.size - 1)
    before = np.clip(after - 1, 0, among.size - 1)
    is_before = np.abs(asked - among[before]) <= np.abs(asked - among[after])
    return np.where(is_before, before, after).astype(np.int64)


def _second_nearest_s(asked: Floats, among: Floats) -> Floats:
    """Return how far the next nearest of `among` is; infinite where there is only one."""
    nearest = _nearest(asked, among)
    padded = np.concatenate([[-np.inf], among, [np.inf]])
    before_s, after_s = np.abs(asked - padded[nearest]), np.abs(asked - padded[nearest + 2])
    return floats(np.where(before_s <= after_s, before_s, after_s))


def _one_to_one(sent: Rows, heard: Rows, residual_s: Floats, offset_s: float) -> SentPairs:
    """Return the pairs, the nearest first, that share no frame with a nearer one."""
    used_sent: set[int] = set()
    used_heard: set[int] = set()
    kept: list[int] = []
    for row in np.argsort(residual_s, kind="stable"):
        if int(sent[row]) not in used_sent and int(heard[row]) not in used_heard:
            used_sent.add(int(sent[row]))
            used_heard.add(int(heard[row]))
            kept.append(int(row))
    rows = np.array(kept, dtype=np.int64)
    rows = rows[np.argsort(heard[rows], kind="stable")]
    return SentPairs(sent_index=sent[rows], heard_index=heard[rows], offset_s=float(offset_s))
