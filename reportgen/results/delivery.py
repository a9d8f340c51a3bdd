"""Figures of frames sent against frames heard, on the ground that was walked."""

from __future__ import annotations

import numpy as np
import pandas as pd

from reportgen.compute.statistics import half_distance_m
from reportgen.results.figure import Absent, Figure, Maker, Prefix

SECTOR_HALF_WIDTH_DEG = 15.0
"""A farthest reception is "at least" unless a frame was missed beyond it within this angle."""

_HALF_REASONS = {
    "never below half": Absent.NEVER_BELOW_HALF,
    "below half from start": Absent.BELOW_HALF_FROM_START,
    "too few": Absent.TOO_FEW,
}


def heard_flags(frames: pd.DataFrame, receptions: pd.DataFrame) -> pd.Series:
    """Return for each frame whether it is among the receptions."""
    return frames["frame"].isin(receptions["frame"].dropna().unique())


def is_counted(frames: pd.DataFrame) -> bool:
    """Whether frames can be counted at all, so that silence can be told from not sending."""
    return bool(frames["counter"].notna().any())


def delivery_figures(make: Maker, frames: pd.DataFrame, receptions: pd.DataFrame) -> list[Figure]:
    """Return frames sent, delivery ratio and the distance at which half are heard.

    Parameters
    ----------
    make : Maker
    frames : DataFrame
        Frames of one walk, node or data rate.
    receptions : DataFrame
        Those of one own station.
    """
    counted = frames[frames["counter"].notna()]
    if counted.empty:
        reason = Absent.NO_COUNTER if len(frames) else Absent.NOTHING_SENT
        return [
            make.figure("frames_sent", None, "frames", "frames-sent", absent=reason),
            make.figure("frames_missed", None, "frames", "frames-sent", absent=reason),
            make.figure("delivery_ratio", None, "1", "delivery-ratio", absent=reason),
            make.figure("half_distance_m", None, "m", "half-distance", absent=reason),
        ]
    is_heard = heard_flags(counted, receptions)
    sent, heard = len(counted), int(is_heard.sum())
    inputs = (f"{make.path}.frames_heard", f"{make.path}.frames_sent")
    return [
        make.figure("frames_sent", sent, "frames", "frames-sent", inputs=("frames",)),
        make.figure("frames_missed", sent - heard, "frames", "frames-sent", inputs=("frames",)),
        make.figure(
            "delivery_ratio", heard / sent, "1", "delivery-ratio", count=sent, inputs=inputs
        ),
        _half_distance(make, counted, is_heard),
    ]


def _half_distance(make: Maker, frames: pd.DataFrame, is_heard: pd.Series) -> Figure:
    placed = frames["distance_m"].notna()
    if not placed.any():
        return make.figure("half_distance_m", None, "m", "half-distance", absent=Absent.NO_PLACE)
    found = half_distance_m(
        frames.loc[placed, "distance_m"].to_numpy(dtype=float),
        is_heard[placed].to_numpy(dtype=bool),
    )
    return make.figure(
        "half_distance_m",
        float(found.distance_m),
        "m",
        "half-distance",
        absent=_HALF_REASONS.get(found.reason, Absent.TOO_FEW),
        count=int(placed.sum()),
        inputs=("frames",),
    )


def farthest_prefix(frames: pd.DataFrame, receptions: pd.DataFrame) -> Prefix:
    """Return "at least" where nothing was missed beyond the farthest reception.

    Looks at frames of the own station's distance and bearing; a frame missed farther out, within
    `SECTOR_HALF_WIDTH_DEG` of the farthest reception's bearing, makes the reach a tested one.
    Where frames can't be counted nobody knows, so "at least" it is.
    """
    placed = receptions[receptions["distance_m"].notna() & receptions["bearing_deg"].notna()]
    if placed.empty:
        return ""
    farthest = placed.loc[placed["distance_m"].idxmax()]
    missed = frames[~heard_flags(frames, receptions)]
    turn_deg = (missed["bearing_deg"] - farthest["bearing_deg"] + 180.0) % 360.0 - 180.0
    beyond = (missed["distance_m"] > farthest["distance_m"]) & (
        np.abs(turn_deg) <= SECTOR_HALF_WIDTH_DEG
    )
    return "" if bool(beyond.any()) else "at least"


def farthest_walked_figure(
    make: Maker, distances_m: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    *, has_station_position: bool,
) -> Figure:  # fmt: skip
    """Return how far from the station anybody walked, by tracks and logs together."""
    known = distances_m[np.isfinite(distances_m)]
    return make.figure(
        "farthest_walked_m",
        float(known.max()) if known.size else None,
        "m",
        "farthest-walked",
        absent=Absent.NO_PLACE if has_station_position else Absent.NO_STATION_POSITION,
        count=int(known.size),
        inputs=("track_points", "receptions"),
    )
