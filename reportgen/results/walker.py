"""Figures of what the walker did: stops, and which way the body stood to the station."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from reportgen.compute.course import course_deg, is_standing, recorded_times_s
from reportgen.compute.photo_view import relative_bearing_deg
from reportgen.match.join import Joined
from reportgen.match.positions import epoch_s
from reportgen.results.figure import Absent, Figure, Maker
from reportgen.results.walks import WalkResult

STEP_S = 10.0
WAYS = (("towards", 0.0, 60.0), ("beside", 60.0, 120.0), ("away", 120.0, 180.0))
"""Angle between course and station: the body is behind the node, beside it, or in the way, for
one who carries it in front."""

LEAST_FRAMES = 10


def walker_figures(result: WalkResult, joined: Joined) -> Iterator[Figure]:
    """Yield time stood still, and frames and loss by the angle between course and station."""
    make = Maker(path=f"walk.{result.walk.key}")
    yield _standing(make, result, joined)
    yield _position_error(make, result)
    own = result.receptions[result.receptions["station"] == joined.home.key]
    angle_deg = _angle_deg(result, own, joined)
    for name, low, high in WAYS:
        inside = (angle_deg >= low) & (angle_deg <= high if high == 180.0 else angle_deg < high)
        yield from _way(make.under("course", name), own[inside])


def _standing(make: Maker, result: WalkResult, joined: Joined) -> Figure:
    track = joined.tracks.get(result.walk.key)
    stood_s = None
    if track is not None and track.time_s.size > 1:
        times = recorded_times_s(track.time_s, step_s=STEP_S)
        still = is_standing(times, track.time_s, track.latitude_deg, track.longitude_deg)
        stood_s = float(still.sum() * STEP_S)
    return make.figure(
        "standing_s", stood_s, "s", "standing", absent=Absent.NO_TRACK, inputs=("track_points",)
    )


def _position_error(make: Maker, result: WalkResult) -> Figure:
    """Return the median error of places as the devices themselves put it."""
    recorded = result.receptions[result.receptions["place_known"] == "recorded"]
    known = recorded.drop_duplicates("frame")["position_error_m"].dropna()
    return make.figure(
        "position_error_m_median", float(known.median()) if len(known) else None, "m",
        "position-error", absent=Absent.NOT_LOGGED, count=len(known), inputs=("receptions",),
    )  # fmt: skip


def _angle_deg(result: WalkResult, own: pd.DataFrame, joined: Joined) -> np.ndarray:
    """Return the angle between the walker's course and the way to the station, 0 to 180."""
    track = joined.tracks.get(result.walk.key)
    if track is None or own.empty:
        return np.full(len(own), np.nan)
    course = course_deg(
        epoch_s(own["time_utc"]), track.time_s, track.latitude_deg, track.longitude_deg
    )
    # The table's bearing is from the station; the walker looks the other way along the line.
    to_station_deg = (own["bearing_deg"].to_numpy(dtype=np.float64) + 180.0) % 360.0
    return np.abs(relative_bearing_deg(course, to_station_deg))


def _way(make: Maker, rows: pd.DataFrame) -> Iterator[Figure]:
    count = int(rows["frame"].nunique())
    yield make.figure("frames_heard", count, "frames", "course-angle", inputs=("receptions",))
    excess = rows.loc[~rows["is_too_strong"], "excess_loss_db"].dropna()
    enough = len(excess) >= LEAST_FRAMES
    yield make.figure(
        "excess_loss_db_median", float(excess.median()) if enough else None, "dB",
        "course-angle", absent=Absent.TOO_FEW_THIS_WAY, count=len(excess),
        inputs=("receptions", "track_points"),
    )  # fmt: skip
