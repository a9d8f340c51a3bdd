"""How well the share of frames heard is known, for the ground that was walked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, positive, same_length, within
from reportgen.compute.statistics import wilson_interval
from reportgen.errors import DomainError

LEAST_PAIRS = 20
"""With fewer neighbours nothing is learnt of how alike they fare (our choice)."""

FARTHEST_NEIGHBOUR_M = 150.0
"""Frames farther apart along the path are no neighbours: they share no shadow (our choice)."""

SPOT_M = 10.0
"""Frames sent within so short a piece of path are from one spot (our choice)."""

EFFECT_RANGE = (0.3, 1.0)
"""Neighbours that fare alike make a share surer than chance alone would have it, within limits
that keep a single lucky walk from looking certain (our choice, by simulation)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeliveryInterval:
    """Share of frames heard, its 95 % interval, and the frames it is worth; NaN where unknown."""

    ratio: float
    low: float
    high: float
    sent: int
    effective_count: float


def design_effect(is_heard: ArrayLike, path_m: ArrayLike, group: ArrayLike) -> float:
    """Return the variance of a share of frames heard, over that of as many independent ones.

    Parameters
    ----------
    is_heard : array_like of bool, shape (n,)
    path_m : array_like, shape (n,)
        Place along the path; walks follow each other at more than `FARTHEST_NEIGHBOUR_M`. [m]
    group : array_like of int, shape (n,)
        Frames whose share is wanted together, such as those of one distance ring.

    Returns
    -------
    float
        1 where too few neighbours tell, or all fared alike. Above 1 where many frames were sent
        from few spots.

    Raises
    ------
    DomainError
        If the arrays differ in length.

    Notes
    -----
    Frames are taken at regular steps along a path (systematic sampling). What counts for the mean
    of the path is how unlike neighbours are: half the mean square of their differences [1]_, over
    p (1 - p) in each group, within `EFFECT_RANGE`. Where a stretch is all heard or all missed,
    that is no chance, and further frames there would say the same. Frames from one spot count as
    one: a pause makes no surer of the rest of the path.

    References
    ----------
    .. [1] K. M. Wolter, "Introduction to Variance Estimation", 2nd ed., Springer (2007), section
       8.2: successive differences (from memory).
    """
    heard, place_m = floats(np.asarray(is_heard, dtype=np.float64)), floats(path_m)
    label = np.asarray(group, dtype=np.int64)
    same_length(is_heard=heard, path_m=place_m, group=label)
    chance = _mean_binomial_variance(heard, label)
    spot_heard, spot_m, spot_label = _spots(heard, place_m, label)
    is_pair = (np.diff(spot_m) <= FARTHEST_NEIGHBOUR_M) & (np.diff(spot_label) == 0)
    crowding = heard.size / max(spot_heard.size, 1)
    if np.count_nonzero(is_pair) < LEAST_PAIRS or not chance > 0.0:
        return float(max(crowding, 1.0))
    unlike = 0.5 * float(np.mean(np.diff(spot_heard)[is_pair] ** 2))
    return float(np.clip(unlike / chance, *EFFECT_RANGE)) * crowding


def _spots(
    heard: NDArray[np.float64], place_m: NDArray[np.float64], label: NDArray[np.int64]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.int64]]:
    """Return share heard, place and group of each spot, in order of the path."""
    step = np.floor(place_m / SPOT_M).astype(np.int64)
    spots, number, count = np.unique(
        np.column_stack([step, label]), axis=0, return_inverse=True, return_counts=True
    )
    number = number.reshape(-1)
    share = np.bincount(number, weights=heard, minlength=len(spots)) / np.maximum(count, 1)
    return share, spots[:, 0] * SPOT_M, spots[:, 1]


def _mean_binomial_variance(heard: NDArray[np.float64], label: NDArray[np.int64]) -> float:
    """Return p (1 - p) of each group, without bias, averaged over frames."""
    _, number, count = np.unique(label, return_inverse=True, return_counts=True)
    if not count.size:
        return 0.0
    share = np.bincount(number, weights=heard) / count
    own = share * (1.0 - share) * count / np.maximum(count - 1, 1)
    return float(np.sum(own * count) / np.sum(count))


def delivery_interval(heard: int, sent: int, effect: float = 1.0) -> DeliveryInterval:
    """Return the share of frames heard with its 95 % interval.

    Parameters
    ----------
    heard, sent : int
        0 <= heard <= sent
    effect : float
        As `design_effect` gives it. > 0

    Returns
    -------
    DeliveryInterval
        Of the path that was walked, not of the country around it.

    Raises
    ------
    DomainError
        If a count is negative, more were heard than sent, or the effect is not positive.

    Notes
    -----
    Wilson's score interval on sent / effect frames, of which the same share was heard.
    """
    if heard > sent:
        raise DomainError("heard must not exceed sent")
    worth = float(within("sent", sent, 0.0)) / float(positive("effect", effect))
    ratio = heard / sent if sent else np.nan
    low, high = wilson_interval(worth * ratio if sent else 0.0, worth)
    return DeliveryInterval(
        ratio=ratio, low=float(low), high=float(high), sent=sent, effective_count=worth
    )
