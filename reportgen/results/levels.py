"""Figures of a set of receptions: how many, how strong, how far."""

from __future__ import annotations

import pandas as pd

from reportgen.compute.statistics import level_summary
from reportgen.errors import Where
from reportgen.results.figure import Absent, Figure, Maker, Prefix

LEVELS = (("rssi_dbm", "dBm"), ("snr_db", "dB"), ("snr_margin_db", "dB"))


def level_figures(make: Maker, receptions: pd.DataFrame) -> list[Figure]:
    """Return count, median, quartiles, best and worst of RSSI, SNR and margin.

    Parameters
    ----------
    make : Maker
    receptions : DataFrame
        Rows of `model.columns.RECEPTIONS`, of one station.
    """
    heard = int(receptions["frame"].nunique())
    figures = [make.figure("frames_heard", heard, "frames", "frames-heard", count=len(receptions))]
    nothing = Absent.NOTHING_HEARD if receptions.empty else Absent.NO_LEVEL
    for column, unit in LEVELS:
        summary = level_summary(receptions[column].to_numpy(dtype=float))
        for name, value in (
            ("median", summary.median),
            ("lower_quartile", summary.lower_quartile),
            ("upper_quartile", summary.upper_quartile),
            ("best", summary.best),
            ("worst", summary.worst),
        ):
            figures.append(
                make.figure(
                    f"{column}_{name}", float(value), unit, "level-summary",
                    absent=nothing, count=summary.count, inputs=("receptions",),
                )
            )  # fmt: skip
    return figures


def farthest_figures(
    make: Maker,
    receptions: pd.DataFrame,
    *,
    has_station_position: bool,
    prefix: Prefix = "",
) -> list[Figure]:
    """Return distance, bearing, time and levels of the farthest reception."""
    placed = receptions[receptions["distance_m"].notna()]
    if placed.empty:
        reason = (
            Absent.NOTHING_HEARD
            if receptions.empty
            else Absent.NO_PLACE
            if has_station_position
            else Absent.NO_STATION_POSITION
        )
        return [
            make.figure(name, None, unit, "farthest-heard", absent=reason)
            for name, unit in (
                ("farthest_heard_m", "m"),
                ("farthest_heard_bearing_deg", "deg"),
                ("farthest_heard_time", "UTC"),
                ("farthest_heard_rssi_dbm", "dBm"),
                ("farthest_heard_snr_db", "dB"),
            )
        ]
    row = placed.loc[placed["distance_m"].idxmax()]
    where = Where(path=row["file"], line=int(row["line"]))
    time = None if pd.isna(row["time_utc"]) else row["time_utc"].isoformat().replace("+00:00", "Z")

    def one(name: str, value: float | str | None, unit: str, absent: Absent) -> Figure:
        return make.figure(
            name, value, unit, "farthest-heard", absent=absent, count=len(placed), where=where,
            inputs=("receptions",), prefix=prefix if name == "farthest_heard_m" else "",
        )  # fmt: skip

    return [
        one("farthest_heard_m", float(row["distance_m"]), "m", Absent.NO_PLACE),
        one("farthest_heard_bearing_deg", float(row["bearing_deg"]), "deg", Absent.SAME_PLACE),
        one("farthest_heard_time", time, "UTC", Absent.NO_TIME),
        one("farthest_heard_rssi_dbm", float(row["rssi_dbm"]), "dBm", Absent.NO_LEVEL),
        one("farthest_heard_snr_db", float(row["snr_db"]), "dB", Absent.NO_LEVEL),
    ]
