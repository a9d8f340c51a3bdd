"""Small made walks along one straight street."""

from __future__ import annotations

import numpy as np
from numpy.random import Generator

from reportgen.compute.frame_pairs import WalkedFrames, walked_frames

LIMIT_DBM = -120.0


def street_walks(
    chance: Generator,
    settings: tuple[bool, ...],
    *,
    difference_db: float = 0.0,
    days_db: tuple[float, ...] = (),
    length_m: float = 2_000.0,
    copies: int = 1,
    mean_dbm: float = -112.0,
    is_together: bool = False,
) -> WalkedFrames:
    """Return walks over the same hills and valleys, a frame each 15 m or so; one per setting."""
    count = int(length_m / 15.0)
    rows = []
    for walk, is_second in enumerate(settings):
        east_m = np.sort(chance.uniform(0.0, length_m, count))
        level = mean_dbm + 8.0 * np.sin(east_m / 300.0) + 3.0 * chance.normal(size=count)
        level += difference_db * is_second + (days_db[walk] if days_db else 0.0)
        level[level < LIMIT_DBM] = np.nan
        time_s = east_m / 1.3 + (0.0 if is_together else 86_400.0 * walk)
        label = 0.0 if is_together else float(walk)
        rows.append(np.tile([east_m, time_s, level, *_same(count, is_second, label)], copies))
    east_m, time_s, level, second, labels = np.concatenate(rows, axis=1)
    return walked_frames(
        east_m=east_m,
        north_m=np.full(east_m.size, 25.0),
        time_s=time_s,
        level_dbm=level,
        limit_dbm=np.full(east_m.size, LIMIT_DBM),
        is_second=second,
        walk=labels,
    )


def _same(count: int, *values: float) -> list[np.ndarray[tuple[int], np.dtype[np.float64]]]:
    return [np.full(count, float(value)) for value in values]
