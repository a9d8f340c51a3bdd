"""Frames of a node as the own station heard or missed them, with the limit they had to pass."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.noise_seen import noise_level_dbm
from reportgen.compute.receiver import demodulation_snr_limit_db, thermal_noise_dbm
from reportgen.match.join import Joined
from reportgen.model.station import Node, Station
from reportgen.results.around_home import metres_from_home
from reportgen.results.chain import station_chain
from reportgen.results.measured_frames import MeasuredFrames
from reportgen.results.walks import WalkResult

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardAtHome:
    """What the own station heard, on all walks together.

    `noise_dbm` is what its log shows, else the setup's; `rows_below_noise` are those that show it.
    """

    is_anything: bool
    noise_dbm: float
    is_noise_seen: bool
    rows_below_noise: int


def heard_at_home(joined: Joined) -> HeardAtHome:
    """Return what the own station heard."""
    own = joined.receptions[joined.receptions["station"] == joined.home.key]
    noise_dbm, is_seen = _noise(joined, own)
    return HeardAtHome(
        is_anything=not own.empty,
        noise_dbm=noise_dbm,
        is_noise_seen=is_seen,
        rows_below_noise=int(((own["snr_db"] < 0.0) & own["rssi_dbm"].notna()).sum()),
    )


def _noise(joined: Joined, own: pd.DataFrame) -> tuple[float, bool]:
    radio = joined.campaign.radio
    if radio.rssi_scope == "channel":
        seen_dbm = noise_level_dbm(
            own["rssi_dbm"].to_numpy(dtype=np.float64), own["snr_db"].to_numpy(dtype=np.float64)
        )
        if math.isfinite(seen_dbm):
            return seen_dbm, True
    figure_db = station_chain(joined.home, radio.frequency_hz).noise_figure_db
    if figure_db is None or radio.bandwidth_hz is None:
        return math.nan, False
    return float(thermal_noise_dbm(radio.bandwidth_hz, figure_db)), False


class SentFrames:
    """The counted frames of each walk and node with what the own station measured, made once.

    Without a place of the own station nobody may ask.
    """

    def __init__(self, joined: Joined, heard: HeardAtHome) -> None:
        self._joined = joined
        self.heard = heard
        self._nodes = {node.key: node for node in joined.campaign.nodes}
        self._known: dict[tuple[str, str], pd.DataFrame] = {}

    def of(self, result: WalkResult, node: str) -> pd.DataFrame:
        """Return a node's counted frames on a walk, in time order.

        Columns: walk, time_utc, data_rate, spreading_factor and distance_m as in FRAMES; signal_dbm
        and rssi_dbm, NaN for a frame that was missed; recorded_dbm, the sender's power as logged;
        limit_dbm, the level below which it is missed; has_snr; east_m and north_m from the own
        station. Frames in doubt are neither heard nor missed, and levels that can't be true are
        not used: neither is in the table.
        """
        key = (result.walk.key, node)
        if key not in self._known:
            self._known[key] = self._made(result, self._nodes[node])
        return self._known[key]

    def _made(self, result: WalkResult, node: Node) -> pd.DataFrame:
        rows = _with_levels(result, node, self._joined.home)
        east_m, north_m = metres_from_home(rows, self._joined)
        limit_dbm = _limits_dbm(self._joined, rows, self.heard.noise_dbm)
        return rows[_COLUMNS].assign(limit_dbm=limit_dbm, east_m=east_m, north_m=north_m)


_COLUMNS = [
    "walk", "time_utc", "data_rate", "spreading_factor", "distance_m", "signal_dbm", "rssi_dbm",
    "recorded_dbm", "has_snr",
]  # fmt: skip


def _with_levels(result: WalkResult, node: Node, home: Station) -> pd.DataFrame:
    mine = result.frames[result.frames["node"] == node.key]
    mine = mine[~mine["is_doubtful"] & mine["is_counted"]].sort_values("time_utc", kind="stable")
    measured = MeasuredFrames.of(mine, result.receptions, home)
    signal_dbm = measured.column("signal_dbm")
    recorded_dbm = measured.column("transmit_power_dbm")
    stated_dbm = mine["transmit_power_dbm"].to_numpy(dtype=np.float64)
    rows = mine.assign(
        signal_dbm=signal_dbm,
        rssi_dbm=measured.column("rssi_dbm"),
        recorded_dbm=np.where(np.isnan(recorded_dbm), stated_dbm, recorded_dbm),
        has_snr=~(measured.is_heard & np.isnan(measured.column("snr_db"))),
    )
    has_no_level = measured.is_heard & np.isnan(signal_dbm)
    return rows[~measured.is_too_strong & ~has_no_level]


def _limits_dbm(joined: Joined, table: pd.DataFrame, noise_dbm: float) -> Floats:
    """Return the level below which each frame is missed; NaN where it can't be known."""
    factors = table["spreading_factor"].to_numpy(dtype=np.float64, na_value=np.nan)
    stated = joined.campaign.radio.sensitivity_dbm
    by_noise = noise_dbm + demodulation_snr_limit_db(factors)
    return np.where(np.isnan(by_noise), np.nan if stated is None else stated, by_noise)
