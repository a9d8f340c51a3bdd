"""Small tables and campaigns for the matching tests, written where the expectation is."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import pandas as pd

from reportgen.match.positions import TrackOfWalk
from reportgen.model.columns import RECORDS

START = dt.datetime(2026, 6, 9, 9, 0, tzinfo=dt.UTC)


def at(seconds: float) -> dt.datetime:
    """Return a time that many seconds after the start."""
    return START + dt.timedelta(seconds=seconds)


def records(*rows: dict[str, Any]) -> pd.DataFrame:
    """Return uplink records; `s` is the time in seconds after the start."""
    filled = [
        {
            "walk": "loop",
            "file": "log.csv",
            "line": number,
            "time_utc": at(row["s"]) if "s" in row else pd.NaT,
            "node": "a",
            "station_id": "one",
            "measured_at": "station",
            **{key: value for key, value in row.items() if key != "s"},
        }
        for number, row in enumerate(rows, start=2)
    ]
    table = pd.DataFrame(filled)
    table["time_utc"] = pd.to_datetime(table["time_utc"], utc=True)
    return RECORDS.of(table)


def straight_track(seconds: float, *, speed_mps: float = 1.0) -> TrackOfWalk:
    """Return a track northwards from 0, 0 with a point each second, 1e-5 deg per metre."""
    time_s = np.arange(seconds + 1, dtype=np.float64)
    return TrackOfWalk(
        time_s=time_s + START.timestamp(),
        latitude_deg=time_s * speed_mps * 1e-5,
        longitude_deg=np.zeros_like(time_s),
        height_msl_m=np.full_like(time_s, np.nan),
    )


EMPTY_TRACK = TrackOfWalk(
    time_s=np.array([]),
    latitude_deg=np.array([]),
    longitude_deg=np.array([]),
    height_msl_m=np.array([]),
)
