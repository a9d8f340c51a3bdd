"""Comparing two settings by what was walked with each: once, several times, or both together.

Two walks differ by the day itself, by 1 dB or 2 between otherwise equal ones. An interval from
single walks holds the difference of these two walks as recorded; whether the setting made it, only
repeats of each setting can tell, or both nodes carried together on one walk.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from reportgen.compute.censored_difference import (
    PairedFrames,
    delivery_difference_ratio,
    signal_difference_db,
    stretches_with_both_outcomes,
    stretches_with_signal,
)
from reportgen.compute.difference_interval import (
    LEAST_STRETCHES,
    LEAST_WALKS,
    Difference,
    IntervalReason,
    difference_without_interval,
    jackknife_difference,
    two_sample_difference,
)
from reportgen.compute.frame_pairs import WalkedFrames, crossed, neighbours, paired_frames
from reportgen.compute.ground_stretches import shared_cells
from reportgen.errors import DomainError

Standing = Literal["same settings", "confounded", "as recorded", "repeated", "together"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkComparison:
    """What the second setting gave more than the first, on ground walked with both.

    Attributes
    ----------
    signal : Difference
        Of levels, frames missed counted as at or below their limit. [dB]
    delivery : Difference
        Of the shares of frames heard. [ratio]
    cell_count, stretch_count : int
        Common ground, in cells and in stretches of at least 200 m.
    pair_count, pair_both_heard_count : int
        Pairs of one frame of either setting.
    """

    signal: Difference
    delivery: Difference
    cell_count: int
    stretch_count: int
    pair_count: int
    pair_both_heard_count: int


def standing(*, factors_apart: int, is_together: bool, least_repeats: int) -> Standing:
    """Return what a comparison can stand for, whatever its numbers.

    Parameters
    ----------
    factors_apart : int
        How many things were set differently.
    is_together : bool
        Whether both nodes were carried on the same walk.
    least_repeats : int
        Walks of the setting that was walked less often.

    Returns
    -------
    str
        "confounded": several things differ, and nothing tells them apart. "as recorded": the
        walks differ so; how days differ was not measured, so it is no evidence. "repeated" or
        "together": an interval that leaves out zero is evidence. "same settings": it shows how
        walks differ of themselves.
    """
    if factors_apart > 1:
        return "confounded"
    if factors_apart == 0:
        return "same settings"
    if is_together:
        return "together"
    return "repeated" if least_repeats >= LEAST_WALKS else "as recorded"


def compare_single_walks(frames: WalkedFrames) -> WalkComparison:
    """Compare one walk with another, cell by cell of the ground that both covered.

    The interval holds for these two walks: the day is in it as much as the setting.

    Parameters
    ----------
    frames : WalkedFrames
        Each setting on one walk of its own; further walks of a setting count as parts of one.

    Notes
    -----
    Frames of one cell, each with each, are the pairs. A cell with m and n frames weighs
    1 / (1 + 1/m + 1/n): frames of one cell share their shadows, and a hundred from one bench must
    not outweigh the street. Intervals: see `jackknife_difference`, over stretches of ground.
    """
    side = frames.is_second.astype(np.int64)
    cell = _cells_of_both(frames, side)
    return _compared(frames, *crossed(cell, side), cell)


def compare_together(frames: WalkedFrames) -> WalkComparison:
    """Compare two nodes carried together, frame by frame.

    Parameters
    ----------
    frames : WalkedFrames
        Each setting on a node of its own.

    Notes
    -----
    Pairs are those of `neighbours`, in the cell of the place between them; weights and intervals
    as for single walks.
    """
    first, second = neighbours(frames)
    paired = np.append(first, second)
    cell = np.full(frames.walk.size, -1, dtype=np.int64)
    same_walk = np.zeros(first.size, dtype=np.int64)
    between_m = [
        0.5 * (values[first] + values[second]) for values in (frames.east_m, frames.north_m)
    ]
    found = shared_cells(between_m[0], between_m[1], same_walk)
    cell[paired] = np.append(found, found)
    return _compared(frames, first, second, cell)


def compare_repeats(frames: WalkedFrames) -> WalkComparison:
    """Compare settings of which each was walked several times, walk by walk.

    Parameters
    ----------
    frames : WalkedFrames
        Walks of both settings. Repeats on one day say nothing of how days differ.

    Raises
    ------
    DomainError
        If a walk has frames of both settings.

    Notes
    -----
    On ground that all walks covered, each walk is compared with each other one; its value is the
    mean of its differences, 0 with itself among them: the least-squares solution where
    differences add up. The interval is that of `two_sample_difference` over these values.
    """
    labels = np.unique(frames.walk)
    of_second = np.array([_setting(frames, label) for label in labels], dtype=np.bool_)
    cell = _cells_of_both(frames, frames.walk)
    ground = _compared(frames, *crossed(cell, frames.is_second.astype(np.int64)), cell)
    if ground.pair_count == 0:
        return ground
    signal_db = np.zeros((labels.size, labels.size))
    delivery_ratio = np.zeros_like(signal_db)
    for a, b in combinations(range(labels.size), 2):
        side = np.select([frames.walk == labels[a], frames.walk == labels[b]], [0, 1], -1)
        pairs = paired_frames(frames, *crossed(cell, side), cell)
        signal_db[b, a] = signal_difference_db(pairs)
        delivery_ratio[b, a] = delivery_difference_ratio(pairs)
    return replace(
        ground,
        signal=_over_walks(signal_db, of_second),
        delivery=_over_walks(delivery_ratio, of_second),
    )


def _over_walks(differences: Floats, of_second: NDArray[np.bool_]) -> Difference:
    """Return the difference of settings from those of walks (row less column, lower half)."""
    values = np.mean(differences - differences.T, axis=1)
    if np.any(np.isnan(values)):
        return difference_without_interval("too few heard", count=int(of_second.size))
    return two_sample_difference(values[~of_second], values[of_second])


def _setting(frames: WalkedFrames, label: int) -> bool:
    settings = np.unique(frames.is_second[frames.walk == label])
    if settings.size > 1:
        raise DomainError(f"a walk must have one setting; walk {label} has both")
    return bool(settings[0])


def _cells_of_both(frames: WalkedFrames, walk: Integers) -> Integers:
    """Return the cell of each frame, -1 off the common ground; -1 throughout for a single walk."""
    if np.unique(frames.is_second).size < 2:
        return np.full(walk.size, -1, dtype=np.int64)
    return shared_cells(frames.east_m, frames.north_m, walk)


def _compared(
    frames: WalkedFrames, first: Integers, second: Integers, cell: Integers
) -> WalkComparison:
    pairs = paired_frames(frames, first, second, cell)
    return WalkComparison(
        signal=_over_stretches(
            pairs, signal_difference_db, stretches_with_signal(pairs), "too few heard"
        ),
        delivery=_over_stretches(
            pairs, delivery_difference_ratio, stretches_with_both_outcomes(pairs), "too alike"
        ),
        cell_count=int(np.unique(cell[first]).size),
        stretch_count=int(np.unique(pairs.stretch).size),
        pair_count=int(first.size),
        pair_both_heard_count=int(np.count_nonzero(pairs.is_both_heard)),
    )


def _over_stretches(
    pairs: PairedFrames,
    estimate: Callable[[PairedFrames], float],
    telling: int,
    reason: IntervalReason,
) -> Difference:
    """Return a difference with the interval over stretches, of which some tell nothing."""
    names, value = np.unique(pairs.stretch), estimate(pairs)
    if names.size == 0:
        return difference_without_interval("no common ground")
    if names.size < LEAST_STRETCHES:
        return difference_without_interval("too few stretches", value=value, count=names.size)
    if telling < LEAST_STRETCHES:
        return difference_without_interval(reason, value=value, count=telling)
    without_each = [estimate(pairs.where(pairs.stretch != name)) for name in names]
    if np.any(np.isnan([value, *without_each])):
        return difference_without_interval(reason, value=value, count=telling)
    return jackknife_difference(value, without_each, telling=telling)
