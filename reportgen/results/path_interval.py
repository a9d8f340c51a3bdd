"""The interval of a delivery ratio, for the path along which the frames were sent."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.delivery_interval import (
    DeliveryInterval,
    delivery_interval,
    design_effect,
)
from reportgen.compute.geodesy import distance_m

APART_M = 1e6
"""Between the paths of two walks or nodes: their frames are no neighbours."""

Floats = NDArray[np.float64]


def along_path_m(frames: pd.DataFrame) -> Floats:
    """Return how far along the walk each frame was sent; NaN where it has no place."""
    along = pd.Series(np.nan, index=frames.index, dtype=np.float64)
    start_m = 0.0
    for _, rows in frames.groupby(["walk", "node"], sort=False):
        placed = rows[rows["latitude_deg"].notna()].sort_values("time_utc", kind="stable")
        if placed.empty:
            continue
        latitude = placed["latitude_deg"].to_numpy(dtype=np.float64)
        longitude = placed["longitude_deg"].to_numpy(dtype=np.float64)
        steps_m = distance_m(latitude[:-1], longitude[:-1], latitude[1:], longitude[1:])
        along[placed.index] = start_m + np.append(0.0, np.cumsum(steps_m))
        start_m += float(np.sum(steps_m)) + APART_M
    return np.asarray(along, dtype=np.float64)


def ground_interval(frames: pd.DataFrame, is_heard: pd.Series) -> DeliveryInterval:
    """Return the delivery ratio of counted frames with its interval, for the path walked."""
    path_m = along_path_m(frames)
    placed = np.isfinite(path_m)
    heard = is_heard.to_numpy(dtype=np.bool_)
    effect = design_effect(heard[placed], path_m[placed], np.zeros(int(placed.sum()), dtype=int))
    return delivery_interval(int(heard.sum()), len(frames), effect)
