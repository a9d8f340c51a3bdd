"""Which frames were sent and not heard, told by the counter that every frame carries."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, same_length, within
from reportgen.errors import DomainError

ROLL_OVER = 65_536
"""A counter sent in 16 bits goes from 65535 to 0."""

LONGEST_GAP = 1_000
"""Default of the longest run of missing counters that is taken for frames sent and missed."""

FAST_SHARE = 0.1
MOST_TIMES_FASTER = 2.0
JITTER_S = 15.0
FEW_FRAMES = 3
"""A gap is filled where the time across it, and `JITTER_S` more, holds half its counters or more
at the pace of the sequence, `FEW_FRAMES` aside: the time per counter that only `FAST_SHARE` of the
steps undercut, so that a node that sends in bursts, or often while it moves, has its fast pace.
A counter that leaps ahead within one interval is a node that joined anew (our choices). [s]"""

LATE_FRAMES = 10
LATE_WITHIN_S = 15.0
"""A counter that falls by no more than `LATE_FRAMES` within `LATE_WITHIN_S` arrived out of order;
any other fall is a restart of the node. The time is that of time stamps given by a network, not
by the receiver (our choice). [s]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MissingFrames:
    """Frames missing between heard ones; what was heard, run by run; and gaps left unfilled.

    Attributes
    ----------
    counter : ndarray of int64, shape (m,)
        Counters of the missing frames, as the node sent them, in the order sent.
    time_s : ndarray, shape (m,)
        Inferred, evenly spaced between the heard neighbours; NaN where a neighbour has no time.
        [s]
    run : ndarray of int64, shape (m,)
        Number of the run, from 0.
    before_index, after_index : ndarray of int64, shape (m,)
        Heard neighbours, as rows of the input.
    heard_run : ndarray of int64, shape (n,)
        Run of each heard frame.
    is_repeat : ndarray of bool, shape (n,)
        Its counter was heard in this run before.
    is_late : ndarray of bool, shape (n,)
        It came after a frame with a higher counter of the same run.
    gap_before_index, gap_after_index : ndarray of int64, shape (g,)
        Heard neighbours of the gaps that are not filled: too long, or too long for their time.
    gap_count : ndarray of int64, shape (g,)
        Counters missing in each of these.
    """

    counter: NDArray[np.int64]
    time_s: NDArray[np.float64]
    run: NDArray[np.int64]
    before_index: NDArray[np.int64]
    after_index: NDArray[np.int64]
    heard_run: NDArray[np.int64]
    is_repeat: NDArray[np.bool_]
    is_late: NDArray[np.bool_]
    gap_before_index: NDArray[np.int64]
    gap_after_index: NDArray[np.int64]
    gap_count: NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Runs:
    """Heard frames by run, their counters made to rise across roll-overs."""

    run: NDArray[np.int64]
    count: NDArray[np.int64]
    is_late: NDArray[np.bool_]
    modulus: int | None


def missing_frames(
    counter: ArrayLike, time_s: ArrayLike, *, longest_gap: int = LONGEST_GAP
) -> MissingFrames:
    """Return the frames missing among the heard frames of one counter sequence.

    Parameters
    ----------
    counter : array_like of int, shape (n,)
        Counters of the heard frames of one node (and one data rate, where each counts for
        itself), in the order of their times. >= 0
    time_s : array_like, shape (n,)
        Never falling; NaN where unknown. [s]
    longest_gap : int
        A longer run of missing counters is reported, not filled. >= 0

    Returns
    -------
    MissingFrames

    Raises
    ------
    DomainError
        If a counter is negative or no whole number, `longest_gap` is negative, the arrays differ
        in length, or times fall.

    Notes
    -----
    Nothing is claimed before the first and after the last heard frame of a run. A run ends where
    the counter falls, unless it rolled over or the frame came late: nodes start from 0 when they
    join anew. A fall is taken for a roll-over if all counters fit 16 bits and no more than
    `longest_gap` would be missing. A node that joins anew and is first heard above its former
    counter is told from one that was missed for a while only where the time would not have held
    the frames, at the pace that the other steps of the counter show; such a gap is not filled.
    """
    counters, times_s = _whole(counter), floats(time_s)
    same_length(counter=counters, time_s=times_s)
    within("counter", counters, 0.0)
    within("longest_gap", longest_gap, 0.0)
    if np.any(np.diff(times_s) < 0.0):
        raise DomainError("time_s must not fall from one heard frame to the next")
    runs = _runs(counters, times_s, longest_gap)
    before, after, steps = _gaps(runs)
    is_filled = (steps - 1 <= longest_gap) & _has_time(runs, times_s, before, after, steps)
    before_index, after_index, step, number = _filled(
        before[is_filled], after[is_filled], steps[is_filled]
    )
    missing = runs.count[before_index] + number
    share = number / step
    return MissingFrames(
        counter=missing if runs.modulus is None else missing % runs.modulus,
        time_s=floats((1.0 - share) * times_s[before_index] + share * times_s[after_index]),
        run=runs.run[before_index],
        before_index=before_index,
        after_index=after_index,
        heard_run=runs.run,
        is_repeat=_repeats(runs),
        is_late=runs.is_late,
        gap_before_index=before[~is_filled],
        gap_after_index=after[~is_filled],
        gap_count=steps[~is_filled] - 1,
    )


