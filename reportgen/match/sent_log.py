"""Frames heard beside the frames that a node's own log says it sent."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.sent_pairs import (
    FARTHEST_S,
    SentPairs,
    median_spacing_s,
    pairs_by_counter,
    pairs_by_time,
)
from reportgen.match.positions import PLACE_COLUMNS, Ground, epoch_s, times_of

LEAST_PAIRED_SHARE = 0.5
"""Where fewer of the frames heard within the log's time are found in it, the log is of another
node, another day, or its clock can't be told (our choice)."""

SENT = "sent"
"""What `measured_at` says of the rows of such a log."""

_TAKEN = ("counter", "spreading_factor", "bandwidth_hz", "frequency_hz", "transmit_power_dbm")
"""What a frame heard takes from its row of the node's log where its own record lacks it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SentLogUse:
    """What became of the rows of a node's own log on one walk.

    Attributes
    ----------
    node : str
    rows : DataFrame
        As read.
    is_used : bool
        Whether they could be told to be the frames heard, or nothing was heard.
    offset_s : float
        Stations' clocks less the node's; 0 where nothing shows it. [s]
    lacking : int
        Frames heard that the log does not have.
    outside : DataFrame
        Those of its rows that nobody heard and that were sent at another time than the walk's.
    """

    node: str
    rows: pd.DataFrame
    is_used: bool
    offset_s: float
    lacking: int
    outside: pd.DataFrame

    @property
    def walk(self) -> str:
        """Key of the walk."""
        return str(self.rows["walk"].iloc[0])

    @property
    def has_counters(self) -> bool:
        """Whether most of its rows carry a counter."""
        return bool(self.rows["counter"].notna().mean() > 0.5)

    def covers(self, times: pd.Series) -> NDArray[np.bool_]:
        """Tell which times lie between the first and the last row."""
        logged_s = epoch_s(self.rows["time_utc"]) + self.offset_s
        if not np.isfinite(logged_s).any():
            return np.zeros(len(times), dtype=np.bool_)
        asked_s = epoch_s(times)
        room_s = np.fmin(median_spacing_s(logged_s) / 2.0, FARTHEST_S)
        low_s, high_s = np.nanmin(logged_s) - room_s, np.nanmax(logged_s) + room_s
        return np.asarray((asked_s >= low_s) & (asked_s <= high_s), dtype=np.bool_)


def with_sent_log(
    heard: pd.DataFrame, log: pd.DataFrame, ground: Ground
) -> tuple[pd.DataFrame, SentLogUse]:
    """Return the frames of one sequence, those that only the node's log has added.

    Parameters
    ----------
    heard : DataFrame
        One row per frame heard, placed.
    log : DataFrame
        Records of the node's own log, at least one, at places that stand in the log; those of one
        `group` are one frame.
    ground : Ground
        Where the others are placed.

    Returns
    -------
    (frames, use) : tuple of DataFrame and SentLogUse
        `frames` is `heard` where the log can't be used.
    """
    sent = log.drop_duplicates("group")
    pairs = _paired(heard, sent)
    use = _use(heard, log, pairs)
    if not use.is_used:
        return heard, use
    of_log = sent.iloc[pairs.sent_index].set_axis(heard.index[pairs.heard_index])
    alone = sent.drop(sent.index[pairs.sent_index])
    parts = [_filled(heard, of_log), ground.placed(_alone(alone, use.offset_s, heard))]
    return _with_rates(pd.concat([part for part in parts if len(part)])), use


def _filled(heard: pd.DataFrame, of_log: pd.DataFrame) -> pd.DataFrame:
    """Return frames heard with what their records lack and the rows of the log, tied by index, say.

    A place that stands in the log is better than one from the track.
    """
    frames = heard.copy()
    frames.loc[of_log.index, "sent_known"] = "logged"
    for name in _TAKEN:
        frames[name] = frames[name].fillna(of_log[name].reindex(frames.index))
    rates = of_log["data_rate"].reindex(frames.index).fillna("")
    frames["data_rate"] = frames["data_rate"].where(frames["data_rate"].ne(""), rates)
    has_place = of_log.index[of_log["latitude_deg"].notna()]
    takes = has_place[frames.loc[has_place, "place_known"].ne("recorded")]
    frames.loc[takes, PLACE_COLUMNS] = of_log.loc[takes, PLACE_COLUMNS]
    frames.loc[takes, "place_known"] = "recorded"
    return frames


def _paired(heard: pd.DataFrame, sent: pd.DataFrame) -> SentPairs:
    """Pair frames by counter where both have one, and the others by time."""
    heard_s, sent_s = epoch_s(heard["time_utc"]), epoch_s(sent["time_utc"])
    heard_rows, sent_rows = _counted_rows(heard), _counted_rows(sent)
    by_counter = pairs_by_counter(
        sent["counter"].iloc[sent_rows].to_numpy(dtype=np.int64),
        sent_s[sent_rows],
        heard["counter"].iloc[heard_rows].to_numpy(dtype=np.int64),
        heard_s[heard_rows],
    )
    first, second = sent_rows[by_counter.sent_index], heard_rows[by_counter.heard_index]
    free_sent = np.setdiff1d(np.arange(len(sent)), first)
    free_heard = np.setdiff1d(np.arange(len(heard)), second)
    by_time = pairs_by_time(sent_s[free_sent], heard_s[free_heard], offset_s=by_counter.offset_s)
    more_sent, more_heard = free_sent[by_time.sent_index], free_heard[by_time.heard_index]
    # Two frames of different counters are two frames, however near.
    is_one = ~(np.isin(more_sent, sent_rows) & np.isin(more_heard, heard_rows))
    return SentPairs(
        sent_index=np.concatenate([first, more_sent[is_one]]),
        heard_index=np.concatenate([second, more_heard[is_one]]),
        offset_s=by_time.offset_s,
    )


def _counted_rows(table: pd.DataFrame) -> NDArray[np.int64]:
    return np.flatnonzero(table["counter"].notna()).astype(np.int64)


def _use(heard: pd.DataFrame, log: pd.DataFrame, pairs: SentPairs) -> SentLogUse:
    use = SentLogUse(
        node=str(log["node"].iloc[0]),
        rows=log,
        is_used=True,
        offset_s=0.0 if np.isnan(pairs.offset_s) else pairs.offset_s,
        lacking=len(heard) - pairs.heard_index.size,
        outside=log.iloc[:0],
    )
    covered = use.covers(heard["time_utc"])
    found = np.isin(np.arange(len(heard)), pairs.heard_index)
    enough = (found & covered).sum() >= LEAST_PAIRED_SHARE * covered.sum()
    return replace(use, is_used=heard.empty or bool(found.any() and enough))


def _alone(sent: pd.DataFrame, offset_s: float, heard: pd.DataFrame) -> pd.DataFrame:
    """Return the frames that only the node wrote down, by the stations' clocks."""
    rows = sent[[name for name in heard.columns if name in sent.columns]]
    return rows.assign(
        time_utc=times_of(epoch_s(rows["time_utc"]) + offset_s).set_axis(rows.index),
        time_known=np.where(rows["time_utc"].notna(), "recorded", ""),
        sent_known="logged",
    )


def _with_rates(frames: pd.DataFrame) -> pd.DataFrame:
    """Return frames with the data rate that the log does not say, where those heard tell it.

    A frame has what the known frames before and after it share; before the first and after the
    last of these, what all share.
    """
    result = frames.sort_values("time_utc", kind="stable")
    lacks = result["data_rate"].eq("") & result["spreading_factor"].isna()
    for name in ("data_rate", "spreading_factor", "bandwidth_hz"):
        known = result[name].mask(lacks)
        before, after = known.ffill(), known.bfill()
        if len(known.dropna().unique()) == 1:
            before, after = before.fillna(after), after.fillna(before)
        shared = before.where(before.eq(after).fillna(value=False))
        result[name] = known.where(~lacks, shared)
    result["data_rate"] = result["data_rate"].fillna("")
    return result
