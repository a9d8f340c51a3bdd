"""How far a station was heard in each direction, and how far that was tested at all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.delivery_interval import delivery_interval
from reportgen.compute.domain import floats, same_length

Verdict = Literal[
    "not walked",
    "too few frames",
    "at least",
    "missed there",
    "walked on",
    "lost beyond",
    "blind from",
]

SECTORS = 12

NEAR_M = 50.0
"""Ground nearer than this is the station's own yard, whatever the bearing (our choice)."""

SAME_GROUND_M = 25.0
"""A step no farther than this is the same ground: twice the spread of a receiver under trees and
between houses (common practice)."""

LEAST_FRAMES = 5
MOST_PER_PIECE = 2
"""So many frames count of each square of `SAME_GROUND_M`: a pause is no survey (our choice)."""

_PLACINGS = ((0.0, 0.0), (0.5, 0.0), (0.0, 0.5), (0.5, 0.5))
"""Where the corner of the squares lies, in squares: over a corner one bench looks like four."""

BLIND_RATIO = 0.1
"""From where the upper limit of delivery lies below this, a station is called blind."""

BEGINNING_M = 200.0
LEAST_BEGINNING = 3
"""Blindness begins where so many frames within this distance were sent and none heard (ours)."""

LOST_RATIO = 0.5
"""Lost is said where the upper limit of delivery farther out lies below this; and the farthest
frame heard is no open end where that of the frames sent as far out lies below it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SectorReach:
    """One direction. Distances are NaN where there is none. [m]

    Attributes
    ----------
    middle_deg : float
        Bearing of its middle from the station.
    sent, heard : int
        Frames with a place in it, beyond `NEAR_M`.
    verdict : str
        "not walked"; "too few frames"; heard "at least" to `verdict_m` and not walked farther;
        "walked on" from there, with too few frames to say; in place of these two "missed there"
        where most frames sent as far out were missed; "lost beyond" it; "blind from" it on, which
        a single frame heard farther out does not change.
    there_sent, there_heard : int
        Frames sent within `SAME_GROUND_M` of the farthest distance heard, and heard of them.
    """

    middle_deg: float
    sent: int
    heard: int
    farthest_heard_m: float
    farthest_walked_m: float
    verdict: Verdict
    verdict_m: float
    there_sent: int
    there_heard: int


def reach_sectors(
    *,
    frame_bearing_deg: ArrayLike,
    frame_distance_m: ArrayLike,
    is_heard: ArrayLike,
    walked_bearing_deg: ArrayLike,
    walked_distance_m: ArrayLike,
    sectors: int = SECTORS,
) -> tuple[SectorReach, ...]:
    """Return the reach in each direction, the first sector around north.

    Parameters
    ----------
    frame_bearing_deg, frame_distance_m, is_heard : array_like, shape (n,)
        Of the frames known to have been sent; those without place are left out. [deg, m]
    walked_bearing_deg, walked_distance_m : array_like, shape (m,)
        Of every place that was walked. [deg, m]
    sectors : int
        How many.

    Raises
    ------
    DomainError
        If arrays that belong together differ in length.
    """
    bearing, away_m = floats(frame_bearing_deg), floats(frame_distance_m)
    heard = np.asarray(is_heard, dtype=np.bool_)
    walked_deg, walked_m = floats(walked_bearing_deg), floats(walked_distance_m)
    same_length(frame_bearing_deg=bearing, frame_distance_m=away_m, is_heard=heard)
    same_length(walked_bearing_deg=walked_deg, walked_distance_m=walked_m)
    of_frame, of_place = sector_of(bearing, sectors), sector_of(walked_deg, sectors)
    is_out, is_walked = away_m > NEAR_M, walked_m > NEAR_M
    squares = _squares(bearing, away_m)
    found = []
    for number in range(sectors):
        mine, theirs = (of_frame == number) & is_out, (of_place == number) & is_walked
        frames = _Frames(away_m=away_m[mine], is_heard=heard[mine], squares=squares[:, mine])
        walked = np.append(walked_m[theirs], away_m[mine])
        found.append(_reach(number * 360.0 / sectors, frames, walked))
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frames:
    """Frames of one direction; `squares` has the square of each in every placing of the grid."""

    away_m: NDArray[np.float64]
    is_heard: NDArray[np.bool_]
    squares: NDArray[np.int64]

    def where(self, chosen: NDArray[np.bool_]) -> _Frames:
        return _Frames(
            away_m=self.away_m[chosen],
            is_heard=self.is_heard[chosen],
            squares=self.squares[:, chosen],
        )


def _squares(bearing_deg: NDArray[np.float64], away_m: NDArray[np.float64]) -> NDArray[np.int64]:
    """Return a number for the square of ground of each frame, shape (placings, n)."""
    turn = np.deg2rad(np.nan_to_num(bearing_deg))
    size = np.nan_to_num(away_m) / SAME_GROUND_M
    east, north = size * np.sin(turn), size * np.cos(turn)
    rows_apart = 2**32
    return np.array(
        [np.floor(east + e) * rows_apart + np.floor(north + n) for e, n in _PLACINGS],
        dtype=np.int64,
    )


def sector_of(bearing_deg: ArrayLike, sectors: int = SECTORS) -> NDArray[np.int64]:
    """Return the number of the sector of each bearing, 0 around north; -1 where unknown.

    Parameters
    ----------
    bearing_deg : array_like, shape (n,)
        From the station, clockwise from true north. [deg]
    sectors : int
        How many.
    """
    number = np.round(floats(bearing_deg) / (360.0 / sectors)) % sectors
    return np.where(np.isnan(number), -1, number).astype(np.int64)


def _reach(middle_deg: float, frames: _Frames, walked_m: NDArray[np.float64]) -> SectorReach:
    heard_m = frames.away_m[frames.is_heard]
    verdict, at_m = _verdict(frames, walked_m)
    there = _there(frames)
    return SectorReach(
        middle_deg=middle_deg,
        sent=int(frames.away_m.size),
        heard=int(heard_m.size),
        farthest_heard_m=float(np.max(heard_m)) if heard_m.size else np.nan,
        farthest_walked_m=float(np.max(walked_m)) if walked_m.size else np.nan,
        verdict=verdict,
        verdict_m=at_m,
        there_sent=int(there.is_heard.size),
        there_heard=int(there.is_heard.sum()),
    )


def _there(frames: _Frames) -> _Frames:
    """Return the frames sent as far out as the farthest one heard."""
    farthest_m = np.max(frames.away_m[frames.is_heard], initial=-np.inf)
    return frames.where(np.abs(frames.away_m - farthest_m) <= SAME_GROUND_M)


def is_mostly_missed(heard: int, sent: int) -> bool:
    """Tell whether of so many frames from about one distance most were missed, beyond chance.

    Of these frames, wherever they were sent: a hundred from one bench speak of that bench.
    """
    return sent >= LEAST_FRAMES and delivery_interval(heard, sent).high < LOST_RATIO


def _verdict(frames: _Frames, walked_m: NDArray[np.float64]) -> tuple[Verdict, float]:
    if not walked_m.size:
        return "not walked", np.nan
    blind_m = _blind_from_m(frames)
    if np.isfinite(blind_m):
        return "blind from", blind_m
    if frames.away_m.size < LEAST_FRAMES or not frames.is_heard.any():
        return "too few frames", np.nan
    farthest_m = float(np.max(frames.away_m[frames.is_heard]))
    if _upper_limit(frames.where(frames.away_m > farthest_m + SAME_GROUND_M)) < LOST_RATIO:
        return "lost beyond", farthest_m
    return _open_verdict(frames, float(np.max(walked_m)) - farthest_m), farthest_m


def _open_verdict(frames: _Frames, walked_on_m: float) -> Verdict:
    """Return what is said of a direction whose ground farther out tells nothing."""
    there = _there(frames).is_heard
    if is_mostly_missed(int(there.sum()), there.size):
        return "missed there"
    return "walked on" if walked_on_m > 2.0 * SAME_GROUND_M else "at least"


def _upper_limit(frames: _Frames) -> float:
    """Return the upper limit of delivery; frames from one piece of ground count as two at most.

    Here frames are taken as independent: nothing is gained from how alike neighbours fare.
    """
    sent = frames.away_m.size
    if sent < LEAST_FRAMES:
        return 1.0
    worth = min(_worth(placing) for placing in frames.squares)
    if worth < LEAST_FRAMES:
        return 1.0
    return delivery_interval(int(frames.is_heard.sum()), sent, sent / worth).high


def _worth(squares: NDArray[np.int64]) -> int:
    """Return how many frames count, of frames in these squares."""
    _, count = np.unique(squares, return_counts=True)
    return int(np.minimum(count, MOST_PER_PIECE).sum())


def _blind_from_m(frames: _Frames) -> float:
    """Return the nearest missed frame from which on next to nothing is heard, NaN if none."""
    order = np.argsort(frames.away_m, kind="stable")
    away_m, heard = frames.away_m[order], frames.is_heard[order]
    heard_before = np.append(0, np.cumsum(heard))
    starts_m = np.unique(away_m[~heard & np.isfinite(away_m)])
    first = np.searchsorted(away_m, starts_m, side="left")
    last = np.searchsorted(away_m, starts_m + BEGINNING_M, side="right")
    # One missed frame, with ground behind it that nobody walked, is no beginning.
    is_beginning = (last - first >= LEAST_BEGINNING) & (heard_before[last] == heard_before[first])
    for start_m in starts_m[is_beginning].tolist():
        if _upper_limit(frames.where(frames.away_m >= start_m)) < BLIND_RATIO:
            return float(start_m)
    return float("nan")
