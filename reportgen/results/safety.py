"""Caution distances to the campaign's antennas, and the limits that its band's plan implies."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from reportgen.compute.decibel import watts_from_dbm
from reportgen.compute.exposure import (
    GROUND_REFLECTION_FACTOR,
    caution_distance_m,
    fcc_general_population_limit_w_m2,
    fcc_occupational_limit_w_m2,
    icnirp_general_public_limit_w_m2,
    icnirp_occupational_limit_w_m2,
    reactive_near_field_edge_m,
)
from reportgen.model.campaign import Campaign
from reportgen.model.regional_limits import PowerLimit, limits_for
from reportgen.model.station import Node
from reportgen.results.airtime import duty_ratio
from reportgen.results.chain import Chain, node_chain, node_on_walk, station_chain
from reportgen.results.figure import Absent, Figure, Maker


@dataclass(frozen=True, slots=True, kw_only=True)
class Framework:
    """A published limit for one group of people."""

    name: str
    group: str
    limit_w_m2: Callable[[float], NDArray[np.float64]]


FRAMEWORKS = (
    Framework(name="icnirp", group="public", limit_w_m2=icnirp_general_public_limit_w_m2),
    Framework(name="icnirp", group="occupational", limit_w_m2=icnirp_occupational_limit_w_m2),
    Framework(name="fcc", group="public", limit_w_m2=fcc_general_population_limit_w_m2),
    Framework(name="fcc", group="occupational", limit_w_m2=fcc_occupational_limit_w_m2),
)
GROUNDS = (("free", 1.0), ("ground", GROUND_REFLECTION_FACTOR))


@dataclass(frozen=True, slots=True, kw_only=True)
class Antenna:
    """An end whose antenna people may come near to."""

    kind: str
    key: str
    chain: Chain
    duty_ratio: float | None

    @property
    def path(self) -> str:
        """Path of its figures of safety."""
        return f"safety.{self.kind}.{self.key}"


def safety_figures(campaign: Campaign) -> Iterator[Figure]:
    """Yield limits, caution distances at full and at computed duty, and the plan's limits."""
    frequency_hz = campaign.radio.frequency_hz
    common = Maker(path="safety")
    edge_m = None if frequency_hz is None else float(reactive_near_field_edge_m(frequency_hz))
    yield common.figure(
        "near_field_edge_m", edge_m, "m", "near-field-edge", absent=Absent.MISSING_INPUT,
        inputs=("setup.radio.frequency_hz",),
    )  # fmt: skip
    limits: dict[tuple[str, str], float | None] = {}
    for item in FRAMEWORKS:
        value = None if frequency_hz is None else float(item.limit_w_m2(frequency_hz))
        limits[item.name, item.group] = value
        yield common.under(item.name, item.group).figure(
            "limit_w_m2", value, "W/m²", f"limit-{item.name}-{item.group}",
            absent=Absent.MISSING_INPUT, inputs=("setup.radio.frequency_hz",),
        )  # fmt: skip
    for antenna in antennas(campaign):
        yield from _distances(antenna, limits, edge_m)
        yield from _plan(antenna, campaign)


def antennas(campaign: Campaign) -> tuple[Antenna, ...]:
    """Return own stations and nodes, each with the share of time that it may be on air.

    A station is taken to answer every frame of every node.
    """
    frequency_hz = campaign.radio.frequency_hz
    duties = [duty_ratio(campaign, factor) for factor in campaign.radio.spreading_factors]
    known = [duty for duty in duties if duty is not None]
    node_duty = max(known) if known and len(known) == len(duties) else None
    station_duty = None if node_duty is None else min(1.0, node_duty * len(campaign.nodes))
    return (
        *(
            Antenna(kind="station", key=station.key, chain=station_chain(station, frequency_hz),
                    duty_ratio=station_duty)
            for station in campaign.own_stations
        ),
        *(
            Antenna(kind="node", key=node.key, chain=_strongest(node, campaign),
                    duty_ratio=node_duty)
            for node in campaign.nodes
        ),
    )  # fmt: skip


def _strongest(node: Node, campaign: Campaign) -> Chain:
    """Return a node's chain as described or on a walk, whichever puts out most.

    An output that is not known on some walk is no reason to call the known one the strongest.
    """
    frequency_hz = campaign.radio.frequency_hz
    carried = [node, *(node_on_walk(node, w) for w in campaign.walks if node.key in w.nodes)]
    chains = [node_chain(each, frequency_hz) for each in carried]
    unknown = [chain for chain in chains if chain.strongest_eirp_dbm is None]
    if unknown:
        return unknown[0]
    return max(chains, key=lambda chain: chain.strongest_eirp_dbm or 0.0)


