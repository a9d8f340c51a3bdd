"""What else there is to say of the frames sent on a walk: silences, clocks, frames off the walk."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

import pandas as pd

from reportgen.match.join import Joined
from reportgen.match.sequences import OUTSIDE_WALK
from reportgen.results.figure import Figure, Maker
from reportgen.results.walks import WalkResult

LogEnds = Literal["both", "before", "after", "neither"]


def sent_account_figures(result: WalkResult, joined: Joined) -> Iterator[Figure]:
    """Yield the figures that belong to the count of frames sent on one walk."""
    make, frames = Maker(path=f"walk.{result.walk.key}"), result.frames
    outside = int((frames["uncounted"] == OUTSIDE_WALK).sum())
    for name, count in (
        ("frames_outside_walk", outside),
        ("gaps_not_filled", joined.long_gaps.get(result.walk.key, 0)),
        ("longest_run_inferred", _longest_run(frames)),
    ):
        yield make.figure(name, count, "1", "frames-sent", inputs=("frames",))
    for node, behind_s in clocks_behind_s(result, joined).items():
        under = make.under("node", node)
        yield under.figure("clock_behind_s", behind_s, "s", "frames-sent", inputs=("frames",))


def clocks_behind_s(result: WalkResult, joined: Joined) -> dict[str, float]:
    """Return by node how far the clock of its own log runs behind the stations', where used. [s]"""
    return {
        log.node: log.offset_s
        for log in reversed(joined.sent_logs)
        if log.is_used and log.walk == result.walk.key
    }


def log_ends(frames: pd.DataFrame, receptions: pd.DataFrame) -> LogEnds:
    """Return on which sides of the frames heard there are frames of the node's own log.

    Parameters
    ----------
    frames : DataFrame
        Of one walk.
    receptions : DataFrame
        By any station.
    """
    is_heard = frames["frame"].isin(receptions["frame"])
    heard = frames.loc[is_heard, "time_utc"]
    alone = frames.loc[frames["sent_known"].eq("logged") & ~is_heard, "time_utc"]
    before, after = bool((alone < heard.min()).any()), bool((alone > heard.max()).any())
    if before and after:
        return "both"
    return "before" if before else "after" if after else "neither"


def _longest_run(frames: pd.DataFrame) -> int:
    """Return how many frames of one node in a row were inferred, at most."""
    ordered = frames.sort_values(["node", "time_utc"], kind="stable")
    is_inferred = ordered["sent_known"].isin(("inferred", "interval"))
    run = (~is_inferred | ordered["node"].ne(ordered["node"].shift())).cumsum()
    return int(is_inferred.groupby(run).sum().max()) if len(ordered) else 0
