"""The frames of all walks, with the records of stations and of nodes tied to them."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from reportgen.match.frames import LATER_COLUMNS, frames_of_walk
from reportgen.match.positions import PLACE_COLUMNS, TrackOfWalk, track_of_walk
from reportgen.match.sent_log import SENT, SentLogUse
from reportgen.match.walk_time import time_of_walk
from reportgen.model.campaign import Campaign
from reportgen.model.columns import FRAMES
from reportgen.model.parts import parts_by


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundFrames:
    """Frames of all walks.

    `uplink` holds the records of stations with the number of their `frame`, `long_gaps` the gaps
    between frames left unfilled by walk, `logs` what became of the nodes' own logs.
    """

    frames: pd.DataFrame
    uplink: pd.DataFrame
    long_gaps: dict[str, int]
    logs: tuple[SentLogUse, ...]


def found_frames(
    campaign: Campaign, records: pd.DataFrame, tracks: dict[str, TrackOfWalk]
) -> FoundFrames:
    """Return the frames of all walks; `records` are placed."""
    uplink = records[records["measured_at"] == "station"]
    sent = campaign.records[campaign.records["measured_at"] == SENT]
    heard_of, sent_of = parts_by(uplink, "walk"), parts_by(sent, "walk")
    long_gaps: dict[str, int] = {}
    frames: list[pd.DataFrame] = [FRAMES.empty().drop(columns=list(LATER_COLUMNS))]
    numbers: list[pd.Series] = []
    logs: list[SentLogUse] = []
    for walk in campaign.walks:
        part = heard_of.get(walk.key, uplink.iloc[:0])
        own = sent_of.get(walk.key, sent.iloc[:0])
        if part.empty and own.empty:
            continue
        found = frames_of_walk(
            part,
            tracks.get(walk.key) or track_of_walk(pd.concat([part, own])),
            first_number=sum(len(table) for table in frames),
            is_counted_by_data_rate=campaign.radio.counter_scope == "data rate",
            longest_gap_s=campaign.matching.longest_track_gap_s,
            sent=own,
            interval_s=campaign.radio.interval_s,
            time=time_of_walk(tracks.get(walk.key), part),
        )
        frames.append(found.frames)
        long_gaps[walk.key] = found.long_gaps
        numbers.append(found.frame_of_record)
        logs += found.sent_logs
    filled = [table for table in frames[1:] if len(table)] or frames[:1]
    number = pd.concat(numbers) if numbers else pd.Series([], dtype="Int64")
    all_frames = pd.concat(filled).reset_index(drop=True)
    numbered = uplink.assign(frame=number.reindex(uplink.index))
    return FoundFrames(
        frames=all_frames,
        uplink=_from_frames(numbered, all_frames),
        long_gaps=long_gaps,
        logs=tuple(logs),
    )


def _from_frames(uplink: pd.DataFrame, frames: pd.DataFrame) -> pd.DataFrame:
    """Return records with what only the node's own log says of their frame: its place, its power.

    A place that a device recorded is better than one from the track.
    """
    logged = frames[frames["sent_known"] == "logged"].set_index("frame")
    if logged.empty:
        return uplink
    at = logged[logged["place_known"] == "recorded"]
    takes = uplink["frame"].isin(at.index) & uplink["place_known"].ne("recorded")
    result = uplink.copy()
    for name in PLACE_COLUMNS:
        result.loc[takes, name] = uplink.loc[takes, "frame"].map(at[name]).astype("float64")
    result.loc[takes, "place_known"] = "recorded"
    power_dbm = uplink["frame"].map(logged["transmit_power_dbm"]).astype("float64")
    result["transmit_power_dbm"] = uplink["transmit_power_dbm"].fillna(power_dbm)
    return result
