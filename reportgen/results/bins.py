"""Frames by steps of distance or time: the numbers behind a chart, for who can't see it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.match.positions import epoch_s

STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 250, 500, 1000, 2000, 5000, 10_000)
TIME_STEPS_S = (60, 120, 300, 600, 900, 1800, 3600, 7200, 21_600, 86_400)
MOST_BINS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Bin:
    """Frames from `low` up to but not including `high`, in metres or seconds since 1970."""

    low: float
    high: float
    heard: int
    missed: int
    median_rssi_dbm: float | None


def distance_bins(frames: pd.DataFrame, receptions: pd.DataFrame) -> tuple[Bin, ...]:
    """Return frames by distance to the own station; `receptions` are that station's."""
    return _bins(
        frames["distance_m"].to_numpy(dtype=float),
        frames,
        receptions,
        _step(frames["distance_m"].max(), 0.0, STEPS),
    )


def time_bins(frames: pd.DataFrame, receptions: pd.DataFrame) -> tuple[Bin, ...]:
    """Return frames by time; `receptions` are the own station's."""
    times = epoch_s(frames["time_utc"])
    if not np.isfinite(times).any():
        return ()
    return _bins(times, frames, receptions, _step(np.nanmax(times), np.nanmin(times), TIME_STEPS_S))


def _step(high: float, low: float, steps: tuple[int, ...]) -> float:
    """Return the finest step that needs no more than `MOST_BINS`."""
    if not np.isfinite(high):
        return float(steps[-1])
    fitting = [step for step in steps if (high - low) / step <= MOST_BINS]
    return float(fitting[0] if fitting else steps[-1])


def _bins(
    places: NDArray[np.float64], frames: pd.DataFrame, receptions: pd.DataFrame, step: float
) -> tuple[Bin, ...]:
    level_of = receptions.drop_duplicates("frame").set_index("frame")["rssi_dbm"]
    is_heard = frames["frame"].isin(level_of.index).to_numpy(dtype=bool)
    levels = frames["frame"].map(level_of).to_numpy(dtype=float)
    is_missed = ~is_heard & ~frames["is_doubtful"].to_numpy(dtype=bool)
    numbers = np.floor(places / step)
    bins = []
    for number in np.unique(numbers[np.isfinite(numbers)]):
        inside = numbers == number
        heard = levels[inside & is_heard]
        known = heard[np.isfinite(heard)]
        bins.append(
            Bin(
                low=float(number * step),
                high=float((number + 1) * step),
                heard=int((inside & is_heard).sum()),
                missed=int((inside & is_missed).sum()),
                median_rssi_dbm=float(np.median(known)) if known.size else None,
            )
        )
    return tuple(bins)
