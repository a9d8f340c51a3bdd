"""Ground walked with too few frames to tell heard from lost: where to walk again."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from reportgen.match.join import Joined
from reportgen.results.cells import ALL_WALKS
from reportgen.results.figure import Absent, Figure, Maker

THIN_WIDTH_RATIO = 0.5
"""A square is thin where the interval of its delivery is wider than this (our choice)."""

DIRECTIONS = 16


def thin_figures(joined: Joined, cells: pd.DataFrame) -> Iterator[Figure]:
    """Yield how many squares are thin, and where most of them lie.

    Of all walks together, as the first own station heard them.
    """
    mine = cells[(cells["station"] == joined.home.key) & cells["is_own"]]
    together = mine[mine["walk"] == ALL_WALKS]
    squares = together if len(together) else mine
    width = squares["delivery_high_ratio"] - squares["delivery_low_ratio"]
    thin = squares[(width > THIN_WIDTH_RATIO) & (squares["frames_sent"] > 0)]
    make = Maker(path="campaign.thin_ground")
    known = len(thin) if len(squares) else None
    yield make.figure(
        "squares", known, "cells", "thin-ground", absent=Absent.NOTHING_SENT, count=len(squares),
        inputs=("frames",),
    )  # fmt: skip
    bearing_deg, away_m = _middles(thin)
    towards = _fullest(bearing_deg)
    inside = np.round(bearing_deg * DIRECTIONS / 360.0) % DIRECTIONS == towards
    has_any = bool(inside.any())
    for name, value, unit in (
        ("bearing_deg", towards * 360.0 / DIRECTIONS if has_any else None, "deg"),
        ("nearest_m", float(away_m[inside].min()) if has_any else None, "m"),
        ("farthest_m", float(away_m[inside].max()) if has_any else None, "m"),
    ):
        yield make.figure(
            name, value, unit, "thin-ground", absent=Absent.NONE_THERE, count=int(inside.sum()),
            inputs=("frames",),
        )  # fmt: skip


def _middles(squares: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """Return bearing and distance of the middles of squares from the station."""
    half_m = squares["cell_m"].to_numpy(dtype=np.float64) / 2.0
    east_m = squares["east_m"].to_numpy(dtype=np.float64) + half_m
    north_m = squares["north_m"].to_numpy(dtype=np.float64) + half_m
    return np.degrees(np.arctan2(east_m, north_m)) % 360.0, np.hypot(east_m, north_m)


def _fullest(bearing_deg: np.ndarray) -> int:
    """Return the direction in which most squares lie, the first clockwise from north of equals."""
    number = (np.round(bearing_deg * DIRECTIONS / 360.0) % DIRECTIONS).astype(np.int64)
    return int(np.argmax(np.bincount(number, minlength=DIRECTIONS)))
