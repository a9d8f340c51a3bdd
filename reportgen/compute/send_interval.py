"""Which frames were sent and not heard, told by the steady interval at which a node sends."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, positive
from reportgen.errors import DomainError

TOLERANCE_SHARE = 0.15
LEAST_TOLERANCE_S = 3.0
MOST_TOLERANCE_SHARE = 0.25
"""A time between two frames is a whole multiple of the interval if it is off by no more than
`TOLERANCE_SHARE` of it, or by `LEAST_TOLERANCE_S` where that is more (time stamps given by a
network jitter by a second or two), and never by more than `MOST_TOLERANCE_SHARE` (our choice)."""

DRIFT_SHARE = 0.1
"""The interval that the times show may differ so much from the stated one: a cheap oscillator, or
a node that counts from the end of one frame to the begin of the next (our choice)."""

LEAST_KEPT_SHARE = 0.9
MOST_CHANCE = 1e-4
"""The interval is kept where so many of the times between frames are whole multiples of it, and
where times without any rhythm would show as many once in 10 000 or less (our choice)."""

MOST_DIVISOR = 6
"""Where nearly all multiples have a common divisor up to this, the node sends less often than
stated."""

SHORT_MULTIPLE = 4
"""Up to this multiple the stated interval tells how many were sent, whatever the drift."""

MOST_MISSED = 20
"""Default of the longest run of frames that is inferred. A node that was off for whole intervals
leaves just what a longer silence leaves, and then nothing tells the two apart: counters or the
node's own log do. What the levels on either side say is not asked: an obstacle ends a good
reception as suddenly as a switch does (our choice)."""

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MissingByInterval:
    """Frames missing between heard ones, where the times heard keep the stated interval.

    Attributes
    ----------
    is_kept : bool
        Whether they do; nothing is missing where they don't.
    interval_s : float
        As the times show it; NaN where they show none. [s]
    time_s : ndarray, shape (m,)
        When the missing frames were sent. [s]
    before_index, after_index : ndarray of int64, shape (m,)
        Heard neighbours, as rows of the input.
    unfilled_runs : int
        Times between two frames heard that are whole multiples and too long to be filled.
    """

    is_kept: bool
    interval_s: float
    time_s: Floats
    before_index: Rows
    after_index: Rows
    unfilled_runs: int


def missing_by_interval(
    time_s: ArrayLike, interval_s: float, *, most_missed: int = MOST_MISSED
) -> MissingByInterval:
    """Return the frames missing among those heard of one node that sends at an even interval.

    Parameters
    ----------
    time_s : array_like, shape (n,)
        Times of the heard frames, one per frame, never falling. [s]
    interval_s : float
        Between two frames sent, as stated. [s], > 0
    most_missed : int
        A longer run is not inferred.

    Returns
    -------
    MissingByInterval

    Raises
    ------
    DomainError
        If times are not finite or fall, or the interval is not positive.

    Notes
    -----
    Judged from one heard frame to the next, so that neither drift nor a new phase after a pause
    adds up. Where a time between two frames is no whole multiple the node paused or joined anew,
    and nothing is claimed; nor is anything before the first and after the last frame.
    """
    times_s, stated_s = floats(time_s), float(positive("interval_s", interval_s))
    if not np.isfinite(times_s).all() or np.any(np.diff(times_s) < 0.0):
        raise DomainError("time_s must be finite and must not fall")
    steps_s = np.diff(times_s)
    shown_s = _shown_interval_s(steps_s, stated_s)
    multiple = _multiples(steps_s, shown_s)
    is_whole = _is_whole(steps_s, multiple, shown_s)
    is_kept = _is_kept(is_whole, multiple, shown_s) and (
        abs(shown_s / stated_s - 1.0) <= DRIFT_SHARE
    )
    is_run = is_whole & (multiple > 1) & is_kept
    is_filled = is_run & (multiple - 1 <= most_missed)
    before = np.flatnonzero(is_filled).astype(np.int64)
    missing = multiple[before] - 1
    rows = np.repeat(before, missing)
    number = np.arange(rows.size) - np.repeat(np.cumsum(missing) - missing, missing) + 1
    share = number / np.repeat(multiple[before], missing)
    return MissingByInterval(
        is_kept=is_kept,
        interval_s=shown_s,
        time_s=floats(times_s[rows] + share * (times_s[rows + 1] - times_s[rows])),
        before_index=rows,
        after_index=rows + 1,
        unfilled_runs=int((is_run & ~is_filled).sum()),
    )


def tolerance_s(interval_s: float) -> float:
    """Return by how much a time between two frames may miss a whole multiple. [s]"""
    wished_s = max(TOLERANCE_SHARE * interval_s, LEAST_TOLERANCE_S)
    return min(wished_s, MOST_TOLERANCE_SHARE * interval_s)


def _shown_interval_s(steps_s: Floats, stated_s: float) -> float:
    """Return the interval that short times between frames show; NaN without such."""
    multiple = np.round(steps_s / stated_s)
    is_short = (multiple >= 1) & (multiple <= SHORT_MULTIPLE)
    if not is_short.any():
        return math.nan
    return float(np.median(steps_s[is_short] / multiple[is_short]))


def _multiples(steps_s: Floats, shown_s: float) -> Rows:
    if math.isnan(shown_s):
        return np.zeros(steps_s.shape, dtype=np.int64)
    return np.round(steps_s / shown_s).astype(np.int64)


def _is_whole(steps_s: Floats, multiple: Rows, shown_s: float) -> NDArray[np.bool_]:
    if math.isnan(shown_s):
        return np.zeros(steps_s.shape, dtype=np.bool_)
    off_s = np.abs(steps_s - multiple * shown_s)
    return np.asarray((multiple >= 1) & (off_s <= tolerance_s(shown_s)), dtype=np.bool_)


def _is_kept(is_whole: NDArray[np.bool_], multiple: Rows, shown_s: float) -> bool:
    if not is_whole.size or not is_whole.mean() >= LEAST_KEPT_SHARE:
        return False
    by_chance = 2.0 * tolerance_s(shown_s) / shown_s
    if _chance_of(int(is_whole.sum()), is_whole.size, by_chance) > MOST_CHANCE:
        return False
    whole = multiple[is_whole]
    divisible = max(float((whole % divisor == 0).mean()) for divisor in range(2, MOST_DIVISOR + 1))
    return divisible < LEAST_KEPT_SHARE


def _chance_of(least: int, of: int, share: float) -> float:
    """Return the chance of `least` or more of `of`, each by itself with the chance `share`."""
    return math.fsum(
        math.exp(
            math.lgamma(of + 1) - math.lgamma(k + 1) - math.lgamma(of - k + 1)
            + k * math.log(share) + (of - k) * math.log1p(-share)
        )
        for k in range(least, of + 1)
    )  # fmt: skip
