"""How far a difference may be off, by Student's t over stretches of ground or over walks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import stdtrit

from reportgen.compute.domain import floats

CONFIDENCE_RATIO = 0.95
POWER_RATIO = 0.8

LEAST_STRETCHES = 5
"""With fewer stretches of ground that can tell, no interval is given (our choice)."""

LEAST_WALKS = 2
"""Walks of each setting without which nothing is known about how days differ."""

IntervalReason = Literal[
    "", "no common ground", "too few heard", "too few stretches", "too alike", "not repeated"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """A difference of two settings, second less first, and how far it may be off.

    Attributes
    ----------
    value : float
        NaN where it can't be had. [dB, or a ratio]
    low, high : float
        95 % interval; NaN where there is none.
    smallest_detectable : float
        Size of a true difference that data like these would show with a probability of 80 %; NaN
        without interval.
    count : int
        Stretches, or walks, that the interval rests on.
    reason : str
        Why there is no interval: "no common ground"; "too few heard" on both sides; "too few
        stretches" of it; "too alike": too few stretches where some frames were heard and others
        missed; a setting was "not repeated".
    """

    value: float
    low: float
    high: float
    smallest_detectable: float
    count: int
    reason: IntervalReason

    @property
    def is_apart(self) -> bool:
        """Whether the interval leaves out zero; no where there is none."""
        return self.low > 0.0 or self.high < 0.0


def difference_without_interval(
    reason: IntervalReason, *, value: float = float("nan"), count: int = 0
) -> Difference:
    """Return a difference about which nothing more can be said, and why."""
    return Difference(
        value=value,
        low=np.nan,
        high=np.nan,
        smallest_detectable=np.nan,
        count=count,
        reason=reason,
    )


def jackknife_difference(value: float, without_each: ArrayLike, *, telling: int) -> Difference:
    """Return a difference with its interval, from estimates that leave out a stretch each.

    Parameters
    ----------
    value : float
        From all stretches.
    without_each : array_like, shape (k,)
        From all stretches but one.
    telling : int
        How many stretches can tell anything; the degrees of freedom are one less. > 1

    Notes
    -----
    Variance (k - 1)/k sum (v_g - v_mean)^2; for a mean of k values that is s^2/k, and the interval
    the one of Student's t. Smallest detectable: (t_0.975 + t_0.8) standard errors.

    References
    ----------
    .. [1] B. Efron and R. Tibshirani, "An Introduction to the Bootstrap", Chapman & Hall (1993),
       eq. 11.5: the variance (from memory).
    .. [2] H. S. Bloom, "Minimum detectable effects", Evaluation Review 19 (1995) 547-556 (from
       memory).
    """
    left = floats(without_each)
    error = np.sqrt((left.size - 1.0) * np.var(left))
    return _difference(value, float(error), telling - 1.0, telling)


def two_sample_difference(first: ArrayLike, second: ArrayLike) -> Difference:
    """Return the mean of second values less that of the first, with its interval.

    Parameters
    ----------
    first, second : array_like, shapes (m,) and (n,)
        One value per walk.

    Returns
    -------
    Difference
        With reason "not repeated" where either side has fewer than `LEAST_WALKS`.

    Notes
    -----
    Student's t with pooled variance and m + n - 2 degrees of freedom: the day doesn't know what is
    carried, so days differ equally on both sides. With two walks each, Welch's unpooled form has
    only one to two degrees of freedom.
    """
    one, two = floats(first), floats(second)
    value = float(np.mean(two) - np.mean(one)) if one.size and two.size else float("nan")
    count = one.size + two.size
    if min(one.size, two.size) < LEAST_WALKS:
        return difference_without_interval("not repeated", value=value, count=count)
    freedom = count - 2.0
    variance = (one.size * np.var(one) + two.size * np.var(two)) / freedom
    error = np.sqrt(variance * (1.0 / one.size + 1.0 / two.size))
    return _difference(value, float(error), freedom, count)


def _difference(value: float, error: float, freedom: float, count: int) -> Difference:
    quantile = float(stdtrit(freedom, 0.5 + 0.5 * CONFIDENCE_RATIO))
    return Difference(
        value=value,
        low=value - quantile * error,
        high=value + quantile * error,
        smallest_detectable=(quantile + float(stdtrit(freedom, POWER_RATIO))) * error,
        count=count,
        reason="",
    )