def _whole(counter: ArrayLike) -> NDArray[np.int64]:
    numbers = np.asarray(counter)
    if numbers.size and numbers.dtype.kind not in "iu":
        raise DomainError(f"counter must hold whole numbers; found {numbers.dtype}")
    return numbers.astype(np.int64)


def _runs(counters: NDArray[np.int64], times_s: NDArray[np.float64], longest_gap: int) -> _Runs:
    """Split heard frames into runs and unwrap their counters."""
    modulus = ROLL_OVER if np.all(counters < ROLL_OVER) else None
    # Lists, as a row looked at alone costs an array ten times as much.
    read, time_s = counters.tolist(), times_s.tolist()
    run, count, is_late = [0] * len(read), read[:1] * len(read), [False] * len(read)
    highest = 0
    for row in range(1, len(read)):
        is_soon = time_s[row] - time_s[highest] <= LATE_WITHIN_S
        step = _unwrapped(read[row] - read[highest], modulus, longest_gap, is_soon=is_soon)
        is_late[row] = -LATE_FRAMES <= step < 0 and is_soon
        is_restart = step < 0 and not is_late[row]
        run[row] = run[row - 1] + is_restart
        count[row] = read[row] if is_restart else count[highest] + step
        if is_restart or step >= 0:
            highest = row
    return _Runs(
        run=np.asarray(run, dtype=np.int64),
        count=np.asarray(count, dtype=np.int64),
        is_late=np.asarray(is_late, dtype=np.bool_),
        modulus=modulus,
    )


def _unwrapped(step: int, modulus: int | None, longest_gap: int, *, is_soon: bool) -> int:
    """Return a step of the counter without a roll-over between its ends."""
    if modulus is None:
        return step
    if step < 0 and step + modulus - 1 <= longest_gap:
        return step + modulus
    if is_soon and step - modulus >= -LATE_FRAMES:
        return step - modulus
    return step


def _has_time(
    runs: _Runs,
    times_s: NDArray[np.float64],
    before: NDArray[np.int64],
    after: NDArray[np.int64],
    steps: NDArray[np.int64],
) -> NDArray[np.bool_]:
    """Tell the gaps whose time can hold their frames; those of unknown time can."""
    pace_s = _fast_pace_s(runs, times_s)
    room_s = MOST_TIMES_FASTER * (np.abs(times_s[after] - times_s[before]) + JITTER_S)
    is_too_fast = (steps - 1 - FEW_FRAMES) * pace_s > room_s
    return np.asarray(~is_too_fast, dtype=np.bool_)


def _fast_pace_s(runs: _Runs, times_s: NDArray[np.float64]) -> float:
    """Return the time per counter that few steps undercut; NaN where no step shows any. [s]"""
    order = np.lexsort((runs.count, runs.run))
    steps = np.diff(runs.count[order])
    step_s = np.abs(np.diff(times_s[order]))
    shows = (np.diff(runs.run[order]) == 0) & (steps > 0) & np.isfinite(step_s)
    return float(np.quantile(step_s[shows] / steps[shows], FAST_SHARE)) if shows.any() else np.nan


def _gaps(
    runs: _Runs,
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Return the heard frames on either side of each gap, and the step of the counter across."""
    # Rows of one counter keep their order, so a gap lies between the last hearing of the counter
    # before it and the first of the one after.
    order = np.lexsort((runs.count, runs.run)).astype(np.int64)
    before, after = order[:-1], order[1:]
    steps = runs.count[after] - runs.count[before]
    is_gap = (runs.run[after] == runs.run[before]) & (steps > 1)
    return before[is_gap], after[is_gap], steps[is_gap]


def _repeats(runs: _Runs) -> NDArray[np.bool_]:
    """Tell the frames whose counter their run had before."""
    _, first = np.unique(np.stack([runs.run, runs.count]), axis=1, return_index=True)
    is_repeat = np.ones(runs.run.shape, dtype=np.bool_)
    is_repeat[first] = False
    return is_repeat


def _filled(
    before: NDArray[np.int64], after: NDArray[np.int64], steps: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Return one entry per missing counter: its neighbours, their step, its place between them."""
    missing = steps - 1
    first = np.repeat(np.cumsum(missing) - missing, missing)
    number = np.arange(missing.sum(), dtype=np.int64) - first + 1
    return (
        np.repeat(before, missing),
        np.repeat(after, missing),
        np.repeat(steps, missing),
        number,
    )
