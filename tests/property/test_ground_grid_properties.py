"""What holds for the cells of any walk whatever."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from reportgen.compute.ground_grid import LONGEST_STEP_M, GroundGrid, ground_grid

QUICK = settings(max_examples=60, deadline=None)
SEEDS = st.integers(0, 2**32 - 1)
EDGES = st.sampled_from([25.0, 100.0, 333.0])


def columns(seed: int) -> dict[str, np.ndarray[tuple[int, ...], np.dtype[np.generic]]]:
    chance = np.random.default_rng(seed)
    frames, places = chance.integers(0, 60), chance.integers(0, 60)
    level = chance.normal(-110.0, 8.0, frames)
    east, north = chance.uniform(-500.0, 500.0, (2, frames))
    east[chance.random(frames) < 0.1] = np.nan
    return {
        "east_m": east,
        "north_m": north,
        "is_heard": level > -112.0,
        "level_dbm": level,
        "walked_east_m": np.cumsum(chance.normal(0.0, 70.0, places)),
        "walked_north_m": np.cumsum(chance.normal(0.0, 70.0, places)),
        "walk": np.sort(chance.integers(0, 3, places)),
    }


def rows(found: GroundGrid) -> list[tuple[object, ...]]:
    names = ("column", "row", "sent", "heard", "level_dbm", "is_below_limit")
    return [tuple(map(str, each)) for each in zip(*(getattr(found, n) for n in names), strict=True)]


@QUICK
@given(SEEDS, EDGES)
def test_no_frame_and_no_metre_vanishes(seed: int, cell_m: float) -> None:
    data = columns(seed)
    place = np.column_stack([data["walked_east_m"], data["walked_north_m"]]).astype(float)
    step_m = np.hypot(*np.diff(place, axis=0).T)
    is_way = (step_m <= LONGEST_STEP_M) & (np.diff(data["walk"].astype(int)) == 0)

    found = ground_grid(**data, cell_m=cell_m)

    assert found.sent.sum() + found.set_aside == data["east_m"].size
    np.testing.assert_allclose(found.walked_m.sum(), step_m[is_way].sum())


@QUICK
@given(SEEDS, EDGES)
def test_order_of_the_frames_does_not_matter(seed: int, cell_m: float) -> None:
    data = columns(seed)
    order = np.random.default_rng(seed).permutation(data["east_m"].size)
    names = ("east_m", "north_m", "is_heard", "level_dbm")
    mixed = {**data, **{name: data[name][order] for name in names}}

    assert rows(ground_grid(**mixed, cell_m=cell_m)) == rows(ground_grid(**data, cell_m=cell_m))


@QUICK
@given(SEEDS, EDGES)
def test_walking_the_same_way_back_doubles_its_length(seed: int, cell_m: float) -> None:
    data = columns(seed)
    ways = ("walked_east_m", "walked_north_m", "walk")
    there_and_back = {**data, **{n: np.append(data[n], data[n][::-1]) for n in ways}}

    once, twice = ground_grid(**data, cell_m=cell_m), ground_grid(**there_and_back, cell_m=cell_m)

    np.testing.assert_array_equal(twice.column, once.column)
    # The ways are cut into parts from the other end: their middles are the same but for rounding.
    np.testing.assert_allclose(twice.walked_m.sum(), 2.0 * once.walked_m.sum())


@QUICK
@given(SEEDS, EDGES)
def test_median_below_the_limit_has_no_level(seed: int, cell_m: float) -> None:
    found = ground_grid(**columns(seed), cell_m=cell_m)

    assert np.isnan(found.level_dbm[found.is_below_limit]).all()
    assert (found.sent[found.is_below_limit] >= 2 * found.heard[found.is_below_limit]).all()
    assert (found.heard[~np.isnan(found.level_dbm)] > 0).all()
