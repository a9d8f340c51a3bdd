"""Figures of the setup: what was stated, what a line and an antenna make of it."""

from __future__ import annotations

from collections.abc import Iterator

from reportgen.compute.decibel import watts_from_dbm
from reportgen.compute.radiated_power import erp_dbm
from reportgen.compute.receiver import (
    REFERENCE_TEMPERATURE_K,
    demodulation_snr_limit_db,
    thermal_noise_dbm,
)
from reportgen.compute.time_on_air import LORAWAN_OVERHEAD_BYTES
from reportgen.compute.transmission_loss import radio_horizon_m
from reportgen.model.campaign import Campaign
from reportgen.model.station import Feeder, Node, Station
from reportgen.results.chain import AnalyserReport, Chain, Line, node_chain, station_chain
from reportgen.results.figure import Absent, Figure, Maker
from reportgen.results.stated import Stated, assumed

MISSING = Absent.MISSING_INPUT


def setup_figures(campaign: Campaign) -> Iterator[Figure]:
    """Yield what is stated and assumed of the radio, and the chain of each own end."""
    stated = Stated.of(campaign)
    yield from _radio(campaign, stated)
    frequency_hz = campaign.radio.frequency_hz
    for station in campaign.own_stations:
        yield from _station(station, frequency_hz, stated, campaign.radio.bandwidth_hz)
    for node in campaign.nodes:
        yield from _node(node, frequency_hz, stated, campaign.radio.bandwidth_hz)


def overhead_bytes(campaign: Campaign) -> int:
    """Return what the protocol adds to a payload, the usual figure where none is stated."""
    radio = campaign.radio
    if radio.overhead_bytes is not None:
        return radio.overhead_bytes
    return LORAWAN_OVERHEAD_BYTES if radio.regional_plan else 0


def _radio(campaign: Campaign, stated: Stated) -> Iterator[Figure]:
    radio, make = campaign.radio, Maker(path="setup.radio")
    for name, value, unit, key in (
        ("frequency_hz", radio.frequency_hz, "Hz", "frequency_mhz"),
        ("bandwidth_hz", radio.bandwidth_hz, "Hz", "bandwidth_khz"),
        ("payload_bytes", radio.payload_bytes, "bytes", "payload_bytes"),
        ("overhead_bytes", overhead_bytes(campaign), "bytes", "overhead_bytes"),
        ("interval_s", radio.interval_s, "s", "interval_s"),
        ("coding_rate", radio.coding_rate, "coding rate", "coding_rate"),
        ("preamble_symbols", radio.preamble_symbols, "symbols", "preamble_symbols"),
        ("rssi_error_db", radio.rssi_error_db, "dB", "rssi_error_db"),
        ("sensitivity_dbm", radio.sensitivity_dbm, "dBm", "sensitivity_dbm"),
    ):
        yield stated.figure(make, name, value, unit, f"radio.{key}")
    yield stated.figure(
        make, "position_error_m", campaign.matching.position_error_m, "m",
        "matching.position_error_m",
    )  # fmt: skip
    yield assumed(make, "temperature_k", REFERENCE_TEMPERATURE_K, "K", "radio")
    for factor in radio.spreading_factors:
        yield Maker(path=f"setup.rate.sf{factor}").figure(
            "snr_limit_db", float(demodulation_snr_limit_db(factor)), "dB", "snr-limit",
            inputs=("radio.spreading_factors",),
        )  # fmt: skip


def _station(
    station: Station, frequency_hz: float | None, stated: Stated, bandwidth_hz: float | None
) -> Iterator[Figure]:
    make, key = Maker(path=f"setup.station.{station.key}"), f"stations.{station.key}"
    chain = station_chain(station, frequency_hz)
    yield from _end(make, key, chain, station.feeder, stated, bandwidth_hz)
    if chain.report is not None:
        yield from _analyser(make, key, chain.report, stated)
    if chain.is_mismatch_assumed:
        yield assumed(make, "mismatch_counted_db", 0.0, "dB", f"{key}.vswr")
    else:
        yield make.figure(
            "mismatch_counted_db", chain.mismatch_counted_db, "dB", "mismatch-loss",
            inputs=(f"{make.path}.vswr_at_antenna",),
        )  # fmt: skip
    yield _chain_loss(make, chain)
    yield from _output(make, chain)
    yield from _horizon(
        make, station.antenna_height_agl_m, f"{key}.antenna_height_m", stated, "antenna_height_m"
    )


