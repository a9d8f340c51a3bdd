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
from reportgen.results.chain import station_chain
from reportgen.results.walks import WalkResult

Floats = NDArray[np.float64]


def frames_with_levels(result: WalkResult, node: Node, home: Station) -> pd.DataFrame:
    """Return a node's counted frames on a walk, in time order, with what the own station measured.

    Columns beside those of FRAMES: signal_dbm, rssi_dbm and recorded_dbm (the sender's power as
    logged), NaN for a frame that was missed; has_snr. Frames in doubt are neither heard nor
    missed, and levels that can't be true are not used: neither is in the table.
    """
    mine = result.frames[result.frames["node"] == node.key]
    mine = mine[~mine["is_doubtful"] & mine["is_counted"]].sort_values("time_utc", kind="stable")
    own = result.receptions[result.receptions["station"] == home.key]
    level = own.drop_duplicates("frame").set_index("frame")
    number = mine["frame"]
    rows = mine.assign(
        recorded_dbm=number.map(level["transmit_power_dbm"])
        .astype("float64")
        .fillna(mine["transmit_power_dbm"]),
        has_snr=~number.isin(level.index[level["snr_db"].isna()]).to_numpy(dtype=np.bool_),
        **{name: number.map(level[name]) for name in ("signal_dbm", "rssi_dbm")},
    )
    impossible = number.map(level["is_too_strong"].astype(float)).to_numpy(dtype=float)
    has_no_level = number.isin(level.index) & rows["signal_dbm"].isna()
    return rows[~(impossible == 1.0) & ~has_no_level]


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
    """Return what the own station heard; of a long campaign this takes a while, so ask once."""
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


def limits_dbm(joined: Joined, table: pd.DataFrame, noise_dbm: float) -> Floats:
    """Return the level below which each frame is missed; NaN where it can't be known."""
    factors = table["spreading_factor"].to_numpy(dtype=np.float64, na_value=np.nan)
    stated = joined.campaign.radio.sensitivity_dbm
    by_noise = noise_dbm + demodulation_snr_limit_db(factors)
    return np.where(np.isnan(by_noise), np.nan if stated is None else stated, by_noise)
