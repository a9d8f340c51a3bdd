"""Made campaigns: walks with halts, receivers that err, photos of a camera whose clock is off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
DAY_S = 86_400.0
TRACK_SIGMA_M = 3.0
TRACK_MEMORY_S = 60.0
"""A receiver's error changes slowly."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outing:
    """Where somebody was, second by second, and when they stood still."""

    time_s: Numbers
    east_m: Numbers
    north_m: Numbers
    stands: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """What a receiver recorded of an outing."""

    time_s: Numbers
    east_m: Numbers
    north_m: Numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeCampaign:
    """Tracks and photos.

    `kind` of clock: right, off, or zone; `is_untracked`: no photo's outing was recorded;
    `noise_m`: scatter of the photos' fixes along one axis.
    """

    kind: str
    is_untracked: bool
    ahead_s: float
    noise_m: float
    tracks: tuple[Track, ...]
    shown_s: Numbers
    east_m: Numbers
    north_m: Numbers


def campaign(rng: np.random.Generator) -> MadeCampaign:
    """Return one campaign."""
    routes = [_route(rng) for _ in range(rng.integers(1, 3))]
    outings = [
        _outing(rng, routes[rng.integers(len(routes))], day)
        for day in range(int(rng.integers(1, 5)))
    ]
    is_untracked = bool(rng.random() < 0.15)
    walked = [_outing(rng, routes[0], 0)] if is_untracked else outings
    kind = str(rng.choice(["right", "off", "zone"]))
    noise_m = float(rng.choice([4.0, 10.0]))
    true_s, east, north = _photos(rng, walked, noise_m)
    ahead_s = 0.0 if is_untracked else _ahead_s(rng, kind)
    return MadeCampaign(
        kind=kind,
        is_untracked=is_untracked,
        ahead_s=ahead_s,
        noise_m=noise_m,
        tracks=tuple(_track(rng, outing) for outing in outings),
        shown_s=np.round(true_s + ahead_s),
        east_m=east,
        north_m=north,
    )


def _ahead_s(rng: np.random.Generator, kind: str) -> float:
    if kind == "right":
        return float(rng.normal(0.0, 1.0))
    if kind == "off":
        return float(rng.choice([-1, 1]) * np.exp(rng.uniform(np.log(40.0), np.log(8_000.0))))
    hours = float(rng.choice([-7.0, -5.5, -2.0, -1.0, 1.0, 2.0, 8.0, 12.0]))
    return 3600.0 * hours + float(rng.normal(0.0, 1.0))


def _route(rng: np.random.Generator) -> Numbers:
    """Return the corners of a route: a round, or out along a road and back."""
    count = int(rng.integers(5, 12))
    turns = np.cumsum(rng.normal(0.0, 0.9, count)) + rng.uniform(0.0, 2.0 * np.pi)
    legs = rng.uniform(150.0, 500.0, count)[:, None] * np.column_stack(
        [np.sin(turns), np.cos(turns)]
    )
    corners = np.vstack([[0.0, 0.0], np.cumsum(legs, axis=0)])
    return np.vstack([corners, corners[-2::-1]]) if rng.random() < 0.4 else corners


def _outing(rng: np.random.Generator, corners: Numbers, day: int) -> Outing:
    steps = np.hypot(*np.diff(corners, axis=0).T)
    way_m = np.concatenate([[0.0], np.cumsum(steps)])
    pace = np.clip(rng.normal(1.3, 0.15), 0.9, 1.8)
    seconds = int(way_m[-1] / pace)
    stands = np.zeros(seconds + 2_000, dtype=bool)
    for start in rng.integers(0, seconds, int(rng.integers(3, 9))):
        stands[start : start + int(rng.integers(20, 150))] = True
    wander = np.clip(1.0 + 0.15 * _slow(rng, stands.size, 120.0), 0.4, 1.6)
    done_m = np.cumsum(np.where(stands, 0.0, pace * wander))
    last = int(np.searchsorted(done_m, way_m[-1])) or 1
    done_m, stands = done_m[:last], stands[:last]
    start_s = DAY_S * day + rng.uniform(8.0, 16.0) * 3600.0
    return Outing(
        time_s=start_s + np.arange(done_m.size, dtype=np.float64),
        east_m=np.interp(done_m, way_m, corners[:, 0]),
        north_m=np.interp(done_m, way_m, corners[:, 1]),
        stands=stands,
    )


def _slow(rng: np.random.Generator, count: int, memory_s: float) -> Numbers:
    """Return noise of unit scatter that keeps for about so long, one value a second."""
    keep = np.exp(-1.0 / memory_s)
    steps = rng.normal(0.0, np.sqrt(1.0 - keep**2), count)
    values = np.empty(count)
    values[0] = rng.normal()
    for index in range(1, count):
        values[index] = keep * values[index - 1] + steps[index]
    return values


def _track(rng: np.random.Generator, outing: Outing) -> Track:
    every = int(rng.integers(2, 12))
    count = outing.time_s.size
    east = outing.east_m + TRACK_SIGMA_M * _slow(rng, count, TRACK_MEMORY_S)
    north = outing.north_m + TRACK_SIGMA_M * _slow(rng, count, TRACK_MEMORY_S)
    return Track(time_s=outing.time_s[::every], east_m=east[::every], north_m=north[::every])


def _photos(
    rng: np.random.Generator, outings: list[Outing], noise_m: float
) -> tuple[Numbers, Numbers, Numbers]:
    """Return true times and stated places: half taken in halts, some not on any walk at all."""
    parts = []
    for _ in range(int(rng.integers(3, 16))):
        outing = outings[rng.integers(len(outings))]
        choice = np.flatnonzero(outing.stands) if rng.random() < 0.5 else np.arange(0)
        index = int(rng.choice(choice) if choice.size else rng.integers(outing.time_s.size))
        parts.append((outing.time_s[index], outing.east_m[index], outing.north_m[index]))
    if rng.random() < 0.3:
        for _ in range(int(rng.integers(1, 3))):
            away = rng.normal(0.0, 400.0, 2)
            parts.append((outings[0].time_s[0] - rng.uniform(1e3, 5e4), *away))
    time_s, east, north = np.array(parts, dtype=np.float64).T
    noise = noise_m * np.where(rng.random(time_s.size) < 0.05, 3.0, 1.0)
    return (
        time_s,
        east + noise * rng.standard_normal(time_s.size),
        north + noise * rng.standard_normal(time_s.size),
    )
