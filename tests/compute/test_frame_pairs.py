"""Which frames of two settings are compared, and what each pair weighs."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from reportgen.compute.frame_pairs import (
    MOST_FRAMES_PER_CELL,
    WalkedFrames,
    crossed,
    neighbours,
    paired_frames,
    walked_frames,
)
from reportgen.errors import DomainError


def carried(
    time_s: list[float], is_second: list[bool], *, east_m: list[float] | None = None
) -> WalkedFrames:
    return walked_frames(
        east_m=east_m or [1.3 * time for time in time_s],
        north_m=np.zeros(len(time_s)),
        time_s=time_s,
        level_dbm=np.full(len(time_s), -90.0),
        limit_dbm=np.full(len(time_s), -120.0),
        is_second=is_second,
        walk=np.zeros(len(time_s)),
    )


def weights(cell: NDArray[np.int64], is_second: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Return weights per cell."""
    frames = carried(
        list(range(cell.size)), is_second.tolist(), east_m=(50.0 * cell + 25.0).tolist()
    )
    first, second = crossed(cell, is_second.astype(np.int64))
    pairs = paired_frames(frames, first, second, cell)
    return np.asarray(np.bincount(cell[first], weights=pairs.weight), dtype=np.float64)


def test_frames_are_ordered_in_time_and_placeless_ones_counted() -> None:
    """Rows come as files were read."""
    frames = walked_frames(
        east_m=[1.0, np.nan, 3.0, 4.0, 5.0],
        north_m=[0.0, 0.0, 0.0, 0.0, np.nan],
        time_s=[9.0, 1.0, 2.0, np.nan, 3.0],
        level_dbm=[-1.0, -2.0, -3.0, -4.0, -5.0],
        limit_dbm=[-9.0, -9.0, -9.0, -9.0, -9.0],
        is_second=[True, False, False, False, False],
        walk=[1, 1, 0, 0, 0],
    )

    assert frames.level_dbm.tolist() == [-3.0, -1.0]
    assert frames.is_second.tolist() == [False, True]
    assert frames.walk.tolist() == [0, 1]
    assert frames.count_without_place == 3


def test_uneven_columns_are_refused() -> None:
    """One row lost from a column would pair strangers."""
    with pytest.raises(DomainError, match="equally long"):
        carried([1.0, 2.0], [True])


def test_each_frame_of_a_cell_meets_each_of_the_other_side() -> None:
    """Two by three in one cell, none in another, and what lies off the common ground."""
    cell = np.array([0, 0, 0, 0, 0, 1, -1, -1])
    side = np.array([0, 0, 1, 1, 1, 0, 0, 1])

    first, second = crossed(cell, side)

    assert sorted(zip(first.tolist(), second.tolist(), strict=True)) == [
        (a, b) for a in (0, 1) for b in (2, 3, 4)
    ]


def test_a_bench_does_not_outweigh_the_street() -> None:
    """Two hundred frames from one bench weigh less than three times one and one in passing."""
    cell = np.repeat([0, 1], [200, 2])
    is_second = np.arange(202) % 2 == 1

    found = weights(cell, is_second)

    assert found[1] == pytest.approx(1.0 / 3.0)
    assert 1.0 / 3.0 < found[0] < 1.0


def test_of_many_frames_in_a_cell_some_are_taken_evenly() -> None:
    """A node left at home over night makes no table of millions of pairs."""
    first, second = crossed(np.zeros(10_001, dtype=np.int64), np.arange(10_001) % 2)

    assert np.unique(first).size == np.unique(second).size == MOST_FRAMES_PER_CELL
    assert (first.min(), first.max()) == (0, 10_000)


def test_nodes_sending_by_turns_are_paired_throughout() -> None:
    """Evenly spaced, so that each frame has two neighbours equally near."""
    first, second = neighbours(carried([0.0, 10.0, 20.0, 30.0], [False, True, False, True]))

    assert (first.tolist(), second.tolist()) == ([0, 2], [1, 3])


def test_the_closest_frames_are_paired_first() -> None:
    """The second node sends shortly before the first; the frame before is 29 s away."""
    found = neighbours(carried([0.0, 29.0, 30.0, 59.0, 60.0], [False, True, False, True, False]))

    assert (found[0].tolist(), found[1].tolist()) == ([2, 4], [1, 3])


def test_frames_far_apart_in_time_or_place_are_no_pair() -> None:
    """A break, or a fix that leapt."""
    late = carried([0.0, 121.0], [False, True], east_m=[0.0, 0.0])
    leapt = carried([0.0, 10.0], [False, True], east_m=[0.0, 51.0])
    alone = carried([0.0], [True])

    assert [each.size for frames in (late, leapt, alone) for each in neighbours(frames)] == [0] * 6
