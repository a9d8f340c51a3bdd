"""From records to frames: who heard which frame, and which frames nobody wrote down."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from reportgen.compute.sent_pairs import median_spacing_s
from reportgen.match.off_track import between_recorded
from reportgen.match.positions import Ground, TrackOfWalk, epoch_s
from reportgen.match.sent_log import SentLogUse, with_sent_log
from reportgen.match.sequences import (
    Sequence,
    counters_can_be_followed,
    followed,
    within_walk,
)
from reportgen.match.walk_time import ANY_TIME, WalkTime
from reportgen.model.columns import FRAMES, RECORDS

SAME_FRAME_S = 15.0
"""Copies of one counter within this time are one frame heard by several stations; longer than any
time on air plus the jitter of network time stamps, shorter than a usual send interval."""

SAME_FRAME_SHARE = 0.25
"""Without a counter, records of several stations are one frame within this share of the time from
one frame sent to the next, where that is known."""

LATER_COLUMNS = ("is_doubtful", "distance_m", "bearing_deg")
"""Columns that joining adds once all walks are known."""

_SHARED = [
    "walk", "node", "counter", "data_rate", "spreading_factor", "bandwidth_hz", "frequency_hz",
    "transmit_power_dbm", "time_utc", "latitude_deg", "longitude_deg", "height_msl_m",
    "place_known",
]  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class FramesOfWalk:
    """Frames of one walk, and for each record of a station the number of its frame.

    `long_gaps` counts the gaps between frames that are not filled; `sent_logs` says what became of
    the nodes' own logs.
    """

    frames: pd.DataFrame
    frame_of_record: pd.Series
    long_gaps: int
    sent_logs: tuple[SentLogUse, ...] = ()


def frames_of_walk(
    records: pd.DataFrame,
    track: TrackOfWalk,
    *,
    first_number: int,
    is_counted_by_data_rate: bool,
    longest_gap_s: float,
    sent: pd.DataFrame | None = None,
    interval_s: float | None = None,
    time: WalkTime = ANY_TIME,
) -> FramesOfWalk:
    """Group the uplink records of one walk into frames and add those that nobody heard.

    Parameters
    ----------
    records : DataFrame
        Placed records of one walk, levels measured at stations.
    track : TrackOfWalk
        Where missing frames are placed by time.
    first_number : int
        Number of the first frame.
    is_counted_by_data_rate : bool
        Whether each data rate has a sequence of its own.
    longest_gap_s : float
        No place is worked out across a longer gap. [s]
    sent : DataFrame, optional
        Records of the nodes' own logs of what they sent, at the places that stand there.
    interval_s : float, optional
        Between two frames of a node, as stated. [s]
    time : WalkTime
        Of the walk: what was sent at another time and no place is known of is not counted.

    Returns
    -------
    FramesOfWalk
        `frames` follows `model.columns.FRAMES` except for distance and bearing; `frame_of_record`
        has the index of `records`.
    """
    scope = ["node", "data_rate"] if is_counted_by_data_rate else ["node"]
    logs = _logs_by_scope(RECORDS.empty() if sent is None else sent, scope)
    spacing_s = {
        key: interval_s or median_spacing_s(epoch_s(log["time_utc"])) for key, log in logs.items()
    }
    ordered = records.sort_values(["time_utc", "file", "line"], kind="stable")
    groups = [
        _frames_of(part, spacing_s.get(key, interval_s or np.nan))
        for key, part in ordered.groupby(scope, sort=True)
    ]
    numbered = pd.concat(groups) if groups else ordered.assign(group=0, scope=0)
    recorded, numbers = _recorded_frames(numbered, [*scope, "group"])
    # Frames that only a node's log has come after those that records are tied to.
    logs = {key: log.set_axis(log.index + len(recorded)) for key, log in logs.items()}
    ground = Ground(track=track, longest_gap_s=longest_gap_s)
    sequences, uses = _sequences(recorded, logs, scope, ground, interval_s, time)
    frames = _in_one(sequences, recorded)
    order = frames.sort_values(["time_utc", "node", "counter"], kind="stable").index
    new_number = pd.Series(np.arange(len(order)) + first_number, index=order)
    frames["frame"] = new_number
    return FramesOfWalk(
        frames=frames.sort_values("frame").reset_index(drop=True)[_frame_columns()],
        frame_of_record=numbers.map(new_number).reindex(records.index).astype("Int64"),
        long_gaps=sum(sequence.long_gaps for sequence in sequences),
        sent_logs=uses,
    )


_Key = tuple[str, ...]


def _logs_by_scope(sent: pd.DataFrame, scope: list[str]) -> dict[_Key, pd.DataFrame]:
    """Return the rows of the nodes' own logs by sequence, with the number of their frame."""
    logs = {}
    for key, part in sent.sort_values(["time_utc", "file", "line"], kind="stable").groupby(scope):
        # A node that repeats a frame writes its counter down again; it is one frame.
        logs[key] = _numbered(part, np.nan, alone_s=-1.0)
    return logs


