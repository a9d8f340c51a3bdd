"""Logs whose own places and the track at the same times lie apart: one of the clocks is wrong."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.camera_clock import ClockEstimate, clock_ahead
from reportgen.compute.geodesy import distance_m
from reportgen.errors import Problem, Severity, Where
from reportgen.match.camera_clocks import metres_of, timed_path
from reportgen.match.positions import PLACE_COLUMNS, Ground, TrackOfWalk, epoch_s, track_of_walk
from reportgen.match.sequences import Sequence
from reportgen.model.campaign import Campaign
from reportgen.model.station import Position

FAR_M = 100.0
"""Far more than both receivers err together (our choice)."""

LEAST_ROWS = 5
SAMPLE_S = 120.0
"""The clock is estimated from places at least so far apart in time: nearer ones err alike."""
MOST_SAMPLES = 40

CODE = "match/places-off-track"
PROBLEM_CODES = ((CODE, "A log's own places are far from where the track was at those times."),)


def between_recorded(sequence: Sequence, ground: Ground, is_heard: NDArray[np.bool_]) -> Sequence:
    """Return a sequence whose unheard frames follow its recorded places where the track does not.

    Parameters
    ----------
    sequence : Sequence
    ground : Ground
    is_heard : ndarray of bool
        Which of its known frames somebody heard.

    Notes
    -----
    Where the recorded places of a log and the track lie apart, a place on the track is that of
    another moment; between two recorded places a frame is put on the straight line, by time,
    unless they are farther apart in time than the track may be silent.
    """
    recorded = sequence.known[sequence.known["place_known"] == "recorded"]
    if not _is_off(apart_m(recorded, ground.track, ground.longest_gap_s)):
        return sequence
    line = replace(ground, track=track_of_walk(recorded))
    known = sequence.known
    is_asked = known["place_known"].ne("recorded") & ~is_heard
    asked = _replaced(known[is_asked], line)
    return replace(
        sequence,
        known=pd.concat([part for part in (known[~is_asked], asked) if len(part)]).sort_index(),
        missing=_replaced(sequence.missing, line),
    )


def _replaced(frames: pd.DataFrame, line: Ground) -> pd.DataFrame:
    return line.placed(frames.assign(**dict.fromkeys(PLACE_COLUMNS, np.nan)))


def apart_m(
    recorded: pd.DataFrame, track: TrackOfWalk, longest_gap_s: float
) -> NDArray[np.float64]:
    """Return how far recorded places are from the track at their times; NaN where unknown. [m]"""
    if track.is_empty:
        return np.full(len(recorded), np.nan)
    found = track.at(epoch_s(recorded["time_utc"]), longest_gap_s)
    return distance_m(
        recorded["latitude_deg"].to_numpy(dtype=np.float64),
        recorded["longitude_deg"].to_numpy(dtype=np.float64),
        found.latitude_deg,
        found.longitude_deg,
    )


def _is_off(away_m: NDArray[np.float64]) -> bool:
    known_m = away_m[np.isfinite(away_m)]
    return known_m.size >= LEAST_ROWS and bool(np.median(known_m) > FAR_M)


def off_track_problems(
    campaign: Campaign, records: pd.DataFrame, tracks: Mapping[str, TrackOfWalk]
) -> Iterator[Problem]:
    """Yield a warning for each log whose places and the track of its walk lie apart."""
    placed = records[records["place_known"] == "recorded"]
    for (walk, file), part in placed.groupby(["walk", "file"], sort=False):
        track = tracks.get(str(walk))
        if track is None:
            continue
        away_m = apart_m(part, track, campaign.matching.longest_track_gap_s)
        if _is_off(away_m):
            yield Problem(
                where=Where(path=str(file), line=int(part["line"].min())),
                code=CODE,
                severity=Severity.WARNING,
                found=f"places that are {np.nanmedian(away_m):.0f} m (median) from where the track "
                "was at the same times",
                expected=f"the same places at the same times, to {FAR_M:g} m",
                do=_advice(_ahead(part, track, campaign)),
                count=int(np.isfinite(away_m).sum()),
            )


def _advice(found: ClockEstimate | None) -> str:
    if found is None or not found.is_clear:
        return "check the clock of the log (clock_ahead_s, time zone), and that the track is of it"
    return (
        f"state clock_ahead_s: {found.ahead_s:.0f} for this log, if the track's clock is right: "
        f"then the two agree ({found.low_s:.0f} to {found.high_s:.0f} s)"
    )


def _ahead(part: pd.DataFrame, track: TrackOfWalk, campaign: Campaign) -> ClockEstimate | None:
    """Return how far the clock of a log is ahead of the track's, as a camera's is found."""
    ordered = part[part["time_utc"].notna()].sort_values("time_utc", kind="stable")
    slot = (epoch_s(ordered["time_utc"]) // SAMPLE_S).astype(np.int64)
    spread = ordered[~pd.Series(slot, index=ordered.index).duplicated()]
    spread = spread.iloc[:: -(-len(spread) // MOST_SAMPLES)]
    origin = Position(
        latitude_deg=float(spread["latitude_deg"].iloc[0]),
        longitude_deg=float(spread["longitude_deg"].iloc[0]),
    )
    found = clock_ahead(
        epoch_s(spread["time_utc"]),
        *metres_of(spread["latitude_deg"], spread["longitude_deg"], origin),
        [timed_path(track, origin)],
        position_error_m=max(campaign.matching.position_error_m, 1.0),
        longest_gap_s=campaign.matching.longest_track_gap_s,
    )
    return found if isinstance(found, ClockEstimate) else None
