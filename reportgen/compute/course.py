"""Which way somebody walked, and when they stood still."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, positive
from reportgen.compute.geodesy import distance_and_bearing
from reportgen.compute.track import interpolated_position

STANDING_MPS = 0.3
"""Slower than this it is the receiver's own wander that moves; common practice. [m/s]"""


def course_deg(
    time_s: ArrayLike,
    track_time_s: ArrayLike,
    track_latitude_deg: ArrayLike,
    track_longitude_deg: ArrayLike,
    *,
    over_s: float = 20.0,
    longest_gap_s: float = 60.0,
) -> NDArray[np.float64]:
    """Direction in which a walker moved at given times, clockwise from true north.

    Parameters
    ----------
    time_s : array_like, shape (m,)
        [s]
    track_time_s, track_latitude_deg, track_longitude_deg : array_like, shape (n,)
        [s, deg]
    over_s : float
        Bearing of the step from half of this before to half after. [s], > 0
    longest_gap_s : float
        As in `track.interpolated_position`. [s]

    Returns
    -------
    ndarray, shape (m,)
        NaN outside the track, across longer gaps, and where the walker moved slower than
        `STANDING_MPS`. [deg]

    Raises
    ------
    DomainError
        If `over_s` is not positive or the track's arrays differ in length.
    """
    step_m, bearing = _step(
        time_s, track_time_s, track_latitude_deg, track_longitude_deg, over_s, longest_gap_s
    )
    return floats(np.where(step_m >= STANDING_MPS * over_s, bearing, np.nan))


def is_standing(
    time_s: ArrayLike,
    track_time_s: ArrayLike,
    track_latitude_deg: ArrayLike,
    track_longitude_deg: ArrayLike,
    *,
    over_s: float = 30.0,
    longest_gap_s: float = 60.0,
) -> NDArray[np.bool_]:
    """Tell the times at which a walker stood still: slower than `STANDING_MPS` over a while.

    Parameters as in `course_deg`; False where nothing is known.

    Raises
    ------
    DomainError
        As `course_deg`.
    """
    step_m, _ = _step(
        time_s, track_time_s, track_latitude_deg, track_longitude_deg, over_s, longest_gap_s
    )
    return np.asarray(step_m < STANDING_MPS * over_s, dtype=np.bool_)


def recorded_times_s(
    track_time_s: ArrayLike, *, step_s: float, longest_gap_s: float = 60.0
) -> NDArray[np.float64]:
    """Return times at even steps along a track, those in gaps of its recording left out.

    Parameters
    ----------
    track_time_s : array_like, shape (n,)
        NaN where not known. [s]
    step_s : float
        [s], > 0
    longest_gap_s : float
        As in `track.interpolated_position`. [s]

    Returns
    -------
    ndarray, shape (m,)
        [s], ascending, before the track's end

    Raises
    ------
    DomainError
        If `step_s` is not positive.
    """
    step = float(positive("step_s", step_s))
    times = floats(track_time_s)
    times = np.unique(times[np.isfinite(times)])
    if times.size < 2:
        return np.empty(0)
    # One time of another year would otherwise be decades of steps.
    gaps = np.flatnonzero(np.diff(times) > longest_gap_s)
    starts = np.ceil((times[np.r_[0, gaps + 1]] - times[0]) / step)
    stops = np.floor((times[np.r_[gaps, times.size - 1]] - times[0]) / step)
    counts = [np.arange(start, stop + 1) for start, stop in zip(starts, stops, strict=True)]
    sampled = times[0] + step * np.concatenate(counts)
    return floats(sampled[sampled < times[-1]])


def _step(
    time_s: ArrayLike,
    track_time_s: ArrayLike,
    latitude_deg: ArrayLike,
    longitude_deg: ArrayLike,
    over_s: float,
    longest_gap_s: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return length and bearing of the step around each time."""
    half_s = float(positive("over_s", over_s)) / 2.0
    times = floats(time_s)
    heights = np.zeros_like(floats(track_time_s))
    before, after = (
        interpolated_position(
            times + shift_s, track_time_s, latitude_deg, longitude_deg, heights,
            longest_gap_s=longest_gap_s,
        )
        for shift_s in (-half_s, half_s)
    )  # fmt: skip
    line = (before.latitude_deg, before.longitude_deg, after.latitude_deg, after.longitude_deg)
    return distance_and_bearing(*line)
