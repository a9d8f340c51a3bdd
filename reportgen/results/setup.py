"""Figures of the setup: output, losses and what each direction can bear."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from reportgen.compute.decibel import watts_from_dbm
from reportgen.compute.link_budget import (
    demodulation_snr_limit_db,
    eirp_dbm,
    mismatch_loss_db,
    sensitivity_dbm,
    vswr_at_antenna,
)
from reportgen.model.campaign import Campaign, Radio
from reportgen.model.station import Feeder, Node, Station, VswrReading
from reportgen.results.figure import Absent, Figure, Maker


def setup_figures(campaign: Campaign) -> Iterator[Figure]:
    """Yield losses, output and the largest bearable loss, uplink and downlink."""
    for station in campaign.own_stations:
        yield from _station(station)
    for node in campaign.nodes:
        yield _node_eirp(node)
    for station in campaign.own_stations:
        for node in campaign.nodes:
            for rate, sf in _rates(campaign.radio):
                yield from _budget(station, node, campaign.radio, rate, sf)


def feeder_loss_db(feeder: Feeder | None) -> float | None:
    """Return matched loss of line and connectors; None where the line's loss is not known.

    An antenna that sits on the radio is a stated loss of 0 dB; nothing stated is nothing known.
    """
    if feeder is None:
        return None
    line_db = feeder.loss_db
    if line_db is None and feeder.loss_per_100m_db is not None and feeder.length_m is not None:
        line_db = feeder.loss_per_100m_db * feeder.length_m / 100.0
    return None if line_db is None else line_db + (feeder.connectors_loss_db or 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class AntennaChain:
    """What lies between a station's radio and the air, each None where it can't be known."""

    feeder_loss_db: float | None
    vswr_at_antenna: float | None
    mismatch_loss_db: float | None
    reason: Absent

    @property
    def loss_db(self) -> float | None:
        """Line, connectors and mismatch, the last counted once and only where it was read."""
        if self.feeder_loss_db is None:
            return None
        return self.feeder_loss_db + (self.mismatch_loss_db or 0.0)


def antenna_chain(station: Station) -> AntennaChain:
    """Return the losses of a station's line and antenna."""
    loss_db = feeder_loss_db(station.feeder)
    vswr, reason = _vswr_at_antenna(station.vswr, loss_db)
    return AntennaChain(
        feeder_loss_db=loss_db,
        vswr_at_antenna=vswr,
        mismatch_loss_db=None if vswr is None else float(mismatch_loss_db(vswr)),
        reason=reason,
    )


def _vswr_at_antenna(
    reading: VswrReading | None, loss_db: float | None
) -> tuple[float | None, Absent]:
    if reading is None:
        return None, Absent.NOT_STATED
    if reading.measured_at == "antenna":
        return reading.vswr, Absent.NOT_STATED
    if loss_db is None:
        return None, Absent.NOT_STATED
    value = float(vswr_at_antenna(reading.vswr, loss_db))
    # NaN: the line loss alone would give a better reading than was read.
    return (None if math.isnan(value) else value), Absent.CONTRADICTION


def _station(station: Station) -> Iterator[Figure]:
    make = Maker(path=f"setup.station.{station.key}")
    source = (f"stations.{station.key}",)
    chain, output_dbm = antenna_chain(station), station_eirp_dbm(station)
    output_w = None if output_dbm is None else float(watts_from_dbm(output_dbm))
    for name, value, unit, method, reason in (
        ("feeder_loss_db", chain.feeder_loss_db, "dB", "feeder-loss", Absent.NOT_STATED),
        ("vswr_at_antenna", chain.vswr_at_antenna, "1", "vswr-at-antenna", chain.reason),
        ("mismatch_loss_db", chain.mismatch_loss_db, "dB", "mismatch-loss", chain.reason),
        ("eirp_dbm", output_dbm, "dBm", "eirp", Absent.NOT_STATED),
        ("eirp_w", output_w, "W", "eirp", Absent.NOT_STATED),
    ):
        yield make.figure(name, value, unit, method, absent=reason, inputs=source)


def station_eirp_dbm(station: Station) -> float | None:
    """Return the station's output, mismatch counted once where it is known. [dBm]."""
    chain, gain_dbi = antenna_chain(station), station.antenna.gain_dbi
    if station.transmit_power_dbm is None or chain.feeder_loss_db is None or gain_dbi is None:
        return None
    return float(
        eirp_dbm(
            station.transmit_power_dbm,
            feeder_loss_db=chain.feeder_loss_db,
            antenna_gain_dbi=gain_dbi,
            mismatch_loss_db=chain.mismatch_loss_db or 0.0,
        )
    )


def node_eirp_dbm(node: Node) -> float | None:
    """Return the node's output; its antenna sits on the radio. [dBm]."""
    if node.transmit_power_dbm is None or node.antenna.gain_dbi is None:
        return None
    return node.transmit_power_dbm + node.antenna.gain_dbi


def _node_eirp(node: Node) -> Figure:
    return Maker(path=f"setup.node.{node.key}").figure(
        "eirp_dbm", node_eirp_dbm(node), "dBm", "eirp",
        absent=Absent.NOT_STATED, inputs=(f"nodes.{node.key}",),
    )  # fmt: skip


def _rates(radio: Radio) -> list[tuple[str, int | None]]:
    if radio.spreading_factors:
        return [(f"sf{sf}", sf) for sf in radio.spreading_factors]
    return [("any", None)]


def _receiver_sensitivity_dbm(
    radio: Radio, noise_figure_db: float | None, spreading_factor: int | None
) -> float | None:
    if spreading_factor is None or noise_figure_db is None or radio.bandwidth_hz is None:
        return radio.sensitivity_dbm
    limit_db = float(demodulation_snr_limit_db(spreading_factor))
    return float(sensitivity_dbm(radio.bandwidth_hz, noise_figure_db, limit_db))


def _budget(
    station: Station, node: Node, radio: Radio, rate: str, spreading_factor: int | None
) -> Iterator[Figure]:
    directions = (
        (
            "uplink",
            node_eirp_dbm(node),
            station.antenna.gain_dbi,
            antenna_chain(station).loss_db,
            station.noise_figure_db,
        ),
        ("downlink", station_eirp_dbm(station), node.antenna.gain_dbi, 0.0, node.noise_figure_db),
    )
    inputs = (f"stations.{station.key}", f"nodes.{node.key}", "radio")
    for direction, output_dbm, gain_dbi, loss_db, noise_figure_db in directions:
        make = Maker(path=f"setup.{direction}.{station.key}.{node.key}.{rate}")
        needed_dbm = _receiver_sensitivity_dbm(radio, noise_figure_db, spreading_factor)
        bearable_db = _bearable_loss_db(output_dbm, gain_dbi, loss_db, needed_dbm)
        for name, value, unit, method in (
            ("sensitivity_dbm", needed_dbm, "dBm", "sensitivity"),
            ("largest_loss_db", bearable_db, "dB", "largest-loss"),
        ):
            yield make.figure(name, value, unit, method, absent=Absent.NOT_STATED, inputs=inputs)


def _bearable_loss_db(
    output_dbm: float | None,
    gain_dbi: float | None,
    loss_db: float | None,
    needed_dbm: float | None,
) -> float | None:
    if output_dbm is None or gain_dbi is None or loss_db is None or needed_dbm is None:
        return None
    return output_dbm + gain_dbi - loss_db - needed_dbm
