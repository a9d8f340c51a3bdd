"""What holds for the distance law of any survey whatever."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from reportgen.compute.distance_law import DistanceLaw, distance_law, independent_frames_law

MODERATE = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])

Floats = NDArray[np.float64]

SEEDS = st.integers(0, 2**32 - 1)


def columns(seed: int, frames: int = 200) -> dict[str, Floats]:
    chance = np.random.default_rng(seed)
    east_m, north_m = chance.uniform(-2000.0, 2000.0, (2, frames))
    away_m = np.hypot(np.hypot(east_m, north_m), 10.0)
    level_dbm = -70.0 - 35.0 * np.log10(away_m / 100.0) + 7.0 * chance.normal(size=frames)
    limit_dbm = chance.choice([-123.0, -115.0], frames)
    is_missed = (level_dbm < limit_dbm) | (chance.random(frames) < 0.05)
    return {
        "distance_m": away_m,
        "east_m": east_m,
        "north_m": north_m,
        "level_dbm": np.where(is_missed, np.nan, level_dbm),
        "limit_dbm": limit_dbm,
    }


def law_of(data: dict[str, Floats], *limits_dbm: float) -> DistanceLaw:
    return distance_law(
        distance_m=data["distance_m"],
        east_m=data["east_m"],
        north_m=data["north_m"],
        level_dbm=data["level_dbm"],
        limit_dbm=data["limit_dbm"],
        reach_limits_dbm=limits_dbm,
    )


def numbers(law: DistanceLaw) -> list[float]:
    estimates = [law.exponent, law.level_at_reference_dbm, law.shadowing_db]
    estimates += [reach.half_heard.distance_m for reach in law.reaches]
    return [end for each in estimates for end in (each.value, each.low, each.high)]


@MODERATE
@given(SEEDS)
def test_order_of_the_frames_does_not_matter(seed: int) -> None:
    data = columns(seed)
    order = np.random.default_rng(seed).permutation(data["distance_m"].size)

    law = law_of(data, -120.0)
    mixed = law_of({name: values[order] for name, values in data.items()}, -120.0)

    np.testing.assert_allclose(numbers(mixed), numbers(law), rtol=2e-4)


@MODERATE
@given(SEEDS, st.floats(-30.0, 30.0))
def test_stronger_node_moves_levels_and_nothing_else(seed: int, gain_db: float) -> None:
    """Levels and limits raised alike tell of the same ground: distances and exponent stay."""
    data = columns(seed)
    raised = {
        name: values + gain_db if name.endswith("_dbm") else values for name, values in data.items()
    }

    law = law_of(data, -120.0)
    other = law_of(raised, -120.0 + gain_db)

    rise_db = other.level_at_reference_dbm.value - law.level_at_reference_dbm.value
    assert rise_db == pytest.approx(gain_db, abs=0.02)
    assert other.exponent.value == pytest.approx(law.exponent.value, rel=2e-4)
    near, far = (each.reaches[0].half_heard.distance_m for each in (law, other))
    np.testing.assert_allclose(
        (far.value, far.low, far.high), (near.value, near.low, near.high), rtol=1e-3
    )


@MODERATE
@given(SEEDS)
def test_intervals_hold_their_estimates(seed: int) -> None:
    law = law_of(columns(seed), -120.0, -90.0)

    estimates = [law.exponent, law.level_at_reference_dbm, law.shadowing_db]
    estimates += [law.lost_otherwise_ratio]
    for reach in law.reaches:
        estimates += [reach.half_heard.distance_m, reach.nine_tenths_heard.distance_m]
    for each in estimates:
        assert math.isnan(each.value) or each.low <= each.value <= each.high


@MODERATE
@given(
    st.lists(
        st.tuples(
            st.floats(0.001, 1e7),
            st.one_of(st.just(math.nan), st.floats(-1e4, 1e4)),
            st.floats(-1e4, 1e4),
        ),
        max_size=60,
    )
)
def test_any_survey_gives_a_law_or_a_reason(frames: list[tuple[float, float, float]]) -> None:
    """Nonsense in, no traceback out, and never a number without one."""
    away_m, level_dbm, limit_dbm = np.array(frames).reshape(-1, 3).T
    law = distance_law(
        distance_m=away_m,
        east_m=away_m,
        north_m=-away_m,
        level_dbm=level_dbm,
        limit_dbm=limit_dbm,
        reach_limits_dbm=(-120.0,),
    )
    textbook = independent_frames_law(
        distance_m=away_m, level_dbm=level_dbm, limit_dbm=limit_dbm, reach_limits_dbm=(-120.0,)
    )

    assert law.heard_count + law.missed_count == len(frames)
    for each in (law, textbook):
        assert math.isnan(each.exponent.value) == (each.reason != "")
        assert math.isnan(each.exponent.low) == (each.interval_reason != "")
