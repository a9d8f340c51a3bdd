"""The law of the level over distance: what it learns from misses, and when it keeps silent."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest
from numpy.typing import NDArray

from reportgen.compute.distance_law import (
    LEAST_HEARD,
    DistanceLaw,
    distance_law,
    independent_frames_law,
)
from reportgen.errors import DomainError

Floats = NDArray[np.float64]

LIMIT_DBM = -120.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """Frames sent along spokes from the station, their levels drawn without correlation."""

    distance_m: Floats
    east_m: Floats
    north_m: Floats
    level_dbm: Floats
    limit_dbm: Floats

    def law(self, *limits_dbm: float, highest_lost_ratio: float = 0.95) -> DistanceLaw:
        return distance_law(
            distance_m=self.distance_m,
            east_m=self.east_m,
            north_m=self.north_m,
            level_dbm=self.level_dbm,
            limit_dbm=self.limit_dbm,
            reach_limits_dbm=limits_dbm,
            highest_lost_ratio=highest_lost_ratio,
        )


def survey(
    *,
    frames: int = 600,
    nearest_m: float = 50.0,
    farthest_m: float = 3000.0,
    exponent: float = 3.0,
    shadowing_db: float = 6.0,
    lost_ratio: float = 0.0,
    seed: int = 1,
) -> Survey:
    chance = np.random.default_rng(seed)
    away_m = np.geomspace(nearest_m, farthest_m, frames)
    bearing = 2.0 * np.pi * np.arange(frames) / 5.0
    level_dbm = -75.0 - 10.0 * exponent * np.log10(away_m / 100.0)
    level_dbm += shadowing_db * chance.normal(size=frames)
    is_missed = (level_dbm < LIMIT_DBM) | (chance.random(frames) < lost_ratio)
    return Survey(
        distance_m=away_m,
        east_m=away_m * np.sin(bearing),
        north_m=away_m * np.cos(bearing),
        level_dbm=np.where(is_missed, np.nan, level_dbm),
        limit_dbm=np.full(frames, LIMIT_DBM),
    )


def test_many_frames_give_back_what_they_were_drawn_from() -> None:
    """Misses belong to the evidence: without them the level would seem to fall too slowly."""
    law = survey(frames=6000, farthest_m=8000.0, lost_ratio=0.08).law(LIMIT_DBM)

    assert law.exponent.value == pytest.approx(3.0, abs=0.08)
    assert law.level_at_reference_dbm.value == pytest.approx(-75.0, abs=0.5)
    assert law.shadowing_db.value == pytest.approx(6.0, abs=0.25)
    assert law.lost_otherwise_ratio.value == pytest.approx(0.08, abs=0.02)
    assert law.naive_error < -0.2


def test_half_distance_is_where_half_of_the_frames_are_heard() -> None:
    """With none lost otherwise the level there is the limit: 45 dB below 100 m is 3162 m."""
    many = survey(frames=6000, farthest_m=8000.0).law(LIMIT_DBM, LIMIT_DBM + 30.0)

    far, near = (reach.half_heard.distance_m for reach in many.reaches)
    assert far.value == pytest.approx(100.0 * 10.0**1.5, rel=0.03)
    # 30 dB more at an exponent of 3 is a tenth of the distance.
    assert near.value == pytest.approx(far.value / 10.0, rel=0.03)
    assert far.low < far.value < far.high


def test_nine_tenths_are_heard_less_far_than_half() -> None:
    reach = survey().law(LIMIT_DBM).reaches[0]

    assert reach.nine_tenths_heard.distance_m.value < reach.half_heard.distance_m.value


def test_frames_lost_otherwise_shorten_both_distances() -> None:
    """Half of what is sent is the question, not half of what is not lost otherwise."""
    frames = survey(frames=5000)
    is_lost = np.arange(5000) % 10 == 0
    losing = replace(frames, level_dbm=np.where(is_lost, np.nan, frames.level_dbm))

    before, after = (each.law(LIMIT_DBM).reaches[0] for each in (frames, losing))

    assert after.half_heard.distance_m.value < 0.97 * before.half_heard.distance_m.value


def test_share_nobody_can_reach_has_a_reason_and_no_number() -> None:
    """With a fifth lost otherwise, nine tenths are heard nowhere, at no distance."""
    reach = survey(frames=3000, lost_ratio=0.2).law(LIMIT_DBM).reaches[0]

    assert reach.nine_tenths_heard.reason == "lost otherwise"
    assert math.isnan(reach.nine_tenths_heard.distance_m.value)
    assert math.isnan(reach.nine_tenths_heard.distance_m.high)
    assert reach.half_heard.reason == ""


def test_interval_begins_at_nothing_where_the_share_may_be_reached_nowhere() -> None:
    """At 8 % lost of few frames, 10 % can't be ruled out, and then nine tenths are never heard."""
    reach = survey(frames=200, lost_ratio=0.08, seed=3).law(LIMIT_DBM).reaches[0]

    nine_tenths = reach.nine_tenths_heard.distance_m
    assert nine_tenths.value > 0.0
    assert nine_tenths.low == 0.0
    assert nine_tenths.high < 3000.0


