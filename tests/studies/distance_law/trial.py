"""What the estimator makes of one simulated campaign."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from reportgen.compute.distance_law import DistanceLaw, distance_law, independent_frames_law
from tests.studies.distance_law.campaigns import SHADOW_LENGTH_M, Campaign, campaign

WRONG_BY_DB = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """An estimate beside its truth; NaN where absent, with the reason."""

    truth: float
    value: float
    low: float
    high: float
    reason: str

    @property
    def is_given(self) -> bool:
        return not np.isnan([self.value, self.low, self.high]).any()

    @property
    def covers(self) -> bool:
        return self.low <= self.truth <= self.high

    @property
    def half_width_ratio(self) -> float:
        return (self.high - self.low) / (2.0 * self.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Method:
    """The three quantities that must be covered, and those that come with them."""

    exponent: Interval
    half_m: Interval
    nine_tenths_m: Interval
    level_dbm: Interval
    shadowing_db: Interval
    lost_ratio: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One campaign's outcome."""

    walks: int
    is_adaptive: bool
    frames: int
    missed_ratio: float
    cells: Method
    independent: Method
    naive_exponent: Interval
    wrong_limit_exponent_shift: float
    wrong_limit_half_ratio: float


def trial(
    seed: int,
    number: int,
    *,
    walks: int | None = None,
    is_adaptive: bool | None = None,
    shadow_length_m: float = SHADOW_LENGTH_M,
) -> Trial:
    """Return what the estimator makes of a campaign, beside the truth."""
    made = campaign(
        seed, number, walks=walks, is_adaptive=is_adaptive, shadow_length_m=shadow_length_m
    )
    limits = (made.truth.limit_dbm,)
    law = distance_law(
        distance_m=made.distance_m,
        east_m=made.east_m,
        north_m=made.north_m,
        level_dbm=made.level_dbm,
        limit_dbm=made.limit_dbm,
        reach_limits_dbm=limits,
    )
    naive = law.naive_exponent
    wrong = _independent_law(made, WRONG_BY_DB)
    return Trial(
        walks=made.truth.walks,
        is_adaptive=made.truth.is_adaptive,
        frames=made.distance_m.size,
        missed_ratio=float(np.mean(np.isnan(made.level_dbm))),
        cells=_method(made, law),
        independent=_method(made, _independent_law(made, 0.0)),
        naive_exponent=Interval(
            truth=made.truth.exponent,
            value=naive.value,
            low=naive.low,
            high=naive.high,
            reason=law.reason,
        ),
        wrong_limit_exponent_shift=wrong.exponent.value - law.exponent.value,
        wrong_limit_half_ratio=(
            wrong.reaches[0].half_heard.distance_m.value
            / law.reaches[0].half_heard.distance_m.value
        ),
    )


def _independent_law(made: Campaign, wrong_by_db: float) -> DistanceLaw:
    return independent_frames_law(
        distance_m=made.distance_m,
        level_dbm=made.level_dbm,
        limit_dbm=made.limit_dbm + wrong_by_db,
        reach_limits_dbm=(made.truth.limit_dbm + wrong_by_db,),
    )


def _method(made: Campaign, law: DistanceLaw) -> Method:
    truth, reach = made.truth, law.reaches[0]
    why = law.reason or law.interval_reason
    quantities = (
        (truth.exponent, law.exponent, why),
        (truth.distance_m(0.5), reach.half_heard.distance_m, reach.half_heard.reason or why),
        (
            truth.distance_m(0.9),
            reach.nine_tenths_heard.distance_m,
            reach.nine_tenths_heard.reason or why,
        ),
        (truth.level_at_100_m_dbm, law.level_at_reference_dbm, why),
        (truth.shadowing_db, law.shadowing_db, why),
        (truth.lost_otherwise_ratio, law.lost_otherwise_ratio, why),
    )
    exponent, half, nine_tenths, level, shadowing, lost = (
        Interval(truth=known, value=found.value, low=found.low, high=found.high, reason=reason)
        for known, found, reason in quantities
    )
    return Method(
        exponent=exponent,
        half_m=half,
        nine_tenths_m=nine_tenths,
        level_dbm=level,
        shadowing_db=shadowing,
        lost_ratio=lost,
    )
