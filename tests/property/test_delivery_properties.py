"""Laws that delivery intervals and directions obey whatever was walked."""

from __future__ import annotations

from dataclasses import astuple

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reportgen.compute.delivery_interval import delivery_interval, design_effect
from reportgen.compute.reach_sectors import SectorReach, reach_sectors

EFFECTS = st.floats(1.0, 20.0)
COUNTS = st.integers(0, 400).flatmap(lambda sent: st.tuples(st.integers(0, sent), st.just(sent)))
WALKS = st.lists(
    st.tuples(st.integers(0, 4000), st.booleans(), st.integers(0, 2)), min_size=0, max_size=80
)
FRAMES = st.lists(
    st.tuples(st.integers(0, 3599), st.floats(0.0, 3000.0), st.booleans()),
    min_size=0,
    max_size=120,
)


def sectors_of(rows: list[tuple[int, float, bool]], turn_deg: float = 0.0) -> list[SectorReach]:
    """Return the sectors of frames; bearings in tenths of a degree, each off a sector's edge."""
    tenths, away_m, heard = np.array(rows, dtype=float).reshape(-1, 3).T
    bearing_deg = (tenths / 10.0 + 0.05 + turn_deg) % 360.0
    return list(
        reach_sectors(
            frame_bearing_deg=bearing_deg,
            frame_distance_m=away_m,
            is_heard=heard.astype(bool),
            walked_bearing_deg=bearing_deg,
            walked_distance_m=away_m,
        )
    )


@given(counts=COUNTS, effect=EFFECTS)
def test_interval_holds_its_ratio_within_zero_and_one(
    counts: tuple[int, int], effect: float
) -> None:
    found = delivery_interval(*counts, effect)

    if found.sent:
        assert 0.0 <= found.low <= found.ratio + 1e-12
        assert found.ratio - 1e-12 <= found.high <= 1.0
        assert found.low < found.high


@given(counts=COUNTS, effect=EFFECTS)
def test_heard_and_missed_exchanged_turn_the_interval_around(
    counts: tuple[int, int], effect: float
) -> None:
    heard, sent = counts
    found, turned = (
        delivery_interval(heard, sent, effect),
        delivery_interval(sent - heard, sent, effect),
    )

    assert [turned.low, turned.high] == pytest.approx(
        [1.0 - found.high, 1.0 - found.low], abs=1e-9, nan_ok=True
    )


@given(counts=COUNTS, effect=EFFECTS, more=st.floats(1.01, 5.0))
def test_a_larger_effect_never_narrows(counts: tuple[int, int], effect: float, more: float) -> None:
    narrow, wide = delivery_interval(*counts, effect), delivery_interval(*counts, effect * more)

    if narrow.sent:
        assert wide.high - wide.low > narrow.high - narrow.low


@settings(deadline=None)
@given(rows=WALKS)
def test_effect_is_one_or_more_or_unknown(rows: list[tuple[int, bool, int]]) -> None:
    """However places coincide, and whatever was heard."""
    place_m, heard, group = np.array(rows, dtype=float).reshape(-1, 3).T

    for found in (design_effect(heard, place_m), design_effect(heard, place_m, group)):
        assert np.isnan(found) or 1.0 <= found < np.inf


@settings(deadline=None)
@given(rows=WALKS, start_m=st.integers(-10_000, 10_000), seed=st.integers(0, 100))
def test_effect_hangs_neither_on_order_nor_on_where_the_path_is_counted_from(
    rows: list[tuple[int, bool, int]], start_m: int, seed: int
) -> None:
    by_place = {place: (heard, group) for place, heard, group in rows}
    place_m = np.array(sorted(by_place), dtype=float)
    heard = np.array([by_place[int(m)][0] for m in place_m], dtype=bool)
    order = np.random.default_rng(seed).permutation(place_m.size)

    found = design_effect(heard[order], place_m[order] + start_m)

    assert found == pytest.approx(design_effect(heard, place_m), nan_ok=True)


@settings(deadline=None)
@given(rows=FRAMES)
def test_every_frame_beyond_the_yard_is_in_one_sector(rows: list[tuple[int, float, bool]]) -> None:
    found = sectors_of(rows)

    assert sum(each.sent for each in found) == sum(away > 50.0 for _, away, _ in rows)
    assert sum(each.heard for each in found) == sum(
        away > 50.0 and heard for _, away, heard in rows
    )


@settings(deadline=None)
@given(rows=FRAMES)
def test_verdicts_say_no_more_than_was_walked(rows: list[tuple[int, float, bool]]) -> None:
    for each in sectors_of(rows):
        has_distance = each.verdict not in {"not walked", "too few frames"}
        assert np.isfinite(each.verdict_m) == has_distance
        if has_distance:
            assert each.verdict_m <= each.farthest_walked_m
        if each.verdict in {"at least", "missed there", "walked on", "lost beyond"}:
            assert each.verdict_m == each.farthest_heard_m


@settings(deadline=None)
@given(rows=FRAMES, turns=st.integers(1, 11), seed=st.integers(0, 100))
def test_country_turned_by_a_sector_turns_the_verdicts(
    rows: list[tuple[int, float, bool]], turns: int, seed: int
) -> None:
    """And the order of rows doesn't matter."""
    order = np.random.default_rng(seed).permutation(len(rows))
    found = sectors_of(rows)
    turned = sectors_of([rows[number] for number in order], 30.0 * turns)

    for number, each in enumerate(found):
        expected, other = astuple(each)[1:], astuple(turned[(number + turns) % 12])[1:]
        np.testing.assert_equal(other, expected)