def _distances(
    antenna: Antenna, limits: dict[tuple[str, str], float | None], edge_m: float | None
) -> Iterator[Figure]:
    make = Maker(path=antenna.path)
    output_dbm = antenna.chain.strongest_eirp_dbm
    output_w = None if output_dbm is None else float(watts_from_dbm(output_dbm))
    yield make.figure(
        "eirp_dbm", output_dbm, "dBm", "strongest-eirp", absent=Absent.MISSING_INPUT,
        inputs=_chain_inputs(antenna),
    )  # fmt: skip
    yield make.figure(
        "eirp_w", output_w, "W", "watts", absent=Absent.MISSING_INPUT,
        inputs=(f"{make.path}.eirp_dbm",),
    )  # fmt: skip
    yield make.figure(
        "duty_cycle_ratio", antenna.duty_ratio, "1", f"duty-{antenna.kind}",
        absent=Absent.MISSING_INPUT,
        inputs=("setup.radio.payload_bytes", "setup.radio.interval_s"),
    )  # fmt: skip
    at_full_duty: list[float] = []
    for item, (ground, factor), duty in product(FRAMEWORKS, GROUNDS, ("full", "duty")):
        share = 1.0 if duty == "full" else antenna.duty_ratio
        limit_w_m2 = limits[item.name, item.group]
        away_m = None
        if output_w is not None and limit_w_m2 is not None and share is not None:
            away_m = float(
                caution_distance_m(
                    output_w, limit_w_m2, reflection_factor=factor, duty_cycle_ratio=share
                )
            )
            at_full_duty += [away_m] if duty == "full" else []
        is_near = away_m is not None and edge_m is not None and away_m < edge_m
        yield make.under(item.name, item.group, ground, duty).figure(
            "caution_distance_m", None if is_near else away_m, "m", "caution-distance",
            absent=Absent.NEAR_FIELD if is_near else Absent.MISSING_INPUT,
            inputs=_inputs(antenna, item, duty),
        )  # fmt: skip
    yield _largest(antenna, at_full_duty, edge_m)


def _chain_inputs(antenna: Antenna) -> tuple[str, ...]:
    path = f"setup.{antenna.kind}.{antenna.key}"
    parts = ("transmit_power_dbm", "feeder_loss_db", "antenna_gain_dbi")
    return tuple(f"{path}.{part}" for part in parts)


def _inputs(antenna: Antenna, item: Framework, duty: str) -> tuple[str, ...]:
    inputs = (
        f"{antenna.path}.eirp_w",
        f"safety.{item.name}.{item.group}.limit_w_m2",
    )
    return inputs if duty == "full" else (*inputs, f"{antenna.path}.duty_cycle_ratio")


def _largest(antenna: Antenna, at_full_duty: list[float], edge_m: float | None) -> Figure:
    """Return the distance to keep: the largest of all, never less than the near field's edge."""
    largest_m = max(at_full_duty) if at_full_duty else None
    is_edge = largest_m is not None and edge_m is not None and largest_m < edge_m
    return Maker(path=antenna.path).figure(
        "caution_distance_m", edge_m if is_edge else largest_m, "m", "largest-caution-distance",
        absent=Absent.MISSING_INPUT, prefix="at least" if is_edge else "",
        inputs=tuple(
            f"{antenna.path}.{item.name}.{item.group}.ground.full.caution_distance_m"
            for item in FRAMEWORKS
        ),
    )  # fmt: skip


def plan_limits(campaign: Campaign) -> tuple[PowerLimit, ...]:
    """Return the limits of the campaign's plan at its frequency."""
    radio = campaign.radio
    if radio.regional_plan is None or radio.frequency_hz is None:
        return ()
    return limits_for(radio.regional_plan, radio.frequency_hz)


def _plan(antenna: Antenna, campaign: Campaign) -> Iterator[Figure]:
    """Yield how far the output lies below each limit of the plan; negative: above it."""
    chain = antenna.chain
    end = f"setup.{antenna.kind}.{antenna.key}"
    for number, limit in enumerate(plan_limits(campaign), start=1):
        make = Maker(path=f"{antenna.path}.limit.{number}")
        allowed_dbm, have_dbm, name = _allowed(limit, chain)
        room_db = None if allowed_dbm is None or have_dbm is None else allowed_dbm - have_dbm
        yield make.figure(
            "allowed_dbm", allowed_dbm, "dBm", "plan-limit", absent=Absent.MISSING_INPUT
        )
        yield make.figure(
            "power_room_db", room_db, "dB", "power-room", absent=Absent.MISSING_INPUT,
            inputs=(
                f"{make.path}.allowed_dbm",
                f"{antenna.path if name == 'eirp_dbm' else end}.{name}",
            ),
        )  # fmt: skip
        if limit.duty_cycle_ratio is not None:
            yield make.figure("allowed_duty_ratio", limit.duty_cycle_ratio, "1", "plan-limit")


def _allowed(limit: PowerLimit, chain: Chain) -> tuple[float | None, float | None, str]:
    """Return what is allowed with this antenna, what the end has, and that figure's name."""
    if limit.eirp_dbm is not None:
        return limit.eirp_dbm, chain.strongest_eirp_dbm, "eirp_dbm"
    allowed_dbm = limit.conducted_dbm
    gain_dbi, free_dbi = chain.gain_dbi, limit.antenna_gain_dbi_allowed
    if allowed_dbm is not None and gain_dbi is not None and free_dbi is not None:
        allowed_dbm -= max(0.0, gain_dbi - free_dbi)
    # The rule speaks of the transmitter's output: the line's loss is no excuse.
    return allowed_dbm, chain.transmit_power_dbm, "transmit_power_dbm"