def _sequences(
    recorded: pd.DataFrame,
    logs: dict[_Key, pd.DataFrame],
    scope: list[str],
    ground: Ground,
    interval_s: float | None,
    time: WalkTime,
) -> tuple[list[Sequence], tuple[SentLogUse, ...]]:
    """Return every sequence with its missing frames, and what became of the nodes' logs."""
    parts = dict(list(recorded.groupby(scope)))
    sequences, uses = [], []
    for key in sorted(parts.keys() | logs.keys()):
        part, used = parts.get(key, recorded.iloc[:0]), None
        if key in logs:
            part, use = with_sent_log(part, logs[key], ground)
            uses.append(use)
            used = use if use.is_used else None
        if len(part):
            whole = followed(part, used, ground, interval_s)
            whole = between_recorded(whole, ground, whole.known.index < len(recorded))
            is_heard = whole.known.index < len(recorded)
            sequence, left_out = within_walk(whole, time, is_heard)
            sequences.append(sequence)
            if used is not None:
                groups = used.rows.loc[left_out, "group"]
                uses[-1] = replace(used, outside=used.rows[used.rows["group"].isin(groups)])
    return sequences, tuple(uses)


def _in_one(sequences: list[Sequence], recorded: pd.DataFrame) -> pd.DataFrame:
    """Return all frames; those heard keep their index, which records are tied to."""
    known = [sequence.known for sequence in sequences if len(sequence.known)]
    if not known:
        return recorded.assign(is_counted=False, uncounted="")
    tables = [pd.concat(known).sort_index()]
    tables += [sequence.missing for sequence in sequences if len(sequence.missing)]
    return pd.concat(tables).reset_index(drop=True)


def _frame_columns() -> list[str]:
    return [name for name in FRAMES.names if name not in LATER_COLUMNS]


def _frames_of(part: pd.DataFrame, spacing_s: float) -> pd.DataFrame:
    """Give records of one sequence the number of their frame, by counters that count.

    A column that holds one number throughout, or any numbers, names no frame: then one number
    within seconds is two frames as likely as one, and is one within a second or so alone.
    """
    numbered = _numbered(part, spacing_s)
    if counters_can_be_followed(numbered.drop_duplicates("group")):
        return numbered
    return _numbered(part, spacing_s, is_counting=False)


def _numbered(
    part: pd.DataFrame, spacing_s: float, *, alone_s: float = 1.0, is_counting: bool = True
) -> pd.DataFrame:
    """Give records of one sequence the number of their frame within it.

    A record without counter shares its frame only with records of the same second or so, and with
    other stations' a little longer where the spacing of frames is known; so does one whose counter
    does not count.
    """
    # NaN where the spacing is not known, and then no time is within it.
    others_s = float(np.minimum(SAME_FRAME_SHARE * spacing_s, SAME_FRAME_S))
    groups: list[int] = []
    frames = 0
    open_frames: dict[object, tuple[int, float, set[str]]] = {}
    counters = part["counter"].to_numpy(dtype=object, na_value=None).tolist()
    times = epoch_s(part["time_utc"]).tolist()
    hearers = part["station_id"].to_numpy(dtype=object).tolist()
    for key, time, station in zip(counters, times, hearers, strict=True):
        is_name = key is not None and is_counting
        number, start, stations = open_frames.get(key, (-1, -np.inf, set()))
        is_same = number >= 0 and (
            time - start <= (SAME_FRAME_S if is_name else alone_s)
            or (not is_name and station not in stations and time - start <= others_s)
            # Without times, one counter is one frame: there is nothing else to go by.
            or (math.isnan(time) and key is not None)
        )
        if not is_same:
            number, start, stations, frames = frames, time, set(), frames + 1
        stations.add(station)
        open_frames[key] = (number, start, stations)
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
