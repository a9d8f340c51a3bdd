"""How far figures of a walk move if the clock of its log was off against that of its track."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.geodesy import distance_m
from reportgen.compute.statistics import half_distance_m
from reportgen.match.join import Joined
from reportgen.match.positions import TrackOfWalk, epoch_s
from reportgen.model.station import Position
from reportgen.results.delivery import heard_flags, uncounted_reason
from reportgen.results.figure import Absent, Figure, Maker
from reportgen.results.walks import WalkResult

SHIFTS_S = (10.0, 30.0, 60.0)
"""Clock errors tried, either way: a watch set by eye, and a telephone that was not (our choice)."""

LEAST_SHARE = 0.1
"""Where fewer of a walk's places are taken from the track, its clock moves no figure by much (our
choice)."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Moved:
    """What a walk says with its clock shifted; NaN where it says nothing. [m]"""

    moved_m: float
    farthest_heard_m: float
    half_distance_m: float


def clock_figures(result: WalkResult, joined: Joined) -> Iterator[Figure]:
    """Yield how far places and distances move with the clock of the log.

    Only of walks on which a tenth of the places and more were taken from the track; those of a log
    with places of its own don't hang on its clock.
    """
    home, track = joined.home, joined.tracks.get(result.walk.key)
    places = int(result.frames["latitude_deg"].notna().sum())
    from_track = int(_from_track(result.frames).sum())
    if home.position is None or track is None or from_track < max(LEAST_SHARE * places, 1):
        return
    make = Maker(path=f"walk.{result.walk.key}.station.{home.key}")
    for name, count in (("places_from_track", from_track), ("places", places)):
        yield make.under("clock").figure(
            name, count, "frames", "places-from-track", inputs=("frames",)
        )
    frames = result.frames.assign(
        is_heard=heard_flags(
            result.frames, result.receptions[result.receptions["station"] == home.key]
        )
    )
    gap_s = joined.campaign.matching.longest_track_gap_s
    found = {
        shift_s: _shifted(frames, track, home.position, shift_s, gap_s)
        for size_s in (0.0, *SHIFTS_S)
        for shift_s in {size_s, -size_s}
    }
    for size_s in SHIFTS_S:
        moved_m = [found[shift_s].moved_m for shift_s in (-size_s, size_s)]
        within = [item for shift_s, item in found.items() if abs(shift_s) <= size_s]
        yield from _range(make.under("clock", f"{size_s:.0f}-s"), moved_m, within)


def _from_track(frames: pd.DataFrame) -> pd.Series:
    return frames["place_known"].isin(["track", "placed"])


def _shifted(
    frames: pd.DataFrame, track: TrackOfWalk, home: Position, shift_s: float, gap_s: float
) -> _Moved:
    place = frames[["latitude_deg", "longitude_deg"]].to_numpy(dtype=np.float64, copy=True)
    mine = _from_track(frames).to_numpy(dtype=np.bool_)
    at = track.at(epoch_s(frames.loc[mine, "time_utc"]) + shift_s, gap_s)
    before = place[mine].copy()
    place[mine] = np.column_stack([at.latitude_deg, at.longitude_deg])
    moved_m = distance_m(before[:, 0], before[:, 1], place[mine, 0], place[mine, 1])
    away_m = distance_m(home.latitude_deg, home.longitude_deg, place[:, 0], place[:, 1])
    heard = frames["is_heard"].to_numpy(dtype=np.bool_)
    return _Moved(
        moved_m=_middle(moved_m),
        farthest_heard_m=_largest(away_m[heard]),
        half_distance_m=_half(frames, away_m, heard),
    )


def _half(frames: pd.DataFrame, away_m: Floats, heard: NDArray[np.bool_]) -> float:
    if uncounted_reason(frames) is not None:
        return float("nan")
    known = (frames["is_counted"] & ~frames["is_doubtful"]).to_numpy(dtype=np.bool_)
    return float(half_distance_m(away_m[known], heard[known]).distance_m)


def _middle(values: Floats) -> float:
    known = values[np.isfinite(values)]
    return float(np.median(known)) if known.size else float("nan")


def _largest(values: Floats) -> float:
    known = values[np.isfinite(values)]
    return float(known.max()) if known.size else float("nan")


def _range(make: Maker, moved_m: list[float], tried: list[_Moved]) -> Iterator[Figure]:
    inputs = ("frames", "track_points")
    yield make.figure(
        "moved_m", _end(moved_m, max), "m", "clock-shift", absent=Absent.NO_TRACK, inputs=inputs
    )
    for name, absent, values in (
        ("farthest_heard", Absent.NOTHING_HEARD, [item.farthest_heard_m for item in tried]),
        ("half_distance", Absent.TOO_FEW, [item.half_distance_m for item in tried]),
    ):
        for end, of in (("least", min), ("most", max)):
            yield make.figure(
                f"{name}_{end}_m", _end(values, of), "m", "clock-shift", absent=absent,
                inputs=inputs,
            )  # fmt: skip


def _end(values: list[float], of: Callable[[list[float]], float]) -> float:
    known = [value for value in values if np.isfinite(value)]
    return of(known) if known else float("nan")
