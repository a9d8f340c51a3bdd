"""Walks, and the files that belong to them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from reportgen.model.station import Antenna, Feeder


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """One thing that was set on purpose for a walk: its name and its value, as text."""

    name: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NodeChange:
    """What a node had on a walk in place of what its description says; None: as described."""

    node: str
    transmit_power_dbm: float | None = None
    antenna: Antenna | None = None
    feeder: Feeder | None = None
    carried_height_agl_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """One outing. `nodes` are keys of nodes, in the author's order.

    `start_utc` and `end_utc` are limits that the author set (None: all of the files);
    `is_rate_adaptive` is None where nobody said whether the network set rate and power.
    """

    key: str
    title: str
    summary: str = ""
    route: str = ""
    nodes: tuple[str, ...] = ()
    factors: tuple[Factor, ...] = ()
    logs: tuple[str, ...] = ()
    tracks: tuple[str, ...] = ()
    start_utc: dt.datetime | None = None
    end_utc: dt.datetime | None = None
    node_changes: tuple[NodeChange, ...] = ()
    is_rate_adaptive: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenComparison:
    """Two sides that the author asks to be compared, as keys of walks and nodes.

    Walks of the first side against walks of the second; or, where `nodes` names two, one node
    against the other on the walks of `first`, on which both were carried.
    """

    title: str
    first: tuple[str, ...]
    second: tuple[str, ...] = ()
    nodes: tuple[str, ...] = ()
