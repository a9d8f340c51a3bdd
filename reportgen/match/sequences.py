"""Sequences of one node's frames: which of them can be counted, and which are missing."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.frame_counting import MissingFrames, missing_frames
from reportgen.compute.send_interval import missing_by_interval
from reportgen.compute.sent_pairs import median_spacing_s
from reportgen.match.positions import Ground, epoch_s, times_of
from reportgen.match.sent_log import SentLogUse
from reportgen.match.walk_time import WalkTime

ODD_STEPS = 3
ODD_STEPS_SHARE = 0.05
"""A sequence with more restarts, repeats and unfillable gaps than both can't be followed: stations
whose clocks disagree, a log without times, or cells that hold no counters (our choice)."""
MOST_MISSING = 1_000
MOST_MISSING_PER_HEARD = 20
"""More frames inferred than both together are a faulty counter's, not the air's; a walk that is
nearly silent throughout must still count its misses."""

LACKING_SHARE = 0.02
"""Where the node's own log lacks more of the frames than this, and no counter tells of them, it
may lack frames that nobody heard as well, and then nothing is counted."""

LOG_BREAK_SPACINGS = 10.0
"""Where a node's own log pauses for longer than so many of its usual spacings, and than a track may
pause, nobody wrote down what became of the counters in between (our choice)."""

NO_COUNTER = "no counter"
UNSTEADY_COUNTER = "unsteady counter"
INTERVAL_NOT_KEPT = "interval not kept"
NOT_IN_LOG = "not in the log"
OUTSIDE_WALK = "outside the walk"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sequence:
    """Known and missing frames of one sequence; `long_gaps` are gaps between them left unfilled."""

    known: pd.DataFrame
    missing: pd.DataFrame
    long_gaps: int = 0


def followed(
    part: pd.DataFrame, log: SentLogUse | None, ground: Ground, interval_s: float | None
) -> Sequence:
    """Return the frames of one sequence with those that are missing between them.

    Parameters
    ----------
    part : DataFrame
        Frames that somebody heard or the node's own log has.
    log : SentLogUse or None
        That log, where it is used.
    ground : Ground
    interval_s : float or None
        As stated; asked only where there are neither counters nor a log. [s]
    """
    if log is None and interval_s is not None and part["counter"].isna().all():
        return _by_interval(part, ground, interval_s)
    counted = part[part["counter"].notna() & part["time_utc"].notna()].sort_values(
        "time_utc", kind="stable"
    )
    found = missing_frames(
        counted["counter"].to_numpy(dtype=np.int64), epoch_s(counted["time_utc"])
    )
    untimed = part.loc[part["time_utc"].isna(), "counter"].dropna()
    can_follow = _can_be_followed(found, len(counted), len(untimed))
    missing = _between(counted, found.before_index, found.after_index, found.time_s)
    missing["counter"] = pd.Series(found.counter, dtype="Int64")
    # A frame that somebody heard at an unknown time is not missing.
    missing = missing[~missing["counter"].isin(untimed)] if can_follow else missing.iloc[:0]
    is_break = _is_log_break(counted, found, log, ground)
    breaks = np.unique(found.before_index[is_break])
    missing = missing[~is_break[missing.index]]
    if log is not None and not log.has_counters:
        # Its rows without counter are these very frames.
        missing = missing[~log.covers(missing["time_utc"])]
    return Sequence(
        known=_told(part, log, can_follow=can_follow),
        missing=ground.placed(missing.assign(sent_known="inferred")),
        long_gaps=found.gap_count.size + breaks.size,
    )


def within_walk(
    sequence: Sequence, time: WalkTime, is_heard: NDArray[np.bool_]
) -> tuple[Sequence, pd.Index]:
    """Return a sequence without what lies outside the walk, and the rows of a log so left out.

    Parameters
    ----------
    sequence : Sequence
    time : WalkTime
    is_heard : ndarray of bool
        Which of its known frames somebody heard: these stay, as frames that nobody counts.

    Notes
    -----
    A frame whose place is known was sent there, whenever that was.
    """
    known, missing = sequence.known, sequence.missing
    is_out = known["latitude_deg"].isna() & time.is_outside(known["time_utc"])
    is_lost = missing["latitude_deg"].isna() & time.is_outside(missing["time_utc"])
    left_out = known.index[is_out & ~is_heard]
    is_out &= known["is_counted"]
    bounded = replace(
        sequence,
        known=known.assign(
            is_counted=known["is_counted"] & ~is_out,
            uncounted=known["uncounted"].mask(is_out, OUTSIDE_WALK),
        ).drop(index=left_out),
        missing=missing[~is_lost],
    )
    return bounded, left_out


def _is_log_break(
    counted: pd.DataFrame, found: MissingFrames, log: SentLogUse | None, ground: Ground
) -> NDArray[np.bool_]:
    """Tell the missing frames that would lie in a long pause of the node's own log."""
    if log is None:
        return np.zeros(found.counter.shape, dtype=np.bool_)
    is_logged = counted["sent_known"].eq("logged").to_numpy(dtype=np.bool_)
    time_s = epoch_s(counted["time_utc"])
    apart_s = time_s[found.after_index] - time_s[found.before_index]
    usual_s = median_spacing_s(epoch_s(log.rows["time_utc"]))
    longest_s = np.fmax(ground.longest_gap_s, LOG_BREAK_SPACINGS * usual_s)
    is_between = is_logged[found.before_index] & is_logged[found.after_index]
    return np.asarray(is_between & (apart_s > longest_s), dtype=np.bool_)


