"""How strong a frame arrives: a small world of its own, simple and written out.

Free space, reflection on the water, one knife edge with a rounded top, clutter near the ground,
shadowing that belongs to the ground, and a little fading. Losses in dB, positive where power is
lost.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from tests.generators.island.chance import stream
from tests.generators.island.ground import (
    EAST_M,
    NORTH_M,
    SOUTH_M,
    WEST_M,
    Numbers,
    foot_of,
    height_m,
    is_on_mole,
    on_grid,
    surface_m,
)
from tests.generators.island.scenario import CARRIED_M, FREQUENCY_HZ, Station

WAVELENGTH_M = 299_792_458.0 / FREQUENCY_HZ
SHADOW_CELL_M = 10.0
SHADOW_LENGTH_M = 40.0
SHADOW_SIGMA_DB = 4.5
FADING_SIGMA_DB = 1.5
BODY_LOSS_DB = 9.0
SEA_REFLECTION = -0.75
_SAMPLES = 240


def free_space_loss_db(away_m: Numbers) -> Numbers:
    """Return the loss between isotropic antennas with nothing around."""
    return np.asarray(20.0 * np.log10(4.0 * np.pi * away_m / WAVELENGTH_M))


def knife_edge_loss_db(v: Numbers) -> Numbers:
    """Return the loss behind an edge, by the usual approximation of the Fresnel integral."""
    w = np.maximum(v, -0.78) - 0.1
    return np.asarray(np.where(v > -0.78, 6.9 + 20.0 * np.log10(np.hypot(w, 1.0) + w), 0.0))


def two_ray_gain_db(away_m: Numbers, high_m: float, low_m: Numbers, weight: Numbers) -> Numbers:
    """Return what the ray off the water adds (negative: takes) to the direct one."""
    lag = 4.0 * np.pi * high_m * low_m / (WAVELENGTH_M * away_m)
    return np.asarray(20.0 * np.log10(np.abs(1.0 + weight * SEA_REFLECTION * np.exp(1j * lag))))


def median_loss_db(station: Station, x_m: Numbers, y_m: Numbers) -> Numbers:
    """Return the loss from places at carrying height to a station, before any chance."""
    foot_x, foot_y = foot_of(station)
    low_m = surface_m(x_m, y_m) + CARRIED_M
    away_m = np.sqrt((x_m - foot_x) ** 2 + (y_m - foot_y) ** 2 + (low_m - station.antenna_m) ** 2)
    share = (np.arange(_SAMPLES) + 0.5)[:, None] / _SAMPLES
    ground_m = height_m(foot_x + share * (x_m - foot_x), foot_y + share * (y_m - foot_y))
    ray_m = station.antenna_m + share * (low_m - station.antenna_m)
    clear_m = ray_m - ground_m
    is_far = (share * away_m > 15.0) & ((1 - share) * away_m > 15.0)
    v = -clear_m * np.sqrt(2.0 / (WAVELENGTH_M * away_m * share * (1 - share)))
    edge_db = knife_edge_loss_db(np.where(is_far, v, -9.0).max(axis=0))
    is_low = (ground_m > 0.0) & (clear_m < 9.0) & ((1 - share) * away_m > 10.0)
    cluttered_m = is_low.mean(axis=0) * away_m
    over_water = np.clip(((ground_m <= 0.0).mean(axis=0) - 0.55) / 0.4, 0.0, 1.0)
    return np.asarray(
        free_space_loss_db(away_m)
        - two_ray_gain_db(away_m, station.antenna_m, low_m, over_water)
        + edge_db * 1.05  # a hill is rounder than a knife
        + 20.0 * -np.expm1(-cluttered_m / 240.0)
        + _built_up_db(x_m, y_m)
        + BODY_LOSS_DB
    )


def _built_up_db(x_m: Numbers, y_m: Numbers) -> Numbers:
    """Return the loss among the houses of the village."""
    return np.asarray(11.0 * np.exp(-(((x_m + 600.0) / 230.0) ** 4) - ((y_m + 290.0) / 160.0) ** 4))


def shadowing_db(station: Station, x_m: Numbers, y_m: Numbers) -> Numbers:
    """Return shadowing: the same ground for every walk, half shared by all stations."""
    shared, own = (on_grid(_field(name), x_m, y_m, SHADOW_CELL_M) for name in ("all", station.key))
    open_water = np.where(is_on_mole(x_m, y_m), 0.5, 1.0)
    return np.asarray(SHADOW_SIGMA_DB * np.sqrt(0.5) * (shared + own) * open_water)


@lru_cache(maxsize=8)
def _field(name: str) -> Numbers:
    """Return a field of unit variance whose correlation falls as exp(-distance / 40 m)."""
    rows = int((NORTH_M - SOUTH_M) / SHADOW_CELL_M) + 1
    columns = int((EAST_M - WEST_M) / SHADOW_CELL_M) + 1
    row = np.minimum(np.arange(rows), rows - np.arange(rows))[:, None] * SHADOW_CELL_M
    column = np.minimum(np.arange(columns), columns - np.arange(columns)) * SHADOW_CELL_M
    spectrum = np.fft.fft2(np.exp(-np.hypot(row, column) / SHADOW_LENGTH_M)).real
    white = stream(f"shadowing {name}").standard_normal((rows, columns))
    shaped = np.fft.fft2(white) * np.sqrt(np.maximum(spectrum, 0.0))
    return np.asarray(np.fft.ifft2(shaped).real)
