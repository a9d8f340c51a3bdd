"""Simulated walks over the same ground with two settings; the physics is this module's own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray
from scipy.spatial.distance import cdist
from scipy.stats import norm

from tests.studies.distance_law.routes import route

Floats = NDArray[np.float64]

SHADOW_LENGTH_M = 40.0
"""Shadows are alike by exp(-r / 40 m) in the plane (decision of the project)."""

PACE_MPS = 1.3
MOST_FRAMES = 220
"""Of one node on one walk, about; long walks are sent from less often."""

REPEATS = 2
TOGETHER = 2 * REPEATS
"""Number of the walk on which both nodes are carried; the walks before take the settings by turns.
"""
_DAY_S = 86_400.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Frames of all walks of one campaign, before settings and days act on them.

    `east_m` and `north_m` are as recorded, with the error of fixes; `mean_dbm` is what the ground
    gives at the true place, `own_db` what differs frame by frame.
    """

    east_m: Floats
    north_m: Floats
    time_s: Floats
    walk: NDArray[np.int64]
    is_second: NDArray[np.bool_]
    mean_dbm: Floats
    own_db: Floats
    fading_db: float
    is_lost: NDArray[np.bool_]
    lost_ratio: float
    limit_dbm: Floats
    days: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """A campaign as logs and counters would give it, with its truth."""

    ground: Ground
    level_dbm: Floats
    signal_db: float
    delivery_ratio: float


def ground(seed: int, number: int) -> Ground:
    """Return the frames of one campaign; the same seed and number give the same."""
    chance = np.random.default_rng([seed, number])
    points = route(chance)
    points *= chance.uniform(1_200.0, 5_500.0) / _along_m(points)[-1]
    interval_s = max(chance.uniform(10.0, 20.0), _along_m(points)[-1] / PACE_MPS / MOST_FRAMES)
    parts = [
        _walk(chance, points, interval_s, walk, nodes=2 if walk == TOGETHER else 1)
        for walk in range(TOGETHER + 1)
    ]
    true, recorded, time_s, walk, node = (
        np.concatenate([part[column] for part in parts]) for column in range(5)
    )
    away_m = np.hypot(np.hypot(true[:, 0], true[:, 1]), 20.0)
    mean_dbm = -10.0 * chance.uniform(2.2, 4.0) * np.log10(away_m)
    mean_dbm += chance.uniform(4.0, 8.0) * _shadows(chance, true)
    fading_db, lost_ratio = chance.uniform(2.0, 4.0), chance.uniform(0.0, 0.1)
    limit_dbm = float(chance.choice([-137.0, -132.0, -127.0]))
    missed_share = chance.uniform(0.05, 0.6)
    mean_dbm += limit_dbm - np.quantile(mean_dbm, missed_share)
    return Ground(
        east_m=recorded[:, 0],
        north_m=recorded[:, 1],
        time_s=time_s,
        walk=walk.astype(np.int64),
        is_second=np.where(walk == TOGETHER, node == 1, walk % 2 == 1),
        mean_dbm=mean_dbm,
        own_db=fading_db * chance.normal(size=away_m.size),
        fading_db=fading_db,
        is_lost=chance.random(away_m.size) < lost_ratio,
        lost_ratio=lost_ratio,
        limit_dbm=np.full(away_m.size, limit_dbm),
        days=chance.normal(size=TOGETHER + 1),
    )


def recorded(frames: Ground, *, difference_db: float, days_db: float) -> Recorded:
    """Return what is recorded where the second setting is stronger, and days differ."""
    level = frames.mean_dbm + frames.own_db
    level = level + days_db * frames.days[frames.walk] + difference_db * frames.is_second
    is_missed = frames.is_lost | (level < frames.limit_dbm)
    margin_db = frames.mean_dbm - frames.limit_dbm
    heard = norm.cdf(np.array([margin_db, margin_db + difference_db]) / frames.fading_db)
    return Recorded(
        ground=frames,
        level_dbm=np.where(is_missed, np.nan, np.round(level)),
        signal_db=difference_db,
        delivery_ratio=float((1.0 - frames.lost_ratio) * np.mean(heard[1] - heard[0])),
    )


def _walk(
    chance: Generator, points: Floats, interval_s: float, walk: int, *, nodes: int
) -> tuple[Floats, ...]:
    """Return true and recorded places, times, walk and node of one walk's frames."""
    line = points[::-1] if chance.random() < 0.25 else points
    along_m = _along_m(line)
    end_s = float(along_m[-1]) / PACE_MPS
    side_m, fix_m = chance.normal(0.0, 3.0, 2), chance.normal(0.0, 3.0, 2)
    times, node = list[Floats](), list[Floats]()
    for number in range(nodes):
        most = int(1.2 * end_s / interval_s) + 2
        start_s = chance.uniform(0.0, interval_s)
        sent_s = start_s + np.cumsum(interval_s * chance.uniform(0.85, 1.15, most))
        times.append(sent_s[sent_s < end_s])
        node.append(np.full(times[-1].size, float(number)))
    time_s = np.concatenate(times)
    true = np.column_stack(
        [np.interp(PACE_MPS * time_s, along_m, line[:, axis]) for axis in (0, 1)]
    )
    true += side_m + chance.normal(0.0, 1.0, true.shape)
    seen = true + fix_m + chance.normal(0.0, 2.5, true.shape)
    return (
        true,
        seen,
        time_s + _DAY_S * walk,
        np.full(time_s.size, float(walk)),
        (np.concatenate(node)),
    )


def _along_m(line: Floats) -> Floats:
    return np.asarray(np.cumsum(np.append(0.0, np.hypot(*np.diff(line, axis=0).T))))


def _shadows(chance: Generator, places: Floats) -> Floats:
    """Return shadows of unit standard deviation, alike where places are near."""
    likeness = np.exp(-cdist(places, places) / SHADOW_LENGTH_M)
    likeness[np.diag_indices_from(likeness)] += 1e-9
    return np.asarray(np.linalg.cholesky(likeness) @ chance.normal(size=places.shape[0]))
