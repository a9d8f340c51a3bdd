"""Figures of the paths of a walk: signal, margin, loss, and what can't be true."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from reportgen.compute.statistics import LevelSummary, level_summary
from reportgen.compute.transmission_loss import fresnel_radius_m
from reportgen.match.join import Joined
from reportgen.model.station import Station
from reportgen.results.figure import Absent, Figure, Maker
from reportgen.results.link import power_known
from reportgen.results.walks import WalkResult

COLUMNS = (
    ("signal_dbm", "dBm", "signal-power"),
    ("link_margin_db", "dB", "link-margin"),
    ("loss_db", "dB", "basic-loss"),
    ("excess_loss_db", "dB", "excess-loss"),
)
LOSSES = ("loss_db", "excess_loss_db")


def loss_figures(result: WalkResult, joined: Joined) -> Iterator[Figure]:
    """Yield median and quartiles of signal, margin and loss, and rows stronger than can be."""
    for station in joined.campaign.own_stations:
        heard = result.receptions[result.receptions["station"] == station.key]
        make = Maker(path=f"walk.{result.walk.key}.station.{station.key}")
        yield from _summaries(make, heard, _inputs(result, station), _reason(result, heard, joined))
        yield from _fresnel(make, heard, joined)
        downlink = result.downlinks[result.downlinks["station"] == station.key]
        if len(downlink):
            under = Maker(path=f"walk.{result.walk.key}.downlink.{station.key}")
            yield from _summaries(under, downlink, ("downlinks",), Absent.MISSING_INPUT)


def _inputs(result: WalkResult, station: Station) -> tuple[str, ...]:
    ends = tuple(f"setup.node.{node}.eirp_dbm" for node in result.nodes)
    path = f"setup.station.{station.key}"
    return ("receptions", *ends, f"{path}.antenna_gain_dbi", f"{path}.chain_loss_db")


def _reason(result: WalkResult, heard: pd.DataFrame, joined: Joined) -> Absent:
    """Return why no loss can be given, where none can."""
    if heard.empty:
        return Absent.NOTHING_HEARD
    nodes = {node.key: node for node in joined.campaign.nodes}
    for node in result.nodes:
        reason = power_known(result.walk, nodes[node], joined).reason
        if reason is not None:
            return reason
    return Absent.MISSING_INPUT


def margin_figures(make: Maker, receptions: pd.DataFrame) -> Iterator[Figure]:
    """Yield median and quartiles of the signal's margin over the receiver's sensitivity."""
    summary = level_summary(receptions["link_margin_db"].to_numpy(dtype=float))
    absent = Absent.NO_LEVEL if len(receptions) else Absent.NOTHING_HEARD
    yield from _quartiles(
        make, summary, "link_margin_db", "dB", "link-margin", absent, ("receptions",)
    )


def _quartiles(
    make: Maker,
    summary: LevelSummary,
    column: str,
    unit: str,
    method: str,
    absent: Absent,
    inputs: tuple[str, ...],
) -> Iterator[Figure]:
    for name, value in (
        ("median", summary.median),
        ("lower_quartile", summary.lower_quartile),
        ("upper_quartile", summary.upper_quartile),
    ):
        yield make.figure(
            f"{column}_{name}", float(value), unit, method, absent=absent, count=summary.count,
            inputs=inputs,
        )  # fmt: skip


def _summaries(
    make: Maker, rows: pd.DataFrame, inputs: tuple[str, ...], reason: Absent
) -> Iterator[Figure]:
    plausible = rows[~rows["is_too_strong"]]
    for column, unit, method in COLUMNS:
        is_loss = column in LOSSES
        # A level that no path can give says nothing of the path.
        summary = level_summary((plausible if is_loss else rows)[column].to_numpy(dtype=float))
        absent = reason if is_loss else Absent.NO_LEVEL if len(rows) else Absent.NOTHING_HEARD
        if is_loss and plausible.empty and len(rows):
            absent = Absent.ALL_TOO_STRONG
        yield from _quartiles(
            make, summary, column, unit, method, absent, inputs if is_loss else inputs[:1]
        )
    known = int(rows["excess_loss_db"].notna().sum())
    yield make.figure(
        "too_strong", int(rows["is_too_strong"].sum()) if known else None, "frames", "too-strong",
        absent=reason, count=known,
        inputs=("setup.radio.rssi_error_db", "setup.radio.position_error_m"),
    )  # fmt: skip


def _fresnel(make: Maker, heard: pd.DataFrame, joined: Joined) -> Iterator[Figure]:
    """Yield the radius of the first zone halfway to the farthest reception."""
    frequency_hz = joined.campaign.radio.frequency_hz
    away_m = heard["distance_m"].max()
    radius_m = None
    if frequency_hz is not None and away_m > 0:
        radius_m = float(fresnel_radius_m(away_m / 2, away_m / 2, frequency_hz=frequency_hz))
    yield make.figure(
        "fresnel_radius_m", radius_m, "m", "fresnel-radius",
        absent=Absent.NOTHING_HEARD if heard.empty else Absent.MISSING_INPUT,
        inputs=(f"{make.path}.farthest_heard_m", "setup.radio.frequency_hz"),
    )  # fmt: skip
