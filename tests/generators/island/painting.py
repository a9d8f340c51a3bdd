"""Colours of land, sea and sky: flat, a little hazy, the same for every photo."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tests.generators.island.boxes import SUN
from tests.generators.island.chance import stream
from tests.generators.island.ground import (
    CELL_M,
    EAST_M,
    NORTH_M,
    SOUTH_M,
    WEST_M,
    Numbers,
    height_m,
    inland_m,
    on_grid,
)
from tests.generators.island.rendering import Depths, Pixels, View

Colours = NDArray[np.float32]

HORIZON = np.array([224, 233, 238], dtype=np.float32)
ZENITH = np.array([122, 170, 209], dtype=np.float32)
CLOUD = np.array([247, 249, 250], dtype=np.float32)
HAZE_LENGTH_M = 7000.0

_GRASS = np.array([[118, 150, 84], [138, 164, 92], [104, 134, 82]], dtype=np.float32)
_HEATH = np.array([[128, 120, 92], [146, 128, 110], [116, 122, 84]], dtype=np.float32)
_SAND = np.array([222, 206, 168], dtype=np.float32)
_ROCK = np.array([138, 134, 128], dtype=np.float32)
_PAVED = np.array([190, 186, 176], dtype=np.float32)
_DEEP = np.array([44, 98, 128], dtype=np.float32)
_NEAR_SEA = np.array([52, 116, 138], dtype=np.float32)
_SHALLOW = np.array([104, 172, 172], dtype=np.float32)
_FOAM = np.array([236, 243, 242], dtype=np.float32)


def paint(view: View, depths: Depths, name: str) -> Pixels:
    """Return the picture of ground, sea and sky."""
    pixels = _sky(view, name)
    rows, columns = np.nonzero(np.isfinite(depths))
    ahead = depths[rows, columns].astype(np.float64)
    right = ahead * (columns + 0.5 - view.width / 2) / view.focal_px
    x_m, y_m = view.place(ahead, right)
    inland = inland_m(x_m, y_m)
    colours = np.empty((len(rows), 3), dtype=np.float32)
    is_sea = inland <= 0.0
    colours[is_sea] = _sea(x_m[is_sea], y_m[is_sea], inland[is_sea], ahead[is_sea])
    land = ~is_sea
    colours[land] = _land(x_m[land], y_m[land], inland[land], ahead[land])
    haze = (-np.expm1(-ahead / HAZE_LENGTH_M))[:, None].astype(np.float32)
    pixels[rows, columns] = colours * (1 - haze) + HORIZON * haze
    return np.clip(pixels, 0, 255).astype(np.uint8)


def hazy(colour: tuple[int, int, int], ahead_m: float) -> tuple[int, int, int]:
    """Return a colour as it looks from afar."""
    haze = -np.expm1(-ahead_m / HAZE_LENGTH_M)
    mixed = np.array(colour) * (1 - haze) + HORIZON * haze
    red, green, blue = (int(part) for part in mixed)
    return red, green, blue


def _sky(view: View, name: str) -> Colours:
    rows = np.arange(view.height)[:, None]
    up = np.clip((view.height / 2 - rows) / view.focal_px, 0.0, 1.0)
    share = (1.0 - np.exp(-up / 0.22))[:, :, None].astype(np.float32)
    sky = np.broadcast_to(HORIZON * (1 - share) + ZENITH * share, (view.height, view.width, 3))
    return _with_clouds(view, sky.astype(np.float32), name)


def _with_clouds(view: View, sky: Colours, name: str) -> Colours:
    """Add flat-bottomed clouds: a row of discs, cut off below."""
    chance = stream(f"clouds {name}")
    rows, columns = np.arange(view.height)[:, None], np.arange(view.width)
    for _ in range(5):
        middle = chance.uniform(-0.1, 1.1) * view.width
        base = view.height / 2 - view.focal_px * chance.uniform(0.05, 0.34)
        size = view.focal_px * chance.uniform(0.018, 0.04)
        shade = np.zeros((view.height, view.width), dtype=bool)
        for puff in range(7):
            across = middle + (puff - 3) * size * 1.5 + chance.uniform(-0.4, 0.4) * size
            radius = size * (1.55 - 0.3 * abs(puff - 3) + chance.uniform(-0.15, 0.15))
            disc = ((columns - across) / 1.5) ** 2 + (rows - base) ** 2 < radius**2
            shade |= disc & (rows < base + size * 0.12)
        sky[shade] = 0.45 * sky[shade] + 0.55 * CLOUD
    return sky


def _sea(x_m: Numbers, y_m: Numbers, inland: Numbers, ahead: Numbers) -> Colours:
    far = np.clip(np.log10(np.maximum(ahead, 1.0) / 20.0) / 2.2, 0.0, 1.0)[:, None]
    colour = _NEAR_SEA * (1 - far) + (_DEEP * 0.55 + HORIZON * 0.45) * far
    # Ripples grow with distance, so that they neither flicker nor vanish.
    ripple_m = np.exp2(np.ceil(np.log2(np.maximum(ahead, 8.0) / 8.0)))
    ripple = _noise(x_m / (2.6 * ripple_m) + y_m / (5.1 * ripple_m), (y_m - x_m) / (0.9 * ripple_m))
    colour = colour + (14.0 * (ripple > 0.62) - 9.0 * (ripple < 0.32))[:, None]
    shallow = np.exp(np.minimum(inland, 0.0) / 28.0)[:, None]
    colour = colour * (1 - 0.8 * shallow) + _SHALLOW * 0.8 * shallow
    foam = -inland + 2.2 * _noise(x_m / 7.0, y_m / 7.0)
    colour[(foam < 3.4) & (inland > -6.0)] = _FOAM
    return np.asarray(colour, dtype=np.float32)


def _land(x_m: Numbers, y_m: Numbers, inland: Numbers, ahead: Numbers) -> Colours:
    up, east, north = (on_grid(grid, x_m, y_m) for grid in _relief())
    steep = np.hypot(east, north)
    light = (SUN[2] - SUN[0] * east - SUN[1] * north) / np.sqrt(1.0 + steep**2)
    light = 0.66 + 0.46 * np.round(np.clip(light, 0.0, 1.0) * 14.0) / 14.0
    patch = _noise(x_m / 38.0, y_m / 38.0) + 0.35 * _noise(x_m / 9.0, y_m / 9.0)
    kind = np.digitize(patch, [0.55, 0.8])
    heath = np.clip((up - 26.0 + 40.0 * (patch - 0.67)) / 30.0, 0.0, 1.0)[:, None]
    colour = _GRASS[kind] * (1 - heath) + _HEATH[kind] * heath
    tuft = _noise(x_m / 0.55, y_m / 0.55)
    colour = colour * (1.0 + (np.where(ahead < 45.0, 0.16, 0.0) * (tuft - 0.5)))[:, None]
    is_rock = (steep > 0.55) | ((inland < 9.0) & (_noise(x_m / 60.0, y_m / 60.0) > 0.56))
    colour[is_rock] = _ROCK * (0.9 + 0.2 * _noise(x_m / 3.0, y_m / 3.0)[is_rock, None])
    colour[(inland < 17.0) & ~is_rock & (up < 4.5)] = _SAND
    quay = np.hypot(x_m + 722.0, y_m + 555.0) + 14.0 * _noise(x_m / 20.0, y_m / 20.0)
    paving = 0.985 + 0.03 * ((np.floor(x_m / 1.6) + np.floor(y_m / 1.6)) % 2)
    colour[quay < 72.0] = (_PAVED * paving[:, None])[quay < 72.0]
    return np.asarray(colour * light[:, None], dtype=np.float32)


def _noise(x: Numbers, y: Numbers) -> Numbers:
    """Return smooth chance between 0 and 1 over the plane, repeating after 128 steps."""
    table = _noise_table()
    i, j = np.floor(y).astype(np.intp), np.floor(x).astype(np.intp)
    u, v = y - i, x - j
    u, v = u * u * (3 - 2 * u), v * v * (3 - 2 * v)
    i, j = i & 127, j & 127
    k, m = (i + 1) & 127, (j + 1) & 127
    low = table[i, j] * (1 - v) + table[i, m] * v
    high = table[k, j] * (1 - v) + table[k, m] * v
    return np.asarray(low * (1 - u) + high * u)


@lru_cache(maxsize=1)
def _noise_table() -> Numbers:
    return np.asarray(stream("noise").uniform(size=(128, 128)))


@lru_cache(maxsize=1)
def _relief() -> tuple[Numbers, Numbers, Numbers]:
    """Return height and its slopes east and north, on the grid."""
    x_m, y_m = np.meshgrid(
        np.arange(WEST_M, EAST_M + 1, CELL_M), np.arange(SOUTH_M, NORTH_M + 1, CELL_M)
    )
    up = height_m(x_m, y_m)
    north, east = np.gradient(up, CELL_M)
    return up, np.asarray(east), np.asarray(north)
