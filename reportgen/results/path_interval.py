"""The interval of a delivery ratio, for the path along which the frames were sent."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.delivery_interval import (
    DeliveryInterval,
    delivery_interval,
    design_effect,
)
from reportgen.compute.geodesy import distance_m
from reportgen.match.join import Joined

APART_M = 1e6
"""Between the paths of two walks or nodes: their frames are no neighbours."""

Floats = NDArray[np.float64]


def with_path_column(joined: Joined) -> Joined:
    """Return the campaign with `along_m` in its frames: how far along its walk each was sent.

    Frames of one node on one walk lie along one path, in the order of their times, whatever part
    of them is looked at later. NaN for frames without a place, and for those that don't count.
    """
    is_counted = joined.frames["is_counted"].to_numpy(dtype=np.bool_)
    along_m = np.full(len(joined.frames), np.nan)
    along_m[is_counted] = _along_path_m(joined.frames[is_counted])
    return replace(joined, frames=joined.frames.assign(along_m=along_m))


def _along_path_m(frames: pd.DataFrame) -> Floats:
    latitude_deg = frames["latitude_deg"].to_numpy(dtype=np.float64)
    longitude_deg = frames["longitude_deg"].to_numpy(dtype=np.float64)
    path = _path_of(frames)
    placed = np.flatnonzero(np.isfinite(latitude_deg) & (path >= 0))
    time = frames["time_utc"].to_numpy(dtype="datetime64[ns]")[placed]
    order = placed[np.lexsort((time, path[placed]))]
    from_here, to_there = order[:-1], order[1:]
    steps_m = np.full(from_here.shape, APART_M)
    is_step = path[from_here] == path[to_there]
    from_here, to_there = from_here[is_step], to_there[is_step]
    steps_m[is_step] = distance_m(
        latitude_deg[from_here], longitude_deg[from_here],
        latitude_deg[to_there], longitude_deg[to_there],
    )  # fmt: skip
    along_m = np.full(len(frames), np.nan)
    along_m[order] = np.append(0.0, np.cumsum(steps_m))[: order.size]
    return along_m


def _path_of(frames: pd.DataFrame) -> NDArray[np.int64]:
    """Return a number for the walk and node of each frame, as they come; -1 for none."""
    walk, _ = pd.factorize(frames["walk"])
    node, nodes = pd.factorize(frames["node"])
    both = np.where((walk < 0) | (node < 0), -1, walk * len(nodes) + node)
    return np.asarray(both, dtype=np.int64)


def ground_interval(is_heard: NDArray[np.bool_], along_m: Floats) -> DeliveryInterval:
    """Return the delivery ratio of counted frames with its interval, for the path walked."""
    placed = np.isfinite(along_m)
    effect = design_effect(is_heard[placed], along_m[placed])
    return delivery_interval(int(is_heard.sum()), len(is_heard), effect)