def counters_can_be_followed(frames: pd.DataFrame) -> bool:
    """Whether the counters of one sequence count, by frames (or their first records) with them."""
    counted = frames[frames["counter"].notna()].sort_values("time_utc", kind="stable")
    timed = counted[counted["time_utc"].notna()]
    found = missing_frames(timed["counter"].to_numpy(dtype=np.int64), epoch_s(timed["time_utc"]))
    return _can_be_followed(found, len(timed), len(counted) - len(timed))


def _can_be_followed(found: MissingFrames, counted: int, untimed: int) -> bool:
    restarts = int(found.heard_run.max()) if counted else 0
    odd_steps = restarts + found.gap_count.size + int(found.is_repeat.sum())
    return (
        untimed <= counted
        and odd_steps <= max(ODD_STEPS, ODD_STEPS_SHARE * counted)
        and found.counter.size <= MOST_MISSING + MOST_MISSING_PER_HEARD * counted
    )


def _told(part: pd.DataFrame, log: SentLogUse | None, *, can_follow: bool) -> pd.DataFrame:
    """Return frames with whether, and else why not, they can be told heard or missed."""
    has_counter, is_logged = part["counter"].notna(), part["sent_known"].eq("logged")
    is_counted = is_logged | (has_counter & can_follow)
    if log is None:
        why = np.where(has_counter, UNSTEADY_COUNTER, NO_COUNTER)
        return part.assign(is_counted=is_counted, uncounted=np.where(is_counted, "", why))
    is_counted |= (~is_counted).sum() <= LACKING_SHARE * len(part)
    return part.assign(is_counted=is_counted, uncounted=np.where(is_counted, "", NOT_IN_LOG))


def _by_interval(part: pd.DataFrame, ground: Ground, interval_s: float) -> Sequence:
    timed = part[part["time_utc"].notna()].sort_values("time_utc", kind="stable")
    found = missing_by_interval(epoch_s(timed["time_utc"]), interval_s)
    # A frame of unknown time may be any of the missing ones.
    is_kept = found.is_kept and len(timed) == len(part)
    missing = _between(timed, found.before_index, found.after_index, found.time_s)
    no_counter = pd.array([pd.NA] * len(missing), dtype="Int64")
    missing = missing.assign(sent_known="interval", counter=no_counter)
    return Sequence(
        known=part.assign(is_counted=is_kept, uncounted="" if is_kept else INTERVAL_NOT_KEPT),
        missing=ground.placed(missing if is_kept else missing.iloc[:0]),
        long_gaps=found.unfilled_runs,
    )


def _between(
    heard: pd.DataFrame,
    before_index: NDArray[np.int64],
    after_index: NDArray[np.int64],
    time_s: NDArray[np.float64],
) -> pd.DataFrame:
    """Return frames between known ones, with what both neighbours share."""
    before = heard.iloc[before_index].reset_index(drop=True)
    after = heard.iloc[after_index].reset_index(drop=True)
    frames = pd.DataFrame(
        {
            "walk": before["walk"],
            "node": before["node"],
            "time_utc": times_of(time_s),
            "latitude_deg": np.nan,
            "longitude_deg": np.nan,
            "height_msl_m": np.nan,
        }
    )
    # What both neighbours share the frame between them very likely had; else it is unknown.
    for name in ("data_rate", "spreading_factor", "bandwidth_hz", "frequency_hz"):
        frames[name] = before[name].where(before[name].eq(after[name]).fillna(value=False))
    frames["data_rate"] = frames["data_rate"].fillna("")
    return frames.assign(time_known="inferred", is_counted=True, uncounted="")
