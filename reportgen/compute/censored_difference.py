"""How much stronger one set of frames is than another, those that were missed included."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

CLIP_DB = 6.0
"""No pair of frames pulls harder than a difference of this (our choice: about the spread of such
differences). A frame lost for another reason than weakness so counts as a little weaker only."""

LEAST_PAIRS_HEARD = 10
"""With fewer pairs of which both frames were heard no difference is given (our choice)."""

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class PairedFrames:
    """Pairs of frames sent from nearly one place, one of either setting.

    Attributes
    ----------
    first_dbm, second_dbm : ndarray, shape (n,)
        Levels; NaN for a frame that was missed. [dBm]
    first_limit_dbm, second_limit_dbm : ndarray, shape (n,)
        Level at which a frame of its data rate is just heard; NaN where not known. [dBm]
    weight : ndarray, shape (n,)
        At least 0.
    stretch : ndarray of int, shape (n,)
        Number of the stretch of ground.
    """

    first_dbm: Floats
    second_dbm: Floats
    first_limit_dbm: Floats
    second_limit_dbm: Floats
    weight: Floats
    stretch: Integers

    @property
    def is_both_heard(self) -> NDArray[np.bool_]:
        """Whether both frames of a pair were heard and both limits are known."""
        return ~np.isnan(
            self.first_dbm + self.second_dbm + self.first_limit_dbm + self.second_limit_dbm
        )

    def where(self, is_kept: NDArray[np.bool_]) -> PairedFrames:
        """Return some of the pairs."""
        return PairedFrames(
            **{field.name: getattr(self, field.name)[is_kept] for field in fields(self)}
        )


def signal_difference_db(pairs: PairedFrames) -> float:
    """Return by how much the second frames are stronger than the first, missed ones included.

    Parameters
    ----------
    pairs : PairedFrames
        Pairs without a limit are left out.

    Returns
    -------
    float
        NaN where fewer than `LEAST_PAIRS_HEARD` pairs were heard on both sides. [dB]

    Notes
    -----
    The first levels are raised by a trial difference. Both frames of a pair then face the same
    limit, the higher of the two: whatever was missed, or lies below it, counts as being at it.
    The difference is the trial at which the pairs balance, each counting by how far its frames
    are apart, at most by `CLIP_DB`: a Huber location estimate [1]_ under common censoring, a
    relative of the score that [2]_ solves for censored regression. At the true difference the two
    frames of a pair can be exchanged, so it balances there whatever share was missed, for
    weakness or otherwise, if frames of both sides are lost otherwise equally often. The balance
    falls as the trial rises, so there is one answer. Where all frames are heard and their
    differences lie within `CLIP_DB` of it, it is the mean difference.

    References
    ----------
    .. [1] P. J. Huber, "Robust estimation of a location parameter", Ann. Math. Statist. 35
       (1964) 73-101 (from memory).
    .. [2] M. Fygenson and Y. Ritov, "Monotone estimating equations for censored data", Ann.
       Statist. 22 (1994) 732-746 (from memory).
    """
    if np.count_nonzero(pairs.is_both_heard) < LEAST_PAIRS_HEARD:
        return float("nan")
    known = pairs.where(~np.isnan(pairs.first_limit_dbm + pairs.second_limit_dbm))
    low_db, high_db = _range_db(known)
    if not _balance(low_db, known) > 0.0 > _balance(high_db, known):
        return float("nan")
    return float(brentq(_balance, low_db, high_db, args=(known,), xtol=1e-9))


def delivery_difference_ratio(pairs: PairedFrames) -> float:
    """Return the share of second frames heard less that of the first; NaN without pairs."""
    if pairs.weight.size == 0:
        return float("nan")
    difference = 1.0 * ~np.isnan(pairs.second_dbm) - 1.0 * ~np.isnan(pairs.first_dbm)
    return float(np.average(difference, weights=pairs.weight))


def stretches_with_signal(pairs: PairedFrames) -> int:
    """Return the number of stretches in which some pair was heard on both sides."""
    return int(np.unique(pairs.stretch[pairs.is_both_heard]).size)


def stretches_with_both_outcomes(pairs: PairedFrames) -> int:
    """Return the number of stretches in which some frame was heard and some was missed."""
    heard = np.column_stack([~np.isnan(pairs.first_dbm), ~np.isnan(pairs.second_dbm)])
    with_heard = pairs.stretch[np.any(heard, axis=1)]
    return int(np.intersect1d(with_heard, pairs.stretch[~np.all(heard, axis=1)]).size)


def _range_db(pairs: PairedFrames) -> tuple[float, float]:
    """Return trials between which the balance changes its sign."""
    first = np.fmax(pairs.first_dbm, pairs.first_limit_dbm)
    second = np.fmax(pairs.second_dbm, pairs.second_limit_dbm)
    apart_db = second - first
    return float(np.min(apart_db)) - CLIP_DB, float(np.max(apart_db)) + CLIP_DB


def _balance(difference_db: float, pairs: PairedFrames) -> float:
    """Return how much the second frames outweigh the first ones raised by a difference."""
    limit = np.maximum(pairs.second_limit_dbm, pairs.first_limit_dbm + difference_db)
    first = np.fmax(pairs.first_dbm + difference_db, limit)
    second = np.fmax(pairs.second_dbm, limit)
    return float(np.sum(pairs.weight * np.clip(second - first, -CLIP_DB, CLIP_DB)))
