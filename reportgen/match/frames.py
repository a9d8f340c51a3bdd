"""From records to frames: who heard which frame, and which frames nobody wrote down."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from reportgen.compute.frame_counting import MissingFrames, missing_frames
from reportgen.match.positions import TrackOfWalk, epoch_s, placed, times_of
from reportgen.model.columns import FRAMES

SAME_FRAME_S = 15.0
"""Copies of one counter within this time are one frame heard by several stations; longer than any
time on air plus the jitter of network time stamps, shorter than a usual send interval."""

LATER_COLUMNS = ("is_doubtful", "distance_m", "bearing_deg")
"""Columns that joining adds once all walks are known."""

ODD_STEPS = 3
ODD_STEPS_SHARE = 0.05
"""A sequence with more restarts, repeats and unfillable gaps than both can't be followed: stations
whose clocks disagree, a log without times, or cells that hold no counters (our choice)."""
MOST_MISSING = 1_000
MOST_MISSING_PER_HEARD = 20
"""More frames inferred than both together are a faulty counter's, not the air's; a walk that is
nearly silent throughout must still count its misses."""

_SHARED = [
    "walk", "node", "counter", "data_rate", "spreading_factor", "bandwidth_hz", "frequency_hz",
    "time_utc", "latitude_deg", "longitude_deg", "height_msl_m", "place_known",
]  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class FramesOfWalk:
    """Frames of one walk, and for each record the number of its frame.

    `long_gaps` counts the gaps of counters too long to be filled.
    """

    frames: pd.DataFrame
    frame_of_record: pd.Series
    long_gaps: int


def frames_of_walk(
    records: pd.DataFrame,
    track: TrackOfWalk,
    *,
    first_number: int,
    is_counted_by_data_rate: bool,
    longest_gap_s: float,
) -> FramesOfWalk:
    """Group the uplink records of one walk into frames and add the missing ones.

    Parameters
    ----------
    records : DataFrame
        Placed records of one walk, levels measured at stations.
    track : TrackOfWalk
        Where missing frames are placed by time.
    first_number : int
        Number of the first frame.
    is_counted_by_data_rate : bool
        Whether each data rate has a counter sequence of its own.
    longest_gap_s : float
        No place is worked out across a longer gap. [s]

    Returns
    -------
    FramesOfWalk
        `frames` follows `model.columns.FRAMES` except for distance and bearing; `frame_of_record`
        has the index of `records`.
    """
    ordered = records.sort_values(["time_utc", "file", "line"], kind="stable")
    scope = ["node", "data_rate"] if is_counted_by_data_rate else ["node"]
    groups = [_numbered(part) for _, part in ordered.groupby(scope, sort=True)]
    numbered = pd.concat(groups) if groups else ordered.assign(group=0, scope=0)
    recorded, numbers = _recorded_frames(numbered, [*scope, "group"])
    sequences = [_followed(part, track, longest_gap_s) for _, part in recorded.groupby(scope)]
    heard = [sequence.recorded for sequence in sequences]
    missing = [sequence.missing for sequence in sequences if len(sequence.missing)]
    frames = pd.concat([pd.concat(heard).sort_index(), *missing]).reset_index(drop=True)
    order = frames.sort_values(["time_utc", "node", "counter"], kind="stable").index
    new_number = pd.Series(np.arange(len(order)) + first_number, index=order)
    frames["frame"] = new_number
    return FramesOfWalk(
        frames=frames.sort_values("frame").reset_index(drop=True)[_frame_columns()],
        frame_of_record=numbers.map(new_number).reindex(records.index).astype("Int64"),
        long_gaps=sum(sequence.long_gaps for sequence in sequences),
    )


def _frame_columns() -> list[str]:
    return [name for name in FRAMES.names if name not in LATER_COLUMNS]


def _numbered(part: pd.DataFrame) -> pd.DataFrame:
    """Give records of one counter sequence the number of their frame within it."""
    time_s = epoch_s(part["time_utc"])
    counters = part["counter"].to_numpy(dtype=object)
    groups: list[int] = []
    frames = 0
    open_frames: dict[object, tuple[int, float]] = {}
    for counter, time in zip(counters, time_s, strict=True):
        # A record without counter shares its frame only with records of the same second or so.
        key, window = (None, 1.0) if counter is pd.NA else (counter, SAME_FRAME_S)
        number, start = open_frames.get(key, (-1, -np.inf))
        # Without times, one counter is one frame: there is nothing else to go by.
        is_same = number >= 0 and (time - start <= window or (np.isnan(time) and key is not None))
        if not is_same:
            number, frames = frames, frames + 1
            open_frames[key] = (number, time)
        groups.append(number)
    return part.assign(group=groups)


def _recorded_frames(numbered: pd.DataFrame, keys: list[str]) -> tuple[pd.DataFrame, pd.Series]:
    """Return one row per heard frame, and for each record the row of its frame."""
    rows = numbered.groupby(keys, sort=False).ngroup()
    # A record with its own place tells most of the frame; the earliest of those wins.
    preferred = numbered.assign(row=rows, blind=numbered["latitude_deg"].isna())
    first = preferred.sort_values(["row", "blind"], kind="stable").drop_duplicates("row")
    frames = first.set_index("row")[_SHARED].copy()
    frames["sent_known"] = "recorded"
    frames["time_known"] = np.where(frames["time_utc"].notna(), "recorded", "")
    return frames.reset_index(drop=True), rows


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sequence:
    """Recorded and missing frames of one counter sequence."""

    recorded: pd.DataFrame
    missing: pd.DataFrame
    long_gaps: int


def _followed(part: pd.DataFrame, track: TrackOfWalk, longest_gap_s: float) -> _Sequence:
    """Add the frames whose counters are missing between the heard ones of one sequence."""
    counted = part[part["counter"].notna() & part["time_utc"].notna()].sort_values(
        "time_utc", kind="stable"
    )
    found = missing_frames(
        counted["counter"].to_numpy(dtype=np.int64), epoch_s(counted["time_utc"])
    )
    untimed = part.loc[part["time_utc"].isna(), "counter"].dropna()
    if not _can_be_followed(found, len(counted), len(untimed)):
        return _Sequence(
            recorded=part.assign(is_counted=False),
            missing=part.iloc[:0],
            long_gaps=found.gap_count.size,
        )
    missing = _missing_frames(counted, found)
    # A frame that somebody heard at an unknown time is not missing.
    missing = placed(
        missing[~missing["counter"].isin(untimed)], track, longest_gap_s=longest_gap_s,
        word="placed",
    )  # fmt: skip
    return _Sequence(
        recorded=part.assign(is_counted=True),
        missing=missing.assign(is_counted=True),
        long_gaps=found.gap_count.size,
    )


def _can_be_followed(found: MissingFrames, counted: int, untimed: int) -> bool:
    restarts = int(found.heard_run.max()) if counted else 0
    odd_steps = restarts + found.gap_count.size + int(found.is_repeat.sum())
    return (
        untimed <= counted
        and odd_steps <= max(ODD_STEPS, ODD_STEPS_SHARE * counted)
        and found.counter.size <= MOST_MISSING + MOST_MISSING_PER_HEARD * counted
    )


def _missing_frames(counted: pd.DataFrame, found: MissingFrames) -> pd.DataFrame:
    before = counted.iloc[found.before_index].reset_index(drop=True)
    after = counted.iloc[found.after_index].reset_index(drop=True)
    frames = pd.DataFrame(
        {
            "walk": before["walk"],
            "node": before["node"],
            "counter": pd.Series(found.counter, dtype="Int64"),
            "time_utc": times_of(found.time_s),
            "latitude_deg": np.nan,
            "longitude_deg": np.nan,
            "height_msl_m": np.nan,
        }
    )
    # What both neighbours share the frame between them very likely had; else it is unknown.
    for name in ("data_rate", "spreading_factor", "bandwidth_hz", "frequency_hz"):
        frames[name] = before[name].where(before[name].eq(after[name]).fillna(value=False))
    frames["data_rate"] = frames["data_rate"].fillna("")
    return frames.assign(sent_known="inferred", time_known="inferred")
