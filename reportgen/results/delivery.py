"""Figures of frames sent against frames heard, on the ground that was walked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.photo_view import relative_bearing_deg
from reportgen.compute.reach_sectors import SAME_GROUND_M, is_mostly_missed
from reportgen.compute.statistics import half_distance_m
from reportgen.match.sequences import (
    INTERVAL_NOT_KEPT,
    NO_COUNTER,
    NOT_IN_LOG,
    UNSTEADY_COUNTER,
)
from reportgen.results.figure import Absent, Figure, Maker, Prefix
from reportgen.results.levels import farthest_figures
from reportgen.results.path_interval import ground_interval

SECTOR_HALF_WIDTH_DEG = 15.0
"""A farthest reception is "at least" unless a frame was missed beyond it within this angle."""

COUNTERLESS_SHARE = 0.02
"""More frames without counter than this, and the gaps they leave distort a delivery ratio."""

ReachEnd = Literal["missed beyond", "missed there", "not walked beyond", "sending not known", ""]

_HALF_REASONS = {
    "never below half": Absent.NEVER_BELOW_HALF,
    "below half from start": Absent.BELOW_HALF_FROM_START,
    "too few": Absent.TOO_FEW,
}


def heard_flags(frames: pd.DataFrame, receptions: pd.DataFrame) -> pd.Series:
    """Return for each frame whether it is among the receptions."""
    return frames["frame"].isin(receptions["frame"].dropna().unique())


def missed_flags(frames: pd.DataFrame, receptions: pd.DataFrame) -> pd.Series:
    """Return which frames were missed: neither among the receptions nor in doubt."""
    return ~heard_flags(frames, receptions) & ~frames["is_doubtful"]


_UNCOUNTED = {
    UNSTEADY_COUNTER: Absent.UNSTEADY_COUNTER,
    INTERVAL_NOT_KEPT: Absent.INTERVAL_NOT_KEPT,
    NOT_IN_LOG: Absent.LOG_LACKS_FRAMES,
}


def uncounted_reason(frames: pd.DataFrame) -> Absent | None:
    """Return why nobody can know how many frames were sent, None where it can be known."""
    if frames.empty:
        return Absent.NOTHING_SENT
    is_counted = frames["is_counted"].to_numpy(dtype=bool)
    if is_counted.all():
        return None
    reasons = frames["uncounted"][~is_counted]
    has_no_counter = int((reasons == NO_COUNTER).sum())
    if has_no_counter == len(frames):
        return Absent.NO_COUNTER
    # A frame heard without its counter leaves a gap that looks like a miss.
    if has_no_counter > COUNTERLESS_SHARE * len(frames):
        return Absent.SOME_COUNTERS
    words = set(reasons.unique())
    known = next((reason for word, reason in _UNCOUNTED.items() if word in words), None)
    if known is None and len(reasons) == len(frames):
        return Absent.OUTSIDE_WALK
    return known


SentSource = Literal["log", "counters", "interval"]


def sent_sources(frames: pd.DataFrame) -> tuple[SentSource, ...]:
    """Return where the frames of a walk are known from that can be counted."""
    counted = frames[frames["is_counted"]]
    is_logged = counted["sent_known"] == "logged"
    has_counter = counted["counter"].notna()
    has_log = counted["node"].isin(counted.loc[is_logged, "node"])
    sources: tuple[tuple[SentSource, bool], ...] = (
        ("log", bool(is_logged.any())),
        ("counters", bool((~is_logged & has_counter).any())),
        ("interval", bool((~has_log & ~has_counter).any())),
    )
    return tuple(source for source, is_there in sources if is_there)


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
    ratio = ratio_figures(make, frames, receptions)
    reason = uncounted_reason(frames)
    if reason is not None:
        absent = make.figure("half_distance_m", None, "m", "half-distance", absent=reason)
        return [*ratio, absent]
    counted = frames[frames["is_counted"]]
    is_heard = heard_flags(counted, receptions)
    known = counted[is_heard | ~counted["is_doubtful"]]
    return [*ratio, _half_distance(make, known, is_heard)]


def ratio_figures(make: Maker, frames: pd.DataFrame, receptions: pd.DataFrame) -> list[Figure]:
    """Return frames sent, heard of these, missed and in doubt, and the ratio with its interval.

    Parameters are those of `delivery_figures`.
    """
    return ratio_figures_of(make, with_fate(frames, receptions))


def with_fate(frames: pd.DataFrame, receptions: pd.DataFrame) -> pd.DataFrame:
    """Return frames with what `ratio_figures_of` needs besides: whether each was heard.

    Any part of them, such as one walk, can be told of without looking it up again.
    """
    return frames.assign(is_heard=heard_flags(frames, receptions))


def ratio_figures_of(make: Maker, frames: pd.DataFrame) -> list[Figure]:
    """Return what `ratio_figures` does, of frames that `with_fate` returned."""
    reason = uncounted_reason(frames)
    if reason is not None:
        return [
            make.figure("frames_sent", None, "frames", "frames-sent", absent=reason),
            make.figure("frames_heard_of_sent", None, "frames", "frames-heard", absent=reason),
            make.figure("frames_missed", None, "frames", "frames-sent", absent=reason),
            make.figure("frames_in_doubt", None, "frames", "frames-sent", absent=reason),
            make.figure("delivery_ratio", None, "1", "delivery-ratio", absent=reason),
        ]
    is_counted, is_heard, is_doubtful = (
        frames[name].to_numpy(dtype=bool) for name in ("is_counted", "is_heard", "is_doubtful")
    )
    sent = int(is_counted.sum())
    heard = int((is_counted & is_heard).sum())
    missed = int((is_counted & ~is_heard & ~is_doubtful).sum())
    in_doubt = sent - heard - missed
    inputs = (f"{make.path}.frames_heard_of_sent", f"{make.path}.frames_sent")
    along_m = frames["along_m"].to_numpy(dtype=float)
    interval = ground_interval(is_heard[is_counted], along_m[is_counted])
    return [
        make.figure("frames_sent", sent, "frames", "frames-sent", inputs=("frames",)),
        make.figure("frames_heard_of_sent", heard, "frames", "frames-heard", inputs=("frames",)),
        make.figure("frames_missed", missed, "frames", "frames-sent", inputs=("frames",)),
        make.figure("frames_in_doubt", in_doubt, "frames", "frames-sent", inputs=("frames",)),
        make.figure(
            "delivery_ratio",
            heard / sent,
            "1",
            "delivery-ratio",
            count=sent,
            inputs=inputs,
            prefix="at least" if in_doubt else "",
            low=interval.low,
            high=interval.high,
        ),
    ]


def _half_distance(make: Maker, frames: pd.DataFrame, is_heard: pd.Series) -> Figure:
    placed = frames["distance_m"].notna()
    if not placed.any():
        return make.figure("half_distance_m", None, "m", "half-distance", absent=Absent.NO_PLACE)
    found = half_distance_m(
        frames.loc[placed, "distance_m"].to_numpy(dtype=float),
        is_heard[frames.index][placed].to_numpy(dtype=bool),
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


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkedGround:
    """Every place known to have been walked, seen from the own station; shapes (n,)."""

    distance_m: NDArray[np.float64]
    bearing_deg: NDArray[np.float64]


def reach_end(frames: pd.DataFrame, receptions: pd.DataFrame, ground: WalkedGround) -> ReachEnd:
    """Return what lies beyond the farthest reception, within a sector around its bearing.

    "missed beyond": a frame known to have been sent farther out was missed, so the end of the
    reach was met there. "missed there": none was, but most of those sent as far out as the
    farthest one heard. "not walked beyond": nobody went farther that way. "sending not known":
    somebody did, but no frame is known to have been sent there. "": nothing was heard.
    """
    placed = receptions[receptions["distance_m"].notna() & receptions["bearing_deg"].notna()]
    if placed.empty:
        return ""
    farthest = placed.loc[placed["distance_m"].idxmax()]
    missed = frames[missed_flags(frames, receptions)]
    if _is_any_beyond(farthest, missed["distance_m"], missed["bearing_deg"], 0.0):
        return "missed beyond"
    if is_mostly_missed(*heard_of_sent_there(frames, receptions)):
        return "missed there"
    if _is_any_beyond(farthest, ground.distance_m, ground.bearing_deg, SAME_GROUND_M):
        return "sending not known"
    return "not walked beyond"


def heard_of_sent_there(frames: pd.DataFrame, receptions: pd.DataFrame) -> tuple[int, int]:
    """Return how many frames were heard, and how many sent, from as far out as the farthest heard.

    Within `SAME_GROUND_M` of its distance and a sector around its bearing; those in doubt are left
    out.
    """
    placed = receptions[receptions["distance_m"].notna() & receptions["bearing_deg"].notna()]
    if placed.empty:
        return 0, 0
    farthest = placed.loc[placed["distance_m"].idxmax()]
    off_m = frames["distance_m"].to_numpy(dtype=float) - farthest["distance_m"]
    is_there = (np.abs(off_m) <= SAME_GROUND_M) & _is_that_way(farthest, frames["bearing_deg"])
    heard = int((is_there & heard_flags(frames, receptions)).sum())
    return heard, heard + int((is_there & missed_flags(frames, receptions)).sum())


def _is_any_beyond(
    farthest: pd.Series, distance_m: ArrayLike, bearing_deg: ArrayLike, room_m: float
) -> bool:
    is_beyond = np.asarray(distance_m, dtype=float) > farthest["distance_m"] + room_m
    return bool((is_beyond & _is_that_way(farthest, bearing_deg)).any())


def _is_that_way(farthest: pd.Series, bearing_deg: ArrayLike) -> NDArray[np.bool_]:
    turn_deg = relative_bearing_deg(farthest["bearing_deg"], np.asarray(bearing_deg, dtype=float))
    return np.asarray(np.abs(turn_deg) <= SECTOR_HALF_WIDTH_DEG)


def reach_figures(
    make: Maker,
    frames: pd.DataFrame,
    receptions: pd.DataFrame,
    ground: WalkedGround,
    *,
    has_station_position: bool,
) -> list[Figure]:
    """Return the farthest reception of an own station, and what ends the reach there.

    Frames and ground lie as seen from that station.
    """
    end = reach_end(frames, receptions, ground)
    heard, sent = heard_of_sent_there(frames, receptions)
    return [
        *farthest_figures(
            make, receptions, has_station_position=has_station_position, prefix=reach_prefix(end)
        ),
        make.figure(
            "reach_end", end or None, "text", "farthest-heard", absent=Absent.NOTHING_HEARD,
            inputs=("frames", "track_points"),
        ),
        *(
            make.figure(
                name, count if sent else None, "frames", "frames-there",
                absent=Absent.NOTHING_HEARD, inputs=("frames",),
            )
            for name, count in (("frames_heard_there", heard), ("frames_sent_there", sent))
        ),
    ]  # fmt: skip


OTHERS_PREFIX: Prefix = "at least"
"""Of a station that is not one's own: nobody here knows what it missed, or when it was off."""