def _node(
    node: Node, frequency_hz: float | None, stated: Stated, bandwidth_hz: float | None
) -> Iterator[Figure]:
    make, key = Maker(path=f"setup.node.{node.key}"), f"nodes.{node.key}"
    chain = node_chain(node, frequency_hz)
    yield from _end(make, key, chain, node.feeder, stated, bandwidth_hz)
    yield assumed(make, "mismatch_counted_db", 0.0, "dB", key)
    yield _chain_loss(make, chain)
    yield from _output(make, chain)
    yield from _horizon(
        make, node.carried_height_agl_m, f"{key}.carried_height_m", stated, "carried_height_m"
    )


def _end(
    make: Maker,
    key: str,
    chain: Chain,
    feeder: Feeder | None,
    stated: Stated,
    bandwidth_hz: float | None,
) -> Iterator[Figure]:
    for name, value, unit, part in (
        ("transmit_power_dbm", chain.transmit_power_dbm, "dBm", "transmit_power_dbm"),
        ("antenna_gain_dbi", chain.gain_dbi, "dBi", "antenna.gain_dbi"),
        ("noise_figure_db", chain.noise_figure_db, "dB", "noise_figure_db"),
    ):
        yield stated.figure(make, name, value, unit, f"{key}.{part}")
    yield from _line(make, f"{key}.feeder", chain.line, feeder, stated)
    noise_dbm = None
    if bandwidth_hz is not None and chain.noise_figure_db is not None:
        noise_dbm = float(thermal_noise_dbm(bandwidth_hz, chain.noise_figure_db))
    yield make.figure(
        "noise_dbm", noise_dbm, "dBm", "thermal-noise", absent=MISSING,
        inputs=("setup.radio.bandwidth_hz", f"{make.path}.noise_figure_db",
                "setup.radio.temperature_k"),
    )  # fmt: skip


def _line(
    make: Maker, key: str, line: Line, feeder: Feeder | None, stated: Stated
) -> Iterator[Figure]:
    path = make.path
    if feeder is None:
        if line.line_loss_db is None:
            yield make.figure(
                "line_loss_db", None, "dB", "stated", absent=Absent.NOT_STATED, inputs=(key,)
            )
        else:
            yield assumed(make, "line_loss_db", line.line_loss_db, "dB", key)
    else:
        yield stated.figure(make, "feeder_length_m", line.length_m, "m", f"{key}.length_m")
        if line.table_db_per_100m is not None:
            yield make.figure(
                "table_attenuation_db_per_100m", line.table_db_per_100m, "dB/100 m",
                "cable-table", inputs=(f"{key}.cable", "setup.radio.frequency_hz"),
                source=line.table_source,
            )  # fmt: skip
        yield from _line_loss(make, key, line, stated)
    if feeder is not None and feeder.connectors_loss_db is not None:
        yield stated.figure(
            make, "connectors_loss_db", line.connectors_loss_db, "dB", f"{key}.connectors_loss_db"
        )
    else:
        yield assumed(make, "connectors_loss_db", 0.0, "dB", f"{key}.connectors_loss_db")
    yield make.figure(
        "feeder_loss_db", line.loss_db, "dB", "feeder-loss", absent=MISSING,
        inputs=(f"{path}.line_loss_db", f"{path}.connectors_loss_db"),
    )  # fmt: skip


def _line_loss(make: Maker, key: str, line: Line, stated: Stated) -> Iterator[Figure]:
    path = make.path
    if line.is_stated_whole:
        yield stated.figure(make, "line_loss_db", line.line_loss_db, "dB", f"{key}.loss_db")
        return
    own = f"{path}.table_attenuation_db_per_100m"
    if not line.is_from_table:
        own = f"{path}.attenuation_db_per_100m"
        per_ft = f"{key}.loss_per_100ft_db"
        yield stated.figure(
            make, "attenuation_db_per_100m", line.attenuation_db_per_100m, "dB/100 m",
            per_ft if per_ft in stated.places else f"{key}.loss_per_100m_db",
            absent=Absent.UNKNOWN_CABLE,
        )  # fmt: skip
    yield make.figure(
        "line_loss_db", line.line_loss_db, "dB", "line-loss",
        absent=MISSING if line.attenuation_db_per_100m is not None else Absent.UNKNOWN_CABLE,
        inputs=(own, f"{path}.feeder_length_m"),
    )  # fmt: skip


