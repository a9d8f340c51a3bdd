"""Link budgets in both directions, and which of them ends first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import pandas as pd

from reportgen.compute.receiver import demodulation_snr_limit_db, sensitivity_dbm
from reportgen.compute.transmission_loss import free_space_basic_transmission_loss_db
from reportgen.match.join import Joined
from reportgen.model.campaign import Campaign, Radio
from reportgen.model.station import Node, Station
from reportgen.model.walk import Walk
from reportgen.results.chain import Chain, node_chain, node_on_walk, station_chain
from reportgen.results.figure import Absent, Figure, Maker
from reportgen.results.link import HIDDEN_POWER, power_known
from reportgen.results.sent_frames import HeardAtHome

EVEN_DB = 3.0
"""Directions whose largest losses differ by less are called even: powers, gains and noise figures
are not stated any better than that (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """A data rate of a budget: its part of a name, and its spreading factor if it has one."""

    name: str
    spreading_factor: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Direction:
    """One direction of a link: who sends, who receives, and the paths of their figures."""

    name: str
    sender: Chain
    sender_path: str
    receiver: Chain
    receiver_path: str

    @property
    def gain_less_loss_db(self) -> float | None:
        """What the receiving antenna and line make of the wave that arrives."""
        loss_db = self.receiver.loss_db
        if loss_db is None or self.receiver.gain_dbi is None:
            return None
        return self.receiver.gain_dbi - loss_db


def rates_of(radio: Radio) -> tuple[Rate, ...]:
    """Return the rates that budgets are made for; one without a name where none is stated."""
    if radio.spreading_factors:
        return tuple(Rate(name=f"sf{sf}", spreading_factor=sf) for sf in radio.spreading_factors)
    return (Rate(name="any", spreading_factor=None),)


def directions_of(
    station: Station, node: Node, frequency_hz: float | None
) -> tuple[Direction, ...]:
    """Return uplink (node to station) and downlink (station to node)."""
    there, here = station_chain(station, frequency_hz), node_chain(node, frequency_hz)
    paths = f"setup.station.{station.key}", f"setup.node.{node.key}"
    return (
        Direction(name="uplink", sender=here, sender_path=paths[1], receiver=there,
                  receiver_path=paths[0]),
        Direction(name="downlink", sender=there, sender_path=paths[0], receiver=here,
                  receiver_path=paths[1]),
    )  # fmt: skip


def receiver_sensitivity_dbm(
    radio: Radio, noise_figure_db: float | None, spreading_factor: int | None
) -> float | None:
    """Return least power that is still received: from noise and SNR limit, else as stated."""
    if spreading_factor is None or noise_figure_db is None or radio.bandwidth_hz is None:
        return radio.sensitivity_dbm
    limit_db = float(demodulation_snr_limit_db(spreading_factor))
    return float(sensitivity_dbm(radio.bandwidth_hz, noise_figure_db, limit_db))


def budget_figures(joined: Joined, heard: HeardAtHome) -> Iterator[Figure]:
    """Yield the budgets of every own station with every node."""
    radio = joined.campaign.radio
    seen_dbm, is_seen = heard.noise_dbm, heard.is_noise_seen
    yield Maker(path=f"setup.station.{joined.home.key}").figure(
        "noise_seen_dbm", seen_dbm if is_seen else None, "dBm", "noise-seen",
        absent=Absent.NO_NOISE_SEEN, count=heard.rows_below_noise, inputs=("receptions",),
    )  # fmt: skip
    for station in joined.campaign.own_stations:
        noise_dbm = seen_dbm if is_seen and station.key == joined.home.key else None
        for node in joined.campaign.nodes:
            both = directions_of(station, node, radio.frequency_hz)
            ends = f"{station.key}.{node.key}"
            levels = {
                "uplink": _rows(joined, joined.receptions, station, node),
                "downlink": _rows(joined, joined.downlinks, station, node),
            }
            for direction in both:
                make = Maker(path=f"setup.{direction.name}.{ends}")
                yield from _levels(make, direction, levels, radio)
            for rate in rates_of(radio):
                yield from _rate_figures(ends, rate, both, radio, noise_dbm)


def walks_changed(campaign: Campaign, node: Node) -> tuple[Walk, ...]:
    """Return the walks on which a node was carried otherwise than described: in no budget of it."""
    return tuple(
        walk
        for walk in campaign.walks
        if node.key in walk.nodes and node_on_walk(node, walk) != node
    )


def _rows(joined: Joined, table: pd.DataFrame, station: Station, node: Node) -> pd.DataFrame:
    """Return the levels of a link on walks where the node was as described, its power known."""
    usual = [
        walk.key
        for walk in joined.campaign.walks
        if node_on_walk(node, walk) == node
        and power_known(walk, node, joined).reason not in HIDDEN_POWER
    ]
    is_mine = (table["station"] == station.key) & (table["node"] == node.key)
    return table[is_mine & table["walk"].isin(usual)]


def _levels(
    make: Maker, direction: Direction, levels: dict[str, pd.DataFrame], radio: Radio
) -> Iterator[Figure]:
    """Yield the level along the chain at the median distance of what was received."""
    rows = levels[direction.name]
    yield make.figure(
        "receptions", len(rows), "frames", "direction-exercised", inputs=(_table(direction),)
    )
    measured = rows["signal_dbm"].dropna()
    yield make.figure(
        "measured_dbm", float(measured.median()) if len(measured) else None, "dBm",
        "measured-median", absent=Absent.NO_LEVEL if len(rows) else Absent.NOT_EXERCISED,
        count=len(measured), inputs=(_table(direction),),
    )  # fmt: skip
    # The level of a direction nobody logged is foretold for the places of the other.
    placed = rows["distance_m"].dropna()
    if placed.empty:
        placed = pd.concat([table["distance_m"] for table in levels.values()]).dropna()
    away_m = float(placed.median()) if len(placed) and placed.median() > 0 else None
    yield make.figure(
        "distance_m", away_m, "m", "median-distance", absent=Absent.NO_PLACE, count=len(placed),
        inputs=("receptions",),
    )  # fmt: skip
    loss_db = None
    if away_m is not None and radio.frequency_hz is not None:
        loss_db = float(
            free_space_basic_transmission_loss_db(away_m, frequency_hz=radio.frequency_hz)
        )
    yield make.figure(
        "free_space_loss_db", loss_db, "dB", "free-space", absent=Absent.MISSING_INPUT,
        inputs=(f"{make.path}.distance_m", "setup.radio.frequency_hz"),
    )  # fmt: skip
    yield from _along_chain(make, direction, loss_db)
    gain_db, output_dbm = direction.gain_less_loss_db, direction.sender.eirp_dbm
    predicted_dbm = None
    if loss_db is not None and gain_db is not None and output_dbm is not None:
        predicted_dbm = output_dbm - loss_db + gain_db
    yield make.figure(
        "predicted_dbm", predicted_dbm, "dBm", "predicted-level", absent=Absent.MISSING_INPUT,
        inputs=(
            f"{direction.sender_path}.eirp_dbm",
            f"{make.path}.free_space_loss_db",
            f"{direction.receiver_path}.antenna_gain_dbi",
            f"{direction.receiver_path}.chain_loss_db",
        ),
    )  # fmt: skip


STAGES = ("radio", "terminals", "eirp", "arriving", "collected")
"""Where along the chain a level is given, before the receiver itself."""


def _along_chain(make: Maker, direction: Direction, loss_db: float | None) -> Iterator[Figure]:
    """Yield the level from the sender's radio to the receiving antenna, over free space."""
    sender, receiver = direction.sender, direction.receiver
    steps_db = (
        0.0,
        None if sender.loss_db is None else -sender.loss_db,
        sender.gain_dbi,
        None if loss_db is None else -loss_db,
        receiver.gain_dbi,
    )
    made_of = (
        f"{direction.sender_path}.transmit_power_dbm",
        f"{direction.sender_path}.chain_loss_db",
        f"{direction.sender_path}.antenna_gain_dbi",
        f"{make.path}.free_space_loss_db",
        f"{direction.receiver_path}.antenna_gain_dbi",
    )
    level_dbm = sender.transmit_power_dbm
    for number, (stage, step_db) in enumerate(zip(STAGES, steps_db, strict=True), start=1):
        level_dbm = None if level_dbm is None or step_db is None else level_dbm + step_db
        yield make.under("level").figure(
            f"{stage}_dbm", level_dbm, "dBm", "level-along-chain",
            absent=Absent.MISSING_INPUT, inputs=made_of[:number],
        )  # fmt: skip


def _table(direction: Direction) -> str:
    return "receptions" if direction.name == "uplink" else "downlinks"


def _rate_figures(
    ends: str, rate: Rate, both: tuple[Direction, ...], radio: Radio, noise_dbm: float | None
) -> Iterator[Figure]:
    bearable: dict[str, float | None] = {}
    for direction in both:
        make = Maker(path=f"setup.{direction.name}.{ends}.{rate.name}")
        needed_dbm = receiver_sensitivity_dbm(
            radio, direction.receiver.noise_figure_db, rate.spreading_factor
        )
        yield _sensitivity(make, direction, rate, needed_dbm)
        bearable[direction.name] = _bearable_loss_db(direction, needed_dbm)
        yield make.figure(
            "largest_loss_db", bearable[direction.name], "dB", "largest-loss",
            absent=Absent.MISSING_INPUT,
            inputs=(
                f"{direction.sender_path}.eirp_dbm",
                f"{direction.receiver_path}.antenna_gain_dbi",
                f"{direction.receiver_path}.chain_loss_db",
                f"{make.path}.sensitivity_dbm",
            ),
        )  # fmt: skip
    seen_db = _with_noise_db(both[0], rate, noise_dbm)
    make = Maker(path=f"setup.uplink.{ends}.{rate.name}")
    yield make.figure(
        "largest_loss_seen_db", seen_db, "dB", "largest-loss-seen", absent=Absent.NO_NOISE_SEEN,
        inputs=(f"{both[0].receiver_path}.noise_seen_dbm", f"{make.path}.largest_loss_db"),
    )  # fmt: skip
    uplink_db = bearable["uplink"] if seen_db is None else seen_db
    yield from _limiting(ends, rate, uplink_db, bearable["downlink"], is_seen=seen_db is not None)


def _sensitivity(make: Maker, direction: Direction, rate: Rate, needed_dbm: float | None) -> Figure:
    inputs: tuple[str, ...] = ("setup.radio.sensitivity_dbm",)
    method = "sensitivity-stated"
    if rate.spreading_factor is not None and direction.receiver.noise_figure_db is not None:
        method = "sensitivity"
        inputs = (f"{direction.receiver_path}.noise_dbm", f"setup.rate.{rate.name}.snr_limit_db")
    return make.figure(
        "sensitivity_dbm", needed_dbm, "dBm", method, absent=Absent.MISSING_INPUT, inputs=inputs
    )


def _bearable_loss_db(direction: Direction, needed_dbm: float | None) -> float | None:
    output_dbm, gain_db = direction.sender.eirp_dbm, direction.gain_less_loss_db
    if output_dbm is None or gain_db is None or needed_dbm is None:
        return None
    return output_dbm + gain_db - needed_dbm


def _with_noise_db(uplink: Direction, rate: Rate, noise_dbm: float | None) -> float | None:
    """Return what the uplink bears at the noise that the station's log shows."""
    if noise_dbm is None or rate.spreading_factor is None:
        return None
    limit_db = float(demodulation_snr_limit_db(rate.spreading_factor))
    return _bearable_loss_db(uplink, noise_dbm + limit_db)


def _limiting(
    ends: str,
    rate: Rate,
    uplink_db: float | None,
    downlink_db: float | None,
    *,
    is_seen: bool,
) -> Iterator[Figure]:
    make = Maker(path=f"setup.link.{ends}.{rate.name}")
    inputs = (
        f"setup.uplink.{ends}.{rate.name}.largest_loss_{'seen_' if is_seen else ''}db",
        f"setup.downlink.{ends}.{rate.name}.largest_loss_db",
    )
    difference_db = None
    if uplink_db is not None and downlink_db is not None:
        difference_db = uplink_db - downlink_db
    yield make.figure(
        "imbalance_db", difference_db, "dB", "imbalance", absent=Absent.MISSING_INPUT,
        inputs=inputs,
    )  # fmt: skip
    yield make.figure(
        "limiting_direction", _ends_first(difference_db), "text", "imbalance",
        absent=Absent.MISSING_INPUT, inputs=(f"{make.path}.imbalance_db",),
    )  # fmt: skip


def _ends_first(difference_db: float | None) -> str | None:
    if difference_db is None:
        return None
    if abs(difference_db) < EVEN_DB:
        return "neither direction"
    return "downlink" if difference_db > 0 else "uplink"
