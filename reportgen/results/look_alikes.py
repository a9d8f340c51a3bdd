"""What looks like a miss and is none: channels that the own station never listens to."""

from __future__ import annotations

import pandas as pd

from reportgen.match.join import Joined
from reportgen.results.figure import Absent, Figure, Maker
from reportgen.results.walks import WalkResult

LEAST_FRAMES = 8
"""Frames on a channel, heard by somebody and none of them by the own station, from which on it is
called silent: at a delivery of one half that is a chance of 1 in 256 (our choice)."""

LEAST_SHARE = 0.3
"""Only where the station heard at least this share of the other channels' frames."""


def silent_channels_hz(result: WalkResult, joined: Joined) -> tuple[float, ...]:
    """Return channels on which others heard frames and the own station none, while it heard others.

    Of a frame that nobody heard the channel is not known.
    """
    receptions = result.receptions[result.receptions["frequency_hz"].notna()]
    if receptions.empty:
        return ()
    by_frame = receptions.assign(is_home=receptions["station"] == joined.home.key)
    frames = by_frame.groupby("frame").agg(hz=("frequency_hz", "first"), heard=("is_home", "any"))
    # Copies on neighbouring channels must not split a channel.
    channels = frames.groupby(frames["hz"].round(-4))["heard"].agg(["size", "sum"])
    silent = channels[(channels["size"] >= LEAST_FRAMES) & (channels["sum"] == 0)]
    return tuple(float(hz) for hz in silent.index if _hears_others(channels, hz))


def _hears_others(channels: pd.DataFrame, hz: float) -> bool:
    others = channels.drop(index=hz)
    sent = int(others["size"].sum())
    return sent > 0 and float(others["sum"].sum()) / sent >= LEAST_SHARE


def look_alike_figures(result: WalkResult, joined: Joined) -> list[Figure]:
    """Return how many channels the own station seems deaf on."""
    make = Maker(path=f"walk.{result.walk.key}.station.{joined.home.key}")
    known = bool(result.receptions["frequency_hz"].notna().any())
    count = len(silent_channels_hz(result, joined)) if known else None
    return [
        make.figure(
            "silent_channels", count, "1", "silent-channels", absent=Absent.NO_CHANNEL,
            inputs=("receptions",),
        )
    ]  # fmt: skip