def _analyser(make: Maker, key: str, report: AnalyserReport, stated: Stated) -> Iterator[Figure]:
    path = make.path
    read, line = f"{path}.vswr", f"{path}.line_loss_at_reading_db"
    yield stated.figure(make, "vswr", report.vswr, "1", f"{key}.vswr.value")
    yield stated.figure(
        make, "vswr_frequency_hz", report.frequency_hz, "Hz", f"{key}.vswr.frequency_mhz"
    )
    at_reading = (f"{path}.feeder_loss_db", f"{path}.vswr_frequency_hz")
    reason = report.reason
    for name, value, unit, method, inputs, absent in (
        ("line_loss_at_reading_db", report.line_loss_db, "dB", "line-loss-at-reading",
         at_reading, MISSING),
        ("return_loss_db", report.return_loss_db, "dB", "return-loss", (read,), Absent.NO_LIMIT),
        ("reflection_coefficient", report.reflection_coefficient, "1", "reflection", (read,),
         MISSING),
        ("open_end_vswr", report.open_end_vswr, "1", "open-end", (line,), Absent.NO_LIMIT),
        ("vswr_at_antenna", report.vswr_at_antenna, "1", "vswr-at-antenna", (read, line), reason),
        ("vswr_at_antenna_low", report.vswr_low, "1", "vswr-at-antenna-range", (read, line),
         reason),
        ("vswr_at_antenna_high", report.vswr_high, "1", "vswr-at-antenna-range", (read, line),
         Absent.NO_LIMIT if report.vswr_at_antenna else reason),
        ("mismatch_loss_db", report.mismatch_loss_db, "dB", "mismatch-loss",
         (f"{path}.vswr_at_antenna",), reason),
        ("standing_wave_loss_db", report.standing_wave_loss_db, "dB", "standing-wave-loss",
         (line, f"{path}.vswr_at_antenna"), reason),
    ):  # fmt: skip
        shown = None if value == float("inf") else value
        yield make.figure(name, shown, unit, method, absent=absent, inputs=inputs)


def _chain_loss(make: Maker, chain: Chain) -> Figure:
    return make.figure(
        "chain_loss_db", chain.loss_db, "dB", "chain-loss", absent=MISSING,
        inputs=(f"{make.path}.feeder_loss_db", f"{make.path}.mismatch_counted_db"),
    )  # fmt: skip


def _output(make: Maker, chain: Chain) -> Iterator[Figure]:
    path = make.path
    output_dbm = chain.eirp_dbm
    inputs = (
        f"{path}.transmit_power_dbm",
        f"{path}.feeder_loss_db",
        f"{path}.mismatch_counted_db",
        f"{path}.antenna_gain_dbi",
    )
    erp = None if output_dbm is None else float(erp_dbm(output_dbm))
    yield make.figure("eirp_dbm", output_dbm, "dBm", "eirp", absent=MISSING, inputs=inputs)
    yield make.figure(
        "erp_dbm", erp, "dBm", "erp", absent=MISSING, inputs=(f"{path}.eirp_dbm",)
    )  # fmt: skip
    for name, value in (("eirp", output_dbm), ("erp", erp)):
        power_w = None if value is None else float(watts_from_dbm(value))
        yield make.figure(
            f"{name}_w", power_w, "W", "watts", absent=MISSING, inputs=(f"{path}.{name}_dbm",)
        )


def _horizon(
    make: Maker, height_m: float | None, key: str, stated: Stated, name: str
) -> Iterator[Figure]:
    yield stated.figure(make, name, height_m, "m", key)
    away_m = None if height_m is None else float(radio_horizon_m(height_m))
    yield make.figure(
        "radio_horizon_m", away_m, "m", "radio-horizon", absent=MISSING,
        inputs=(f"{make.path}.{name}",),
    )  # fmt: skip
