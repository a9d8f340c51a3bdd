"""The story: place, stations, nodes, walks and what goes wrong on them. All of it is invented."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from zoneinfo import ZoneInfo

ORIGIN_LATITUDE_DEG = 49.2
ORIGIN_LONGITUDE_DEG = -23.6
"""Open sea, far from any land; the island is laid around this point."""

ZONE_NAME = "Atlantic/Canary"
ZONE = ZoneInfo(ZONE_NAME)
DECLINATION_DEG = -6.5
"""Of the scenario: magnetic north lies 6.5 degrees west of true north."""

FREQUENCY_HZ = 868.1e6
BANDWIDTH_HZ = 125e3
INTERVAL_S = 20.0
TRACK_GAP_LIMIT_S = 120.0
PHOTO_GAP_LIMIT_S = 300.0
PHOTO_RADIUS_M = 50.0
TRANSMIT_POWER_DBM = 14.0

SNR_LIMIT_DB = {7: -7.5, 10: -15.0}
"""Least SNR a receiver can demodulate, by spreading factor: maker's data sheet of a common chip
(from memory)."""

CHANNELS_MHZ = (868.1, 868.3, 868.5, 867.1, 867.3, 867.5, 867.7, 867.9)


def thermal_noise_dbm(noise_figure_db: float, man_made_db: float) -> float:
    """Noise in the receiver's bandwidth, referred to its input: kT at 290 K is -174 dBm/Hz."""
    return -174.0 + 10.0 * math.log10(BANDWIDTH_HZ) + noise_figure_db + man_made_db


def lost_by_mismatch_db(vswr_at_radio: float, line_loss_db: float) -> float:
    """Power turned back at the antenna; the line hides it from whoever measures at the radio."""
    seen = (vswr_at_radio - 1.0) / (vswr_at_radio + 1.0)
    at_antenna = seen * 10.0 ** (line_loss_db / 10.0)
    return -10.0 * math.log10(1.0 - at_antenna**2)


HARBOUR_LINE_DB = 9.0 * 0.50 + 0.3
HARBOUR_VSWR_AT_RADIO = 1.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """A station. `gain_dbi` is what is left of its antenna's after line and mismatch."""

    key: str
    identifier: str
    latitude_deg: float
    longitude_deg: float
    ground_m: float
    antenna_agl_m: float
    gain_dbi: float
    noise_dbm: float

    @property
    def antenna_m(self) -> float:
        """Height of the antenna above the sea."""
        return self.ground_m + self.antenna_agl_m


HARBOUR = Station(
    key="harbour",
    identifier="AAAA0000000057A1",
    latitude_deg=49.195070,
    longitude_deg=-23.609920,
    ground_m=3.0,
    antenna_agl_m=11.0,
    gain_dbi=4.0 - HARBOUR_LINE_DB - lost_by_mismatch_db(HARBOUR_VSWR_AT_RADIO, HARBOUR_LINE_DB),
    noise_dbm=thermal_noise_dbm(6.0, 4.0),
)
HILL = Station(
    key="hill",
    identifier="AAAA0000000057A2",
    latitude_deg=49.203960,
    longitude_deg=-23.598080,
    ground_m=118.0,
    antenna_agl_m=8.0,
    gain_dbi=5.0,
    noise_dbm=thermal_noise_dbm(6.0, 0.5),
)
UNLISTED = Station(
    key="unlisted",
    identifier="AAAA0000000057A9",
    latitude_deg=49.207300,
    longitude_deg=-23.583900,
    ground_m=10.0,
    antenna_agl_m=6.0,
    gain_dbi=1.0,
    noise_dbm=thermal_noise_dbm(6.0, 1.0),
)
STATIONS = (HARBOUR, HILL, UNLISTED)

NODE_IDS = {"drift": "AAAA00000000D001", "ripple": "AAAA00000000D002"}
NODE_NOISE_DBM = thermal_noise_dbm(7.0, 1.0)
CARRIED_M = 1.2
STRANGER_ID = "AAAA00000000D0F7"
"""Somebody else's tide gauge, which transmits from the quay all day."""

