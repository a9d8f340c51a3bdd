"""Where a record or frame was: from the log itself, or from the track at that time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.track import InterpolatedPosition, interpolated_position

PLACE_COLUMNS = ["latitude_deg", "longitude_deg", "height_msl_m"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackOfWalk:
    """The timed points of one walk, as arrays in file order."""

    time_s: NDArray[np.float64]
    latitude_deg: NDArray[np.float64]
    longitude_deg: NDArray[np.float64]
    height_msl_m: NDArray[np.float64]

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to interpolate on."""
        return self.time_s.size == 0

    def spans(self, time_s: float) -> bool:
        """Whether a time lies between the first point and the last: beyond them nothing is said."""
        return not self.is_empty and bool(self.time_s.min() <= time_s <= self.time_s.max())

    def at(self, time_s: NDArray[np.float64], longest_gap_s: float) -> InterpolatedPosition:
        """Return positions at `time_s`, NaN outside the track and across longer gaps."""
        return interpolated_position(
            time_s,
            self.time_s,
            self.latitude_deg,
            self.longitude_deg,
            self.height_msl_m,
            longest_gap_s=longest_gap_s,
        )


def epoch_s(times: pd.Series) -> NDArray[np.float64]:
    """Return times as seconds since 1970-01-01 UTC, NaN where unknown."""
    since = (times - pd.Timestamp(0, tz="UTC")) / pd.Timedelta(seconds=1)
    return np.asarray(since, dtype=np.float64)


def times_of(seconds: NDArray[np.float64]) -> pd.Series:
    """Return seconds since 1970-01-01 UTC as times, NaT where unknown."""
    nanoseconds = pd.Series(np.round(seconds * 1e6)).astype("Float64")
    return pd.to_datetime(nanoseconds, unit="us", utc=True).dt.as_unit("ns")


def track_of_walk(points: pd.DataFrame) -> TrackOfWalk:
    """Return the timed and placed rows of a table as one track."""
    usable = points[points["time_utc"].notna() & points["latitude_deg"].notna()]
    return TrackOfWalk(
        time_s=epoch_s(usable["time_utc"]),
        latitude_deg=usable["latitude_deg"].to_numpy(dtype=np.float64),
        longitude_deg=usable["longitude_deg"].to_numpy(dtype=np.float64),
        height_msl_m=usable["height_msl_m"].to_numpy(dtype=np.float64),
    )


def placed(
    table: pd.DataFrame, track: TrackOfWalk, *, longest_gap_s: float, word: str
) -> pd.DataFrame:
    """Return `table` with the places it lacks taken from the track.

    Parameters
    ----------
    table : DataFrame
        With `time_utc`, the place columns and optionally `place_known`.
    track : TrackOfWalk
    longest_gap_s : float
        No place is worked out across a longer gap. [s]
    word : str
        What `place_known` says of rows placed here: "track" or "placed".

    Returns
    -------
    DataFrame
        A new table; `place_known` is "recorded", `word` or "" (unknown).
    """
    result = table.copy()
    lacks = result["latitude_deg"].isna().to_numpy()
    known = np.where(lacks, "", "recorded").astype(object)
    if not track.is_empty and lacks.any():
        found = track.at(epoch_s(result.loc[lacks, "time_utc"]), longest_gap_s)
        for name, values in zip(
            PLACE_COLUMNS, (found.latitude_deg, found.longitude_deg, found.height_m), strict=True
        ):
            result.loc[lacks, name] = values
        known[lacks & result["latitude_deg"].notna().to_numpy()] = word
    result["place_known"] = pd.Series(known, index=result.index, dtype="str")
    return result


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Where frames that nobody recorded are placed by time, and across how long a gap. [s]"""

    track: TrackOfWalk
    longest_gap_s: float

    def placed(self, frames: pd.DataFrame) -> pd.DataFrame:
        """Return frames with the places they lack worked out."""
        return placed(frames, self.track, longest_gap_s=self.longest_gap_s, word="placed")