def test_extrapolation_is_flagged_on_both_sides() -> None:
    """A number beyond the walk is a calculation about ground nobody visited."""
    law = survey(farthest_m=1500.0).law(LIMIT_DBM - 10.0, LIMIT_DBM + 15.0, LIMIT_DBM + 60.0)
    halves = [reach.half_heard for reach in law.reaches]

    assert [half.is_beyond_walked for half in halves] == [True, False, False]
    assert [half.is_before_walked for half in halves] == [False, False, True]


def test_level_that_rises_with_distance_gives_no_distance() -> None:
    """A station walked towards behind a hill; the law stays, a reach from it would be nonsense."""
    frames = survey(farthest_m=400.0, exponent=-2.0)
    half = frames.law(LIMIT_DBM).reaches[0].half_heard

    assert half.reason == "level does not fall"
    assert math.isnan(half.distance_m.value)


def test_share_lost_otherwise_may_be_fixed_at_none() -> None:
    """Where a station is known to have been free, every miss is a matter of level."""
    law = survey(lost_ratio=0.1).law(highest_lost_ratio=0.0)

    assert law.lost_otherwise_ratio.value == 0.0
    assert law.exponent.value != pytest.approx(survey(lost_ratio=0.1).law().exponent.value)


def test_frame_heard_below_its_limit_stays_an_observation() -> None:
    """Limits are nominal; a receiver better than its data sheet must not lose its best frames."""
    frames = survey()
    raised = replace(frames, limit_dbm=np.where(np.isnan(frames.level_dbm), LIMIT_DBM, -90.0))

    assert raised.law().exponent.value == pytest.approx(frames.law().exponent.value, abs=1e-6)


@pytest.mark.parametrize("column", ["distance_m", "east_m", "north_m", "limit_dbm"])
def test_frames_without_place_or_limit_are_left_out(column: str) -> None:
    """They say nothing here, and must not turn the answer into NaN."""
    frames = survey()
    values = getattr(frames, column).copy()
    values[::10] = np.nan

    law = replace(frames, **{column: values}).law()

    assert law.heard_count + law.missed_count == 540
    assert law.exponent.value == pytest.approx(3.0, abs=0.3)


def test_too_few_heard_frames_give_reasons_and_no_number() -> None:
    frames = survey()
    heard = np.flatnonzero(~np.isnan(frames.level_dbm))
    level_dbm = frames.level_dbm.copy()
    level_dbm[heard[LEAST_HEARD - 1 :]] = np.nan

    law = replace(frames, level_dbm=level_dbm).law(LIMIT_DBM)

    assert (law.reason, law.interval_reason, law.heard_count) == (
        "too few heard",
        "no law",
        LEAST_HEARD - 1,
    )
    assert law.reaches[0].half_heard.reason == "no law"
    assert math.isnan(law.exponent.value)
    assert math.isnan(law.naive_error)


def test_no_frames_at_all_are_too_few() -> None:
    nothing = np.array([])
    empty = Survey(
        distance_m=nothing,
        east_m=nothing,
        north_m=nothing,
        level_dbm=nothing,
        limit_dbm=nothing,
    )

    assert empty.law(LIMIT_DBM).reason == "too few heard"


def test_walk_round_the_station_tells_no_exponent() -> None:
    """On a circle any exponent fits; a line through one point has any slope."""
    law = survey(nearest_m=300.0, farthest_m=590.0).law(LIMIT_DBM)

    assert law.reason == "no spread of distance"


def test_levels_on_a_line_have_no_likeliest_spread() -> None:
    """Without any scatter the likelihood grows without bound; that is no fit."""
    frames = survey(shadowing_db=0.0, farthest_m=1000.0)

    assert frames.law().reason == "not converged"
    assert independent_frames_law(
        distance_m=frames.distance_m, level_dbm=frames.level_dbm, limit_dbm=frames.limit_dbm
    ).reason == ("not converged")


def test_small_ground_keeps_the_estimate_and_drops_the_interval() -> None:
    """Half a kilometre holds too few independent shadows to say how far off one may be."""
    frames = survey(farthest_m=200.0)
    one_street = replace(frames, east_m=frames.distance_m, north_m=np.zeros(600))

    law = one_street.law(LIMIT_DBM + 20.0)

    assert law.interval_reason == "too few cells"
    assert law.exponent.value == pytest.approx(3.0, abs=0.5)
    assert math.isnan(law.exponent.low)
    assert law.reaches[0].half_heard.distance_m.value > 0.0
    assert math.isnan(law.reaches[0].half_heard.distance_m.high)
    assert math.isnan(law.cell_size_m)


