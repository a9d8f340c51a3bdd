"""Figures of the setup: output, losses and what each direction can bear."""

from __future__ import annotations

from collections.abc import Iterator

from reportgen.compute.decibel import watts_from_dbm
from reportgen.compute.link_budget import (
    demodulation_snr_limit_db,
    eirp_dbm,
    mismatch_loss_db,
    sensitivity_dbm,
    vswr_at_antenna,
)
from reportgen.model.campaign import Campaign, Radio
from reportgen.model.station import Feeder, Node, Station
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

    No feeder at all is a loss of 0 dB: the antenna sits on the radio.
    """
    if feeder is None:
        return 0.0
    line_db = feeder.loss_db
    if line_db is None and feeder.loss_per_100m_db is not None and feeder.length_m is not None:
        line_db = feeder.loss_per_100m_db * feeder.length_m / 100.0
    return None if line_db is None else line_db + (feeder.connectors_loss_db or 0.0)


def _station(station: Station) -> Iterator[Figure]:
    make = Maker(path=f"setup.station.{station.key}")
    source = (f"stations.{station.key}",)
    loss_db = feeder_loss_db(station.feeder)
    yield make.figure(
        "feeder_loss_db", loss_db, "dB", "feeder-loss", absent=Absent.NOT_STATED, inputs=source
    )
    antenna_vswr, reason = _vswr_at_antenna(station, loss_db)
    yield make.figure(
        "vswr_at_antenna", antenna_vswr, "1", "vswr-at-antenna", absent=reason, inputs=source
    )
    mismatch_db = None if antenna_vswr is None else float(mismatch_loss_db(antenna_vswr))
    yield make.figure(
        "mismatch_loss_db", mismatch_db, "dB", "mismatch-loss", absent=reason, inputs=source
    )
    output_dbm = station_eirp_dbm(station)
    yield make.figure(
        "eirp_dbm", output_dbm, "dBm", "eirp", absent=Absent.NOT_STATED, inputs=source
    )
    yield make.figure(
        "eirp_w", None if output_dbm is None else float(watts_from_dbm(output_dbm)), "W", "eirp",
        absent=Absent.NOT_STATED, inputs=(f"{make.path}.eirp_dbm",),
    )  # fmt: skip


def _vswr_at_antenna(station: Station, loss_db: float | None) -> tuple[float | None, Absent]:
    reading = station.vswr
    if reading is None:
        return None, Absent.NOT_STATED
    if reading.measured_at == "antenna":
        return reading.vswr, Absent.NOT_STATED
    if loss_db is None:
        return None, Absent.NOT_STATED
    value = float(vswr_at_antenna(reading.vswr, loss_db))
    # NaN: the line loss alone would give a better reading than was read.
    return (None if value != value else value), Absent.CONTRADICTION  # noqa: PLR0124


def station_eirp_dbm(station: Station) -> float | None:
    """Return the station's output, mismatch counted once where it is known. [dBm]."""
    loss_db = feeder_loss_db(station.feeder)
    gain_dbi = station.antenna.gain_dbi
    if station.transmit_power_dbm is None or loss_db is None or gain_dbi is None:
        return None
    antenna_vswr, _ = _vswr_at_antenna(station, loss_db)
    mismatch_db = 0.0 if antenna_vswr is None else float(mismatch_loss_db(antenna_vswr))
    return float(
        eirp_dbm(
            station.transmit_power_dbm,
            feeder_loss_db=loss_db,
            antenna_gain_dbi=gain_dbi,
            mismatch_loss_db=mismatch_db,
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
    feeder_db, gain_dbi = feeder_loss_db(station.feeder), station.antenna.gain_dbi
    antenna_vswr, _ = _vswr_at_antenna(station, feeder_db)
    mismatch_db = 0.0 if antenna_vswr is None else float(mismatch_loss_db(antenna_vswr))
    ends = (
        ("uplink", station.noise_figure_db, node_eirp_dbm(node), gain_dbi, feeder_db, mismatch_db),
        ("downlink", node.noise_figure_db, station_eirp_dbm(station), node.antenna.gain_dbi, 0.0,
         0.0),
    )  # fmt: skip
    for direction, noise_db, output_dbm, receive_gain_dbi, receive_loss_db, added_db in ends:
        make = Maker(path=f"setup.{direction}.{station.key}.{node.key}.{rate}")
        inputs = (f"stations.{station.key}", f"nodes.{node.key}", "radio")
        needed_dbm = _receiver_sensitivity_dbm(radio, noise_db, spreading_factor)
        yield make.figure(
            "sensitivity_dbm", needed_dbm, "dBm", "sensitivity",
            absent=Absent.NOT_STATED, inputs=inputs,
        )  # fmt: skip
        parts = (output_dbm, receive_gain_dbi, receive_loss_db, needed_dbm)
        bearable_db = None
        if all(part is not None for part in parts):
            bearable_db = (
                (output_dbm or 0.0) + (receive_gain_dbi or 0.0) - (receive_loss_db or 0.0)
                - added_db - (needed_dbm or 0.0)
            )  # fmt: skip
        yield make.figure(
            "largest_loss_db", bearable_db, "dB", "largest-loss",
            absent=Absent.NOT_STATED, inputs=inputs,
        )  # fmt: skip
