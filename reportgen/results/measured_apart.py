"""What differed between the walks of a comparison besides what was set, as measured."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What differs and what does not, by keys of the wording; what is not known is in neither."""

    apart: tuple[str, ...] = ()
    alike: tuple[str, ...] = ()


def measured_apart(
    first: Sequence[WalkResult], second: Sequence[WalkResult], zone: str, home: Position
) -> Measured:
    """Return what differs and what does not between the walks of two sides."""
    frames = tuple(pd.concat([walk.frames for walk in side]) for side in (first, second))
    rates = rates_apart(*frames)
    hours = _hours_apart(_hour(first, zone), _hour(second, zone))
    shared = _shared_ground(_ground(first, home), _ground(second, home))
    found: tuple[tuple[str, bool | None], ...] = (
        ("pace", _is_ratio_apart(first, second, lambda walk: pace_mps(walk)[0])),
        ("density", _is_ratio_apart(first, second, lambda walk: frame_spacing_m(walk)[0])),
        ("hour", None if np.isnan(hours) else hours > MOST_HOURS),
        ("rates", None if rates is None else rates > MOST_RATE_SHARE),
        ("ground", None if shared is None else shared < LEAST_SHARED_GROUND),
    )
    return Measured(
        apart=tuple(name for name, is_apart in found if is_apart),
        alike=tuple(name for name, is_apart in found if is_apart is False),
    )


def _is_ratio_apart(
    first: Iterable[WalkResult],
    second: Iterable[WalkResult],
    of: Callable[[WalkResult], float | None],
) -> bool | None:
    """Return whether middles differ by more than the ratio; None where one is not known."""
    values = [[v for walk in side if (v := of(walk))] for side in (first, second)]
    if not all(values):
        return None
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


def rates_apart(first: pd.DataFrame, second: pd.DataFrame) -> float | None:
    """Return the share of frames that would have to change their data rate, to fare alike.

    None where no rate is known of one side; the frames are those of `model.columns.FRAMES`.
    """
    one, other = (_rates(frames) for frames in (first, second))
    if one.empty or other.empty:
        return None
    return float(one.sub(other, fill_value=0.0).abs().sum() / 2.0)


def _rates(frames: pd.DataFrame) -> pd.Series:
    """Return the share of each data rate, by its name or else its spreading factor."""
    factor = "sf" + frames["spreading_factor"].astype("Int64").astype("string")
    names = frames["data_rate"].where(frames["data_rate"].ne(""), factor).dropna()
    return names.map(slug).value_counts(normalize=True)


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


def _shared_ground(a: set[tuple[float, float]], b: set[tuple[float, float]]) -> float | None:
    """Return the share of all ground that both covered; None where nothing is known of one."""
    return len(a & b) / len(a | b) if a and b else None
