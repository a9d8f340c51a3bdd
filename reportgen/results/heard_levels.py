"""The range of the levels that own stations heard, which one colour scale has to hold."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pandas as pd


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardLevels:
    """Ends of the levels of own receptions; NaN where there is none.

    `margin_share_ratio` is the share of them whose margin over the demodulation limit is known.
    """

    margin_share_ratio: float = math.nan
    margin_high_db: float = math.nan
    rssi_low_dbm: float = math.nan
    rssi_high_dbm: float = math.nan


def heard_levels(receptions: pd.DataFrame) -> HeardLevels:
    """Return the range of what own stations heard, of a table of receptions."""
    own = receptions[receptions["is_own"]]
    if own.empty:
        return HeardLevels()
    return HeardLevels(
        margin_share_ratio=float(own["snr_margin_db"].notna().mean()),
        margin_high_db=float(own["snr_margin_db"].max()),
        rssi_low_dbm=float(own["rssi_dbm"].min()),
        rssi_high_dbm=float(own["rssi_dbm"].max()),
    )
