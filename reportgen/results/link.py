"""What each reception says of the path: the signal alone, its margin, the loss on the way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.geodesy import slant_range_m
from reportgen.compute.measured_loss import (
    basic_transmission_loss_db,
    excess_loss_db,
    is_too_strong,
    least_plausible_loss_db,
)
from reportgen.compute.receiver import (
    demodulation_snr_limit_db,
    sensitivity_dbm,
    signal_power_dbm,
)
from reportgen.match.join import Joined
from reportgen.model.campaign import Campaign
from reportgen.model.station import Node, Station
from reportgen.model.walk import Walk
from reportgen.results.chain import Chain, node_chain, node_on_walk, station_chain
from reportgen.results.figure import Absent

HIDDEN_POWER = (Absent.ADAPTIVE_POWER, Absent.ADAPTIVE_UNKNOWN)
"""Reasons why nobody knows a node's power on a walk."""

Side = Literal["uplink", "downlink"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerKnown:
    """What is known of a sender's power: a figure for every row, or why there is none."""

    power_dbm: float | None
    reason: Absent | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkGroup:
    """Rows of one walk, node and station; `node` as it was carried on that walk.

    `positions` are those of the rows in their table.
    """

    walk: Walk
    node: Node
    station: Station
    rows: pd.DataFrame
    positions: NDArray[np.intp]


def with_link_columns(joined: Joined) -> Joined:
    """Return the campaign with the link columns of receptions and downlinks filled in."""
    return replace(
        joined,
        receptions=_filled(joined, joined.receptions, "uplink"),
        downlinks=_filled(joined, joined.downlinks, "downlink"),
    )


def power_known(walk: Walk, node: Node, joined: Joined) -> PowerKnown:
    """Return the power of a node on a walk where it is the same for every frame.

    Adaptive rate lowers power too, and a log of what stations heard does not show by how much.
    """
    if walk.is_rate_adaptive:
        return PowerKnown(power_dbm=None, reason=Absent.ADAPTIVE_POWER)
    if walk.is_rate_adaptive is None and _has_changing_rate(walk, node, joined):
        return PowerKnown(power_dbm=None, reason=Absent.ADAPTIVE_UNKNOWN)
    power_dbm = node_on_walk(node, walk).transmit_power_dbm
    reason = Absent.MISSING_INPUT if power_dbm is None else None
    return PowerKnown(power_dbm=power_dbm, reason=reason)


def _has_changing_rate(walk: Walk, node: Node, joined: Joined) -> bool:
    """Tell whether a node's frames came at several rates that nobody set on purpose."""
    if joined.campaign.radio.counter_scope == "data rate":
        return False
    frames = joined.frames
    rates = frames.loc[(frames["walk"] == walk.key) & (frames["node"] == node.key), "data_rate"]
    return len(set(rates) - {""}) > 1


def _filled(joined: Joined, table: pd.DataFrame, side: Side) -> pd.DataFrame:
    filled: dict[str, NDArray[np.float64] | NDArray[np.bool_]] = {}
    for group in _groups(joined, table):
        for name, values in _link_columns(joined, group, side).items():
            whole = filled.setdefault(name, table[name].to_numpy(copy=True))
            whole[group.positions] = values
    return table.assign(**filled)


def _groups(joined: Joined, table: pd.DataFrame) -> Iterator[LinkGroup]:
    walks = {walk.key: walk for walk in joined.campaign.walks}
    nodes = {node.key: node for node in joined.campaign.nodes}
    stations = {station.key: station for station in joined.stations}
    by_ends = table.groupby(["walk", "node", "station"], sort=False)
    for (walk, node, station), positions in by_ends.indices.items():
        yield LinkGroup(
            walk=walks[walk],
            node=nodes[node],
            station=stations[station],
            rows=table.iloc[positions],
            positions=positions,
        )


def _link_columns(
    joined: Joined, group: LinkGroup, side: Side
) -> dict[str, NDArray[np.float64] | NDArray[np.bool_]]:
    campaign, rows = joined.campaign, group.rows
    node = node_on_walk(group.node, group.walk)
    here = node_chain(node, campaign.radio.frequency_hz)
    there = station_chain(group.station, campaign.radio.frequency_hz)
    sender, receiver = (here, there) if side == "uplink" else (there, here)
    signal_dbm = _signal_dbm(rows, campaign)
    output_dbm = _output_dbm(sender, rows, _usual_power_dbm(joined, group, sender, side))
    loss_db = np.full(len(rows), np.nan)
    if receiver.gain_dbi is not None and receiver.loss_db is not None:
        loss_db = basic_transmission_loss_db(
            signal_dbm,
            eirp_dbm=output_dbm,
            receive_gain_dbi=receiver.gain_dbi,
            receive_loss_db=receiver.loss_db,
        )
    excess_db, too_strong = _against_free_space(rows, loss_db, node, group.station, campaign)
    return {
        "signal_dbm": signal_dbm,
        "link_margin_db": signal_dbm - _needed_dbm(rows, receiver, campaign),
        "loss_db": loss_db,
        "excess_loss_db": excess_db,
        "is_too_strong": too_strong,
    }


def _usual_power_dbm(joined: Joined, group: LinkGroup, sender: Chain, side: Side) -> float:
    """Return the sender's power for rows whose log doesn't say it, NaN where unknown."""
    if side == "uplink":
        known = power_known(group.walk, group.node, joined).power_dbm
    else:
        known = sender.transmit_power_dbm
    return np.nan if known is None else known


def _signal_dbm(rows: pd.DataFrame, campaign: Campaign) -> NDArray[np.float64]:
    """Return the signal's own power; a row without SNR says no better than its RSSI."""
    rssi_dbm = np.asarray(rows["rssi_dbm"], dtype=np.float64)
    snr_db = rows["snr_db"].to_numpy(dtype=np.float64)
    if campaign.radio.rssi_scope == "signal":
        return rssi_dbm
    alone_dbm = signal_power_dbm(rssi_dbm, snr_db)
    return np.asarray(np.where(np.isnan(snr_db), rssi_dbm, alone_dbm))


def _output_dbm(sender: Chain, rows: pd.DataFrame, usual_dbm: float) -> NDArray[np.float64]:
    """Return the EIRP of each row, by its recorded power where there is one."""
    recorded_dbm = rows["transmit_power_dbm"].to_numpy(dtype=np.float64)
    if sender.loss_db is None or sender.gain_dbi is None:
        return np.full(len(rows), np.nan)
    beyond_db = np.float64(sender.gain_dbi - sender.loss_db)
    return np.asarray(np.where(np.isnan(recorded_dbm), usual_dbm, recorded_dbm) + beyond_db)


def _needed_dbm(rows: pd.DataFrame, receiver: Chain, campaign: Campaign) -> NDArray[np.float64]:
    """Return the receiver's sensitivity at each row's rate, the stated one for other radios."""
    radio = campaign.radio
    stated_dbm = np.nan if radio.sensitivity_dbm is None else radio.sensitivity_dbm
    usual_hz = np.nan if radio.bandwidth_hz is None else radio.bandwidth_hz
    own_hz = rows["bandwidth_hz"].to_numpy(dtype=np.float64)
    bandwidth_hz = np.where(np.isnan(own_hz), usual_hz, own_hz)
    factors = rows["spreading_factor"].to_numpy(dtype=np.float64, na_value=np.nan)
    if receiver.noise_figure_db is None:
        return np.full(len(rows), stated_dbm)
    derived_dbm = sensitivity_dbm(
        bandwidth_hz, receiver.noise_figure_db, demodulation_snr_limit_db(factors)
    )
    return np.where(np.isnan(derived_dbm), stated_dbm, derived_dbm)


def path_m(rows: pd.DataFrame, node: Node, station: Station) -> NDArray[np.float64]:
    """Return path lengths: over the ground, and up by the difference of the stated heights."""
    away_m = rows["distance_m"].to_numpy(dtype=np.float64)
    up, down = station.antenna_height_agl_m, node.carried_height_agl_m
    return away_m if up is None or down is None else slant_range_m(away_m, up - down)


def _against_free_space(
    rows: pd.DataFrame,
    loss_db: NDArray[np.float64],
    node: Node,
    station: Station,
    campaign: Campaign,
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    radio = campaign.radio
    own_hz = rows["frequency_hz"].to_numpy(dtype=np.float64)
    usual_hz = np.nan if radio.frequency_hz is None else radio.frequency_hz
    frequency_hz = np.where(np.isnan(own_hz), usual_hz, own_hz)
    away_m = path_m(rows, node, station)
    least_db = least_plausible_loss_db(
        away_m,
        frequency_hz=frequency_hz,
        rssi_error_db=radio.rssi_error_db,
        position_error_m=campaign.matching.position_error_m,
    )
    return excess_loss_db(loss_db, away_m, frequency_hz), is_too_strong(loss_db, least_db)
