"""What each design of comparison says of one simulated campaign."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import t as student

from reportgen.compute.difference_interval import Difference
from reportgen.compute.frame_pairs import WalkedFrames, crossed, paired_frames, walked_frames
from reportgen.compute.ground_stretches import shared_cells
from reportgen.compute.walk_comparison import (
    compare_repeats,
    compare_single_walks,
    compare_together,
)
from tests.studies.comparison.campaigns import TOGETHER, Recorded, ground, recorded

SCENARIOS = ((0.0, 0.0), (3.0, 0.0), (0.0, 1.5), (3.0, 1.5))
"""True difference, and standard deviation of the days. [dB]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One interval, and the truth it should hold."""

    design: str
    quantity: str
    difference_db: float
    days_db: float
    has_value: bool
    has_interval: bool
    is_held: bool
    is_apart: bool
    error: float
    width: float
    detectable: float


def outcomes(seed: int, number: int) -> list[Outcome]:
    """Return all outcomes of one campaign."""
    walked = ground(seed, number)
    return [
        outcome
        for difference_db, days_db in SCENARIOS
        for outcome in _of_campaign(
            recorded(walked, difference_db=difference_db, days_db=days_db), days_db
        )
    ]


def frames_of(campaign: Recorded, is_kept: NDArray[np.bool_]) -> WalkedFrames:
    """Return some frames of a campaign as the comparison takes them."""
    frames = campaign.ground
    return walked_frames(
        east_m=frames.east_m[is_kept],
        north_m=frames.north_m[is_kept],
        time_s=frames.time_s[is_kept],
        level_dbm=campaign.level_dbm[is_kept],
        limit_dbm=frames.limit_dbm[is_kept],
        is_second=frames.is_second[is_kept],
        walk=frames.walk[is_kept],
    )


def frames_taken_as_independent(frames: WalkedFrames) -> Difference:
    """Return the textbook's paired interval over all pairs heard; the warning example."""
    cell = shared_cells(frames.east_m, frames.north_m, frames.is_second.astype(np.int64))
    pairs = paired_frames(frames, *crossed(cell, frames.is_second.astype(np.int64)), cell)
    apart_db = (pairs.second_dbm - pairs.first_dbm)[pairs.is_both_heard]
    value, error = np.mean(apart_db), np.std(apart_db, ddof=1) / np.sqrt(apart_db.size)
    quantile, power = student.ppf([0.975, 0.8], apart_db.size - 1)
    return Difference(
        value=float(value),
        low=float(value - quantile * error),
        high=float(value + quantile * error),
        smallest_detectable=float((quantile + power) * error),
        count=apart_db.size,
        reason="",
    )


def _of_campaign(campaign: Recorded, days_db: float) -> list[Outcome]:
    walk = campaign.ground.walk
    single, repeats = frames_of(campaign, walk < 2), frames_of(campaign, walk < TOGETHER)
    found = {
        "a single walks": compare_single_walks(single),
        "b two walks each": compare_repeats(repeats),
        "c together": compare_together(frames_of(campaign, walk == TOGETHER)),
    }
    rows = [
        _outcome(name, quantity, getattr(comparison, quantity), campaign, days_db)
        for name, comparison in found.items()
        for quantity in ("signal", "delivery")
    ]
    naive = frames_taken_as_independent(single)
    return [*rows, _outcome("a, frames as independent", "signal", naive, campaign, days_db)]


def _outcome(
    design: str, quantity: str, found: Difference, campaign: Recorded, days_db: float
) -> Outcome:
    truth = campaign.signal_db if quantity == "signal" else campaign.delivery_ratio
    return Outcome(
        design=design,
        quantity=quantity,
        difference_db=campaign.signal_db,
        days_db=days_db,
        has_value=not np.isnan(found.value),
        has_interval=found.reason == "",
        is_held=found.low <= truth <= found.high,
        is_apart=found.is_apart,
        error=found.value - truth,
        width=found.high - found.low,
        detectable=found.smallest_detectable,
    )
