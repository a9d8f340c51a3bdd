"""What was sent, and who heard it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.generators.island.chance import stream
from tests.generators.island.ground import Numbers
from tests.generators.island.physics import FADING_SIGMA_DB, median_loss_db, shadowing_db
from tests.generators.island.scenario import (
    CHANNELS_MHZ,
    GAIN_DBI,
    HARBOUR,
    INTERVAL_S,
    NODE_NOISE_DBM,
    SNR_LIMIT_DB,
    STATIONS,
    TRANSMIT_POWER_DBM,
    Carried,
    Station,
    Walk,
)
from tests.generators.island.walks import Walked

LARGEST_SNR_DB = 11.0
"""Receivers of this kind report no more, however strong the frame."""
LOST_BY_CHANCE = 0.015
"""Share of frames lost to somebody else's, strong or not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """A frame as it was truly sent; `time_s` since 1970 UTC."""

    walk: str
    node: str
    counter: int
    time_s: float
    since_start_s: float
    spreading_factor: int
    frequency_mhz: float
    antenna: str
    x_m: float
    y_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """A frame that a station heard, or that a node heard of a station."""

    frame: Frame
    station: Station
    rssi_dbm: int
    snr_db: float


def sent_frames(path: Walked) -> tuple[Frame, ...]:
    """Return every frame of a walk in the order of time."""
    frames = [frame for carried in path.walk.carried for frame in _sent_by(carried, path)]
    return tuple(sorted(frames, key=lambda frame: (frame.time_s, frame.node)))


def _sent_by(carried: Carried, path: Walked) -> list[Frame]:
    chance = stream(f"sending {path.walk.key} {carried.node}")
    frames: list[Frame] = []
    counter, since_s, has_rejoined = carried.first_counter, 3.3 + carried.starts_s, False
    while since_s < path.duration_s:
        if carried.off_s and carried.off_s[0] <= since_s < carried.off_s[1]:
            since_s = carried.off_s[1]
        if carried.rejoins_at_s and since_s >= carried.rejoins_at_s and not has_rejoined:
            counter, since_s, has_rejoined = 0, since_s + 35.0, True
        frames.append(_frame(carried, path, counter, since_s, int(chance.randint(8))))
        counter += 1
        since_s += INTERVAL_S + float(chance.uniform(-1.0, 1.0))
    return frames


def _frame(carried: Carried, path: Walked, counter: int, since_s: float, channel: int) -> Frame:
    x_m, y_m = path.at(np.array([since_s]))
    return Frame(
        walk=path.walk.key,
        node=carried.node,
        counter=counter,
        time_s=round(path.walk.start_s + since_s, 3),
        since_start_s=since_s,
        spreading_factor=path.walk.spreading_factor,
        frequency_mhz=CHANNELS_MHZ[channel],
        antenna=carried.antenna,
        x_m=float(x_m[0]),
        y_m=float(y_m[0]),
    )


def uplinks(walk: Walk, frames: tuple[Frame, ...], snr_step_db: float) -> tuple[Heard, ...]:
    """Return what the stations heard, in the order of time."""
    heard = [
        item
        for station in STATIONS
        for item in _heard(frames, station, f"uplink {walk.key}", station.noise_dbm, snr_step_db)
    ]
    return tuple(sorted(heard, key=lambda item: (item.frame.time_s, item.station.key)))


def downlinks(walk: Walk, heard: tuple[Heard, ...]) -> tuple[Heard, ...]:
    """Return the acknowledgements of the own station that reached the node.

    Every second frame asks for one, and the station can only answer what it heard.
    """
    asked = tuple(
        item.frame for item in heard if item.station is HARBOUR and item.frame.counter % 2 == 0
    )
    return tuple(_heard(asked, HARBOUR, f"downlink {walk.key}", NODE_NOISE_DBM, 1.0))


def _heard(
    frames: tuple[Frame, ...], station: Station, name: str, noise_dbm: float, snr_step_db: float
) -> list[Heard]:
    chance = stream(f"{name} {station.key}")
    level_dbm = received_dbm(frames, station)
    level_dbm = level_dbm + FADING_SIGMA_DB * chance.standard_normal(len(frames))
    snr_db = level_dbm - noise_dbm + 0.6 * chance.standard_normal(len(frames))
    dice, unlucky = chance.uniform(size=len(frames)), chance.uniform(size=len(frames))
    heard = []
    for row, frame in enumerate(frames):
        above_db = snr_db[row] - SNR_LIMIT_DB[frame.spreading_factor]
        chance_of_decoding = 1.0 / (1.0 + np.exp(np.clip(-above_db / 0.5, -50.0, 50.0)))
        if dice[row] >= chance_of_decoding or unlucky[row] < LOST_BY_CHANCE:
            continue
        # A receiver reports all the power in its channel, noise included.
        power_dbm = 10.0 * np.log10(10.0 ** (level_dbm[row] / 10) + 10.0 ** (noise_dbm / 10))
        shown_db = min(float(snr_db[row]), LARGEST_SNR_DB + 0.7 * float(dice[row]))
        heard.append(
            Heard(
                frame=frame,
                station=station,
                rssi_dbm=round(float(power_dbm)),
                snr_db=round(shown_db / snr_step_db) * snr_step_db,
            )
        )
    return heard


def received_dbm(frames: tuple[Frame, ...], station: Station) -> Numbers:
    """Return the power at the receiver before fading; the way back loses as much."""
    if not frames:
        return np.array([])
    x_m = np.array([frame.x_m for frame in frames])
    y_m = np.array([frame.y_m for frame in frames])
    gain_dbi = np.array([GAIN_DBI[frame.antenna] for frame in frames]) + station.gain_dbi
    loss_db = median_loss_db(station, x_m, y_m) - shadowing_db(station, x_m, y_m)
    return np.asarray(TRANSMIT_POWER_DBM + gain_dbi - loss_db)
