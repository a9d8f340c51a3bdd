"""Stations, nodes and what hangs on their antenna terminals."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """A point on the WGS 84 ellipsoid, decimal degrees."""

    latitude_deg: float
    longitude_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Antenna:
    """An antenna as its owner describes it."""

    name: str = ""
    gain_dbi: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Feeder:
    """The line between radio and antenna.

    At most one of these says what the line costs: `loss_db` (measured or stated for the whole
    line at the working frequency) or `loss_per_100m_db`, which needs `length_m`. Both absent: the
    table of cable types may know.
    """

    cable: str = ""
    length_m: float | None = None
    loss_per_100m_db: float | None = None
    loss_db: float | None = None
    connectors_loss_db: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class VswrReading:
    """A standing-wave ratio, where on the line it was read, and at which frequency."""

    vswr: float
    measured_at: Literal["radio", "antenna"]
    frequency_hz: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """A fixed receiver: the campaign's own, or somebody else's in range.

    `ids` are the identifiers as they stand in the logs. `is_listed` is False for a station that
    turned up in a log without being described.
    """

    key: str
    name: str
    is_own: bool
    is_listed: bool = True
    ids: tuple[str, ...] = ()
    position: Position | None = None
    antenna_height_agl_m: float | None = None
    ground_height_msl_m: float | None = None
    transmit_power_dbm: float | None = None
    noise_figure_db: float | None = None
    antenna: Antenna = Antenna()
    feeder: Feeder | None = None
    vswr: VswrReading | None = None
    note: str = ""

    @property
    def antenna_height_msl_m(self) -> float | None:
        """Antenna height above mean sea level, where both parts are known. [m]"""
        if self.antenna_height_agl_m is None or self.ground_height_msl_m is None:
            return None
        return self.antenna_height_agl_m + self.ground_height_msl_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """A radio that was carried along a walk."""

    key: str
    name: str
    ids: tuple[str, ...] = ()
    transmit_power_dbm: float | None = None
    antenna: Antenna = Antenna()
    feeder: Feeder | None = None
    carried_height_agl_m: float | None = None
    noise_figure_db: float | None = None
    note: str = ""
