"""What differed between the walks of a comparison besides what was set, as measured."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from reportgen.compute.geodesy import local_metres
from reportgen.compute.ground_grid import cell_index
from reportgen.model.station import Position
from reportgen.results.airtime import frame_spacing_m, pace_mps
from reportgen.results.figure import slug
from reportgen.results.walks import WalkResult

MOST_RATIO = 1.2
MOST_HOURS = 2.0
MOST_RATE_SHARE = 0.1
LEAST_SHARED_GROUND = 0.8
"""From these on a difference is named (our choice): a fifth in pace or in frames per length, two
hours in the time of day, a tenth of the frames at other data rates, a fifth of the ground."""

DAY_HOURS = 24.0


def measured_apart(
    first: Sequence[WalkResult], second: Sequence[WalkResult], zone: str, home: Position
) -> tuple[str, ...]:
    """Return what differs between the walks of two sides: keys of the wording."""
    found = (
        ("pace", _is_ratio_apart(first, second, lambda walk: pace_mps(walk)[0])),
        ("density", _is_ratio_apart(first, second, lambda walk: frame_spacing_m(walk)[0])),
        ("hour", _hours_apart(_hour(first, zone), _hour(second, zone)) > MOST_HOURS),
        ("rates", _rates_apart(first, second) > MOST_RATE_SHARE),
        ("ground", _shared_ground(_ground(first, home), _ground(second, home))
         < LEAST_SHARED_GROUND),
    )  # fmt: skip
    return tuple(name for name, is_apart in found if is_apart)


def _is_ratio_apart(
    first: Iterable[WalkResult],
    second: Iterable[WalkResult],
    of: Callable[[WalkResult], float | None],
) -> bool:
    values = [[v for walk in side if (v := of(walk))] for side in (first, second)]
    if not all(values):
        return False
    a, b = (float(np.median(side)) for side in values)
    return max(a, b) > MOST_RATIO * min(a, b)


def _hour(walks: Iterable[WalkResult], zone: str) -> float:
    """Return the middle time of day at which frames were sent, NaN where no time is known."""
    times = pd.concat([walk.frames["time_utc"] for walk in walks]).dropna()
    if times.empty:
        return float("nan")
    local = times.dt.tz_convert(ZoneInfo(zone))
    turn = 2j * np.pi * (local.dt.hour + local.dt.minute / 60.0) / DAY_HOURS
    return float(np.angle(np.exp(turn.to_numpy()).mean()) * DAY_HOURS / (2.0 * np.pi))


def _hours_apart(a: float, b: float) -> float:
    apart = abs(a - b) % DAY_HOURS
    return min(apart, DAY_HOURS - apart)


def _rates_apart(first: Iterable[WalkResult], second: Iterable[WalkResult]) -> float:
    """Return the share of frames that would have to change their data rate."""
    shares = [
        pd.concat([walk.frames["data_rate"] for walk in side])
        .map(slug)
        .value_counts(normalize=True)
        for side in (first, second)
    ]
    return float(shares[0].sub(shares[1], fill_value=0.0).abs().sum() / 2.0)


def _ground(walks: Iterable[WalkResult], home: Position) -> set[tuple[float, float]]:
    return {cell for walk in walks for cell in _cells(walk, home)}


def _cells(walk: WalkResult, home: Position) -> Iterator[tuple[float, float]]:
    for table in (walk.track, walk.frames):
        placed = table[table["latitude_deg"].notna()]
        east_m, north_m = local_metres(
            placed["latitude_deg"].to_numpy(dtype=np.float64),
            placed["longitude_deg"].to_numpy(dtype=np.float64),
            home.latitude_deg,
            home.longitude_deg,
        )
        for column, row in np.unique(cell_index(east_m, north_m), axis=0):
            yield float(column), float(row)


def _shared_ground(a: set[tuple[float, float]], b: set[tuple[float, float]]) -> float:
    """Return the share of all ground that both covered; 1 where nothing is known."""
    return len(a & b) / len(a | b) if a | b else 1.0