WHIP = "quarter-wave whip"
STUB = "short stub"
GAIN_DBI = {WHIP: 0.5, STUB: -4.0}
"""Towards the stations, as carried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """A node on a walk. Counters restart from 0 at `rejoins_at_s`; silent within `off_s`."""

    node: str
    antenna: str
    first_counter: int
    starts_s: float = 0.0
    off_s: tuple[float, float] | None = None
    rejoins_at_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """A halt: how far along the route, and for how long."""

    along_m: float
    for_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """One outing. The track misses `track_gap_s`, seconds from the start."""

    key: str
    route: str
    start_local: dt.datetime
    spreading_factor: int
    carried: tuple[Carried, ...]
    stands: tuple[Stand, ...]
    log: str
    log_format: str
    track_gap_s: tuple[float, float] | None = None
    node_log: str | None = None

    @property
    def start_s(self) -> float:
        """Start, in seconds since 1970 UTC."""
        return self.start_local.timestamp()

    @property
    def track(self) -> str:
        """Path of the track."""
        return f"tracks/{self.key}.gpx"


def _local(day: int, hour: int, minute: int) -> dt.datetime:
    return dt.datetime(2026, 6, day, hour, minute, tzinfo=ZONE)


WALKS = (
    Walk(
        key="quay-first",
        route="quay",
        start_local=_local(9, 10, 5),
        spreading_factor=7,
        carried=(Carried(node="drift", antenna=WHIP, first_counter=112),),
        stands=(Stand(along_m=12, for_s=90), Stand(along_m=470, for_s=60),
                Stand(along_m=1560, for_s=120)),
        log="logs/quay-first.csv",
        log_format="network-export",
    ),
    Walk(
        key="quay-again",
        route="quay",
        start_local=_local(10, 9, 50),
        spreading_factor=7,
        carried=(Carried(node="drift", antenna=WHIP, first_counter=340, off_s=(840, 1022)),),
        stands=(Stand(along_m=2760, for_s=75), Stand(along_m=3015, for_s=180)),
        log="logs/quay-again.csv",
        log_format="network-export",
    ),
    Walk(
        key="both-nodes",
        route="quay",
        start_local=_local(10, 15, 20),
        spreading_factor=7,
        carried=(
            Carried(node="drift", antenna=WHIP, first_counter=560),
            Carried(node="ripple", antenna=STUB, first_counter=37, starts_s=9.0),
        ),
        stands=(Stand(along_m=340, for_s=60), Stand(along_m=1180, for_s=90)),
        log="logs/both-nodes.jsonl",
        log_format="broker-messages",
    ),
    Walk(
        key="hill-sf7",
        route="hill",
        start_local=_local(11, 9, 30),
        spreading_factor=7,
        carried=(Carried(node="drift", antenna=WHIP, first_counter=780),),
        stands=(Stand(along_m=880, for_s=120), Stand(along_m=2210, for_s=90)),
        log="logs/hill-sf7.csv",
        log_format="station-table",
        node_log="logs/hill-sf7-node.txt",
    ),
    Walk(
        key="hill-sf10-stub",
        route="hill",
        start_local=_local(12, 9, 40),
        spreading_factor=10,
        carried=(Carried(node="drift", antenna=STUB, first_counter=1010),),
        stands=(Stand(along_m=1000, for_s=60), Stand(along_m=4075, for_s=120)),
        log="logs/hill-sf10-stub.csv",
        log_format="station-table",
        track_gap_s=(1500, 1740),
    ),
    Walk(
        key="quay-stub",
        route="quay",
        start_local=_local(13, 10, 10),
        spreading_factor=7,
        carried=(
            Carried(node="drift", antenna=STUB, first_counter=1240, rejoins_at_s=1330.0),
        ),
        stands=(Stand(along_m=1420, for_s=90), Stand(along_m=2080, for_s=60)),
        log="logs/quay-stub.csv",
        log_format="network-export",
    ),
)  # fmt: skip