def reach_prefix(end: ReachEnd) -> Prefix:
    """Return "at least" where the end of the reach was not met."""
    return "at least" if end in {"not walked beyond", "sending not known"} else ""


SENT_SHORT_M, SENT_SHORT_RATIO = 100.0, 0.1
"""By more than either, the farthest frame sent lies short of the farthest walked (our choice)."""


def is_sent_short(sent_m: float | None, walked_m: float | None) -> bool:
    """Tell whether the ground farthest out was walked without a frame known to be sent there."""
    if sent_m is None or walked_m is None:
        return False
    return walked_m - sent_m > max(SENT_SHORT_M, SENT_SHORT_RATIO * walked_m)


def farthest_sent_figure(
    make: Maker, frames: pd.DataFrame, *, has_station_position: bool
) -> Figure:
    """Return how far from the station a frame is known to have been sent, heard or not."""
    known = frames["distance_m"].dropna()
    return make.figure(
        "farthest_sent_m",
        float(known.max()) if len(known) else None,
        "m",
        "farthest-sent",
        absent=Absent.NOTHING_SENT
        if frames.empty
        else Absent.NO_PLACE
        if has_station_position
        else Absent.NO_STATION_POSITION,
        count=len(known),
        inputs=("frames",),
    )


def farthest_walked_figure(
    make: Maker, ground: WalkedGround, *, has_station_position: bool
) -> Figure:
    """Return how far from the station anybody walked, by tracks and logs together."""
    known = ground.distance_m[np.isfinite(ground.distance_m)]
    return make.figure(
        "farthest_walked_m",
        float(known.max()) if known.size else None,
        "m",
        "farthest-walked",
        absent=Absent.NO_PLACE if has_station_position else Absent.NO_STATION_POSITION,
        count=int(known.size),
        inputs=("track_points", "receptions"),
    )
