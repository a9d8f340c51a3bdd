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

STRETCH_M = 50.0
"""Frames of one stretch count as sent from one place: a little more than a shadow (our choice)."""

LEAST_IN_GROUP = 5
"""In a smaller group nothing is learnt of how evenly its path was sampled (our choice)."""

UNKNOWN_EFFECT = 1.5
"""Taken where the effect is unknown: nine in ten simulated campaigns, half of them with pauses, lie
below 1.3 (our choice)."""

Floats = NDArray[np.float64]
Labels = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class DeliveryInterval:
    """Share of frames heard, its 95 % interval, and the frames it is worth; NaN where unknown."""

    ratio: float
    low: float
    high: float
    sent: int
    effective_count: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Path:
    """Frames in the order of their places; shapes (n,)."""

    heard: Floats
    place_m: Floats
    group: Labels

    @property
    def gap_m(self) -> Floats:
        return np.diff(self.place_m)


def design_effect(is_heard: ArrayLike, path_m: ArrayLike, group: ArrayLike | None = None) -> float:
    """Return the variance of a share of frames heard, over that of as many independent ones.

    Parameters
    ----------
    is_heard : array_like of bool, shape (n,)
    path_m : array_like, shape (n,)
        Place along the path; walks follow each other at more than `FARTHEST_NEIGHBOUR_M`. Frames
        without one are left out. [m]
    group : array_like of int, shape (n,), optional
        Frames whose share is wanted together, such as those of one distance ring; all, if not
        given.

    Returns
    -------
    float
        1 or more. NaN, unknown, where too few neighbours tell, or all fared alike.

    Raises
    ------
    DomainError
        If the arrays differ in length.

    Notes
    -----
    1 + g n sum((f - w)^2) over stretches of `STRETCH_M`, averaged over groups. A stretch has a
    share f of the frames and w of the path: whoever pauses asks one place many times, and all
    those frames share its fate. g is the share of the variance that lies in the ground: 1 less
    half the mean square of successive differences [1]_ over p (1 - p).

    Where a path is sampled evenly, likeness of neighbours would make its mean surer than chance,
    an effect below 1. That is not claimed: losses in bursts make neighbours alike too, and by one
    walk the two can't be told apart.

    References
    ----------
    .. [1] K. M. Wolter, "Introduction to Variance Estimation", 2nd ed., Springer (2007), section
       8.2: successive differences (from memory).
    """
    path = _path(is_heard, path_m, group)
    is_pair = (path.gap_m <= FARTHEST_NEIGHBOUR_M) & (np.diff(path.group) == 0)
    chance = _mean_binomial_variance(path)
    if np.count_nonzero(is_pair) < LEAST_PAIRS or not chance > 0.0:
        return float("nan")
    unlike = 0.5 * float(np.mean(np.diff(path.heard)[is_pair] ** 2))
    of_ground = float(np.clip(1.0 - unlike / chance, 0.0, 1.0))
    return 1.0 + of_ground * _unevenness(path)


def _path(is_heard: ArrayLike, path_m: ArrayLike, group: ArrayLike | None) -> _Path:
    heard, place_m = np.asarray(is_heard, dtype=np.float64), floats(path_m)
    label = np.zeros(heard.shape, np.int64) if group is None else np.asarray(group, np.int64)
    same_length(is_heard=heard, path_m=place_m, group=label)
    order = np.argsort(place_m, kind="stable")
    order = order[np.isfinite(place_m[order])]
    return _Path(heard=heard[order], place_m=place_m[order], group=label[order])


def _mean_binomial_variance(path: _Path) -> float:
    """Return p (1 - p) of each group, without bias, averaged over frames."""
    _, number, count = np.unique(path.group, return_inverse=True, return_counts=True)
    if not count.size:
        return 0.0
    share = np.bincount(number, weights=path.heard) / count
    own = share * (1.0 - share) * count / np.maximum(count - 1, 1)
    return float(np.sum(own * count) / np.sum(count))


def _unevenness(path: _Path) -> float:
    """Return n sum((f - w)^2) over stretches, averaged over the frames of groups."""
    gap_m = path.gap_m
    # A frame stands for the path half-way to its neighbours; none for ground between walks.
    half_m = 0.5 * np.where(gap_m <= FARTHEST_NEIGHBOUR_M, gap_m, 0.0)
    own_m = np.append(0.0, half_m) + np.append(half_m, 0.0)
    stretch = _stretch(path.place_m)
    total, frames = 0.0, 0
    for label in np.unique(path.group):
        mine = path.group == label
        count, length_m = int(mine.sum()), float(own_m[mine].sum())
        if count < LEAST_IN_GROUP or not length_m > 0.0:
            continue
        _, number = np.unique(stretch[mine], return_inverse=True)
        off = np.bincount(number) / count - np.bincount(number, own_m[mine]) / length_m
        total, frames = total + count**2 * float(np.sum(off**2)), frames + count
    return total / frames if frames else 0.0


def _stretch(place_m: Floats) -> Labels:
    """Return a number for the stretch of each frame, counted from the start of its walk."""
    is_start = np.append(True, np.diff(place_m) > FARTHEST_NEIGHBOUR_M)
    walk = np.cumsum(is_start) - 1
    along = np.floor((place_m - place_m[is_start][walk]) / STRETCH_M)
    is_new = is_start | np.append(True, np.diff(along) != 0)
    return np.cumsum(is_new)


def known_effect(effect: float) -> float:
    """Return a design effect, `UNKNOWN_EFFECT` for NaN.

    Raises
    ------
    DomainError
        If it is not positive.
    """
    return UNKNOWN_EFFECT if np.isnan(effect) else float(positive("effect", effect))


def delivery_interval(heard: int, sent: int, effect: float = 1.0) -> DeliveryInterval:
    """Return the share of frames heard with its 95 % interval.

    Parameters
    ----------
    heard, sent : int
        0 <= heard <= sent
    effect : float
        As `design_effect` gives it; NaN, unknown, counts as `UNKNOWN_EFFECT`. > 0

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
    worth = float(within("sent", sent, 0.0)) / known_effect(effect)
    ratio = heard / sent if sent else np.nan
    low, high = wilson_interval(worth * ratio if sent else 0.0, worth)
    return DeliveryInterval(
        ratio=ratio, low=float(low), high=float(high), sent=sent, effective_count=worth
    )