def test_smaller_ground_is_cut_into_smaller_cells() -> None:
    large, small = survey().law(), survey(farthest_m=450.0).law()

    assert (large.cell_size_m, small.cell_size_m) == (400.0, 300.0)
    assert large.cell_count > 8.0
    assert small.exponent.low < small.exponent.high


def test_interval_is_dropped_where_a_single_cell_carries_the_law() -> None:
    """All scatter in one cell: without it the levels lie on a line, and there is no law."""
    frames = survey(farthest_m=2000.0)
    on_line = -75.0 - 30.0 * np.log10(frames.distance_m / 100.0)
    # Every placing of the grid holds the place of these frames in one cell.
    is_odd = np.arange(600) < LEAST_HEARD
    place_m = np.where(is_odd, 130.0, frames.east_m), np.where(is_odd, 130.0, frames.north_m)
    level_dbm = on_line + np.where(is_odd & (np.arange(600) % 2 == 0), 5.0, 0.0)

    law = replace(frames, level_dbm=level_dbm, east_m=place_m[0], north_m=place_m[1]).law()

    assert law.reason == ""
    assert law.interval_reason == "unstable"
    assert math.isnan(law.exponent.low)


def test_second_walk_over_the_same_ground_brings_little() -> None:
    """The same shadows twice are one draw: the interval must not shrink as if they were two."""
    frames = survey()
    twice = Survey(
        **{name: np.tile(getattr(frames, name), 2) for name in Survey.__dataclass_fields__}
    )
    once_law, twice_law = frames.law(), twice.law()

    def width(law: DistanceLaw) -> float:
        return law.exponent.high - law.exponent.low

    assert width(twice_law) == pytest.approx(width(once_law), rel=1e-3)


def test_textbook_interval_shrinks_with_every_copy() -> None:
    """Why it is no interval for walks: the same ground twice makes it narrower by root two."""
    frames = survey()

    def width(copies: int) -> float:
        law = independent_frames_law(
            distance_m=np.tile(frames.distance_m, copies),
            level_dbm=np.tile(frames.level_dbm, copies),
            limit_dbm=np.tile(frames.limit_dbm, copies),
        )
        assert math.isnan(law.cell_count)
        return law.exponent.high - law.exponent.low

    assert width(1) / width(2) == pytest.approx(math.sqrt(2.0), rel=1e-3)


def test_level_that_may_not_fall_at_all_has_no_farthest_end() -> None:
    """A weak fall among strong shadows: nobody can say where half would be heard at most."""
    half = survey(frames=200, exponent=0.2, shadowing_db=9.0, farthest_m=2000.0).law(-78.0)

    distance_m = half.reaches[0].half_heard.distance_m
    assert half.exponent.low < 0.0 < half.exponent.value
    assert math.isfinite(distance_m.value)
    assert distance_m.high == math.inf


def test_textbook_law_without_error_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """Information that can't be inverted leaves the estimate and takes the interval."""
    monkeypatch.setattr("reportgen.compute.distance_law.independent_frames", lambda _: None)
    frames = survey()

    law = independent_frames_law(
        distance_m=frames.distance_m, level_dbm=frames.level_dbm, limit_dbm=frames.limit_dbm
    )

    assert law.interval_reason == "unstable"
    assert law.exponent.value == pytest.approx(3.0, abs=0.3)
    assert math.isnan(law.exponent.high)


def test_textbook_law_keeps_silent_like_the_other() -> None:
    law = independent_frames_law(
        distance_m=[100.0], level_dbm=[-80.0], limit_dbm=[-120.0], reach_limits_dbm=(-120.0,)
    )

    assert (law.reason, law.reaches[0].half_heard.reason) == ("too few heard", "no law")


def test_values_no_survey_has_are_refused_by_name() -> None:
    frames = survey()
    with pytest.raises(DomainError, match=r"^distance_m must be above 0; found 0$"):
        replace(frames, distance_m=frames.distance_m * 0.0).law()
    with pytest.raises(DomainError, match=r"^level_dbm must be finite, or NaN where missed"):
        replace(frames, level_dbm=np.full(600, -np.inf)).law()
    with pytest.raises(DomainError, match=r"^reach_limits_dbm must be finite; found nan$"):
        frames.law(math.nan)
    with pytest.raises(DomainError, match=r"found distance_m \(600,\), east_m \(3,\)"):
        replace(frames, east_m=np.zeros(3)).law()
    with pytest.raises(DomainError, match=r"^highest_lost_ratio must be from 0 to 0\.95; found 1$"):
        frames.law(highest_lost_ratio=1.0)
