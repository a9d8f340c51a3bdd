"""Simulated campaigns with known truth; the physics is this module's own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray
from scipy.spatial.distance import cdist
from scipy.stats import norm

from tests.studies.distance_law.routes import route, walked

Floats = NDArray[np.float64]

SHADOW_LENGTH_M = 40.0
"""Shadowing is correlated as exp(-r / 40 m) in the plane (decision of the project)."""

MOST_FRAMES = 1500
LEAST_FRAMES = 150
STATION_HEIGHT_M = 20.0

NOISE_DBM = -117.0
RATE_SNR_LIMITS_DB = np.array([-20.0, -17.5, -15.0, -12.5, -10.0, -7.5])
"""Slowest rate first."""
RATE_HEADROOM_DB = 8.0
"""The network picks the fastest rate that leaves this above its limit."""
MISSES_TO_SLOW_DOWN = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """What a campaign was drawn from."""

    exponent: float
    level_at_100_m_dbm: float
    shadowing_db: float
    lost_otherwise_ratio: float
    limit_dbm: float
    walks: int
    is_adaptive: bool

    def distance_m(self, share: float) -> float:
        """Return where a frame of the main data rate is heard with a probability (NaN: nowhere)."""
        needed = share / (1.0 - self.lost_otherwise_ratio)
        if needed >= 1.0:
            return np.nan
        margin_db = self.level_at_100_m_dbm - self.limit_dbm
        margin_db -= self.shadowing_db * float(norm.ppf(needed))
        return float(100.0 * 10.0 ** (margin_db / (10.0 * self.exponent)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Campaign:
    """Frames as a log and its counters would give them, and the truth."""

    distance_m: Floats
    east_m: Floats
    north_m: Floats
    level_dbm: Floats
    limit_dbm: Floats
    truth: Truth


def campaign(
    seed: int,
    number: int,
    *,
    walks: int | None = None,
    is_adaptive: bool | None = None,
    shadow_length_m: float = SHADOW_LENGTH_M,
) -> Campaign:
    """Return one campaign; the same seed and number give the same."""
    chance = np.random.default_rng([seed, number])
    drawn_walks, drawn_adaptive = int(chance.integers(1, 5)), bool(chance.random() < 0.4)
    walks = drawn_walks if walks is None else walks
    is_adaptive = drawn_adaptive if is_adaptive is None else is_adaptive
    places = _places(chance, walks)
    away_m = np.hypot(np.hypot(places[:, 0], places[:, 1]), STATION_HEIGHT_M)
    exponent, shadowing_db = chance.uniform(2.2, 4.2), chance.uniform(5.0, 9.0)
    lost = chance.uniform(0.0, 0.15)
    limits_dbm = NOISE_DBM + RATE_SNR_LIMITS_DB
    limit_dbm = float(chance.choice(limits_dbm[:4] if is_adaptive else limits_dbm))
    # The distance of half level lies on walked ground mostly; in a sixth little is missed.
    near = (
        chance.uniform(np.log(1.2), np.log(2.5))
        if chance.random() < 1 / 6
        else (chance.uniform(np.log(0.3), np.log(1.1)))
    )
    half_level_m = float(np.max(away_m)) * np.exp(near)
    level_at_100_m_dbm = limit_dbm + 10.0 * exponent * np.log10(half_level_m / 100.0)
    level_dbm = level_at_100_m_dbm - 10.0 * exponent * np.log10(away_m / 100.0)
    level_dbm += _shadows_db(chance, places, shadowing_db, shadow_length_m)
    is_lost = chance.random(away_m.size) < lost
    limit = (
        _adapted_limits_dbm(level_dbm, is_lost, limits_dbm)
        if is_adaptive
        else np.full(away_m.size, limit_dbm)
    )
    is_missed = is_lost | (level_dbm < limit)
    values, counts = np.unique(limit, return_counts=True)
    origin_m = chance.uniform(-1000.0, 1000.0, 2)
    return Campaign(
        distance_m=away_m,
        east_m=places[:, 0] - origin_m[0],
        north_m=places[:, 1] - origin_m[1],
        level_dbm=np.where(is_missed, np.nan, np.round(level_dbm)),
        limit_dbm=limit,
        truth=Truth(
            exponent=exponent,
            level_at_100_m_dbm=level_at_100_m_dbm,
            shadowing_db=shadowing_db,
            lost_otherwise_ratio=lost,
            limit_dbm=float(values[np.argmax(counts)]),
            walks=walks,
            is_adaptive=is_adaptive,
        ),
    )


def _places(chance: Generator, walks: int) -> Floats:
    """Return where frames were sent, walk after walk over the same route, metres from station."""
    points = route(chance)
    spacing_m = chance.uniform(15.0, 40.0)
    places = np.concatenate([walked(chance, points, spacing_m) for _ in range(walks)])
    while places.shape[0] > MOST_FRAMES or places.shape[0] < LEAST_FRAMES:
        spacing_m *= 1.2 if places.shape[0] > MOST_FRAMES else 0.8
        places = np.concatenate([walked(chance, points, spacing_m) for _ in range(walks)])
    return places


def _shadows_db(chance: Generator, places: Floats, shadowing_db: float, length_m: float) -> Floats:
    """Return shadows of the ground, the same for every walk, and what differs frame by frame."""
    own_db = min(chance.uniform(2.0, 4.0), 0.6 * shadowing_db)
    ground_db = np.sqrt(shadowing_db**2 - own_db**2)
    own = own_db * chance.normal(size=places.shape[0])
    raw = chance.normal(size=places.shape[0])
    if length_m <= 0.0:
        return np.asarray(own + ground_db * raw)
    likeness = np.exp(-cdist(places, places) / length_m)
    likeness[np.diag_indices_from(likeness)] += 1e-9
    return np.asarray(own + ground_db * (np.linalg.cholesky(likeness) @ raw))


def _adapted_limits_dbm(
    level_dbm: Floats, is_lost: NDArray[np.bool_], limits_dbm: Floats
) -> Floats:
    """Return each frame's limit where the rate follows the best of the last levels heard.

    Kept power; five misses in a row slow the rate by one step.
    """
    limit, rate, recent, misses = np.empty_like(level_dbm), 0, list[float](), 0
    for frame, level in enumerate(level_dbm):
        limit[frame] = limits_dbm[rate]
        if is_lost[frame] or level < limits_dbm[rate]:
            misses += 1
            if misses % MISSES_TO_SLOW_DOWN == 0:
                rate, recent = max(rate - 1, 0), []
            continue
        misses, recent = 0, [*recent[-9:], level]
        if len(recent) == 10:
            fits = np.flatnonzero(limits_dbm <= max(recent) - RATE_HEADROOM_DB)
            rate = int(fits[-1]) if fits.size else 0
    return limit
