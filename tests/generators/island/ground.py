"""The island as numbers: projection, coast line, heights, mole, in metres east and north."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from pyproj import Geod, Proj

from tests.generators.island.scenario import (
    HARBOUR,
    ORIGIN_LATITUDE_DEG,
    ORIGIN_LONGITUDE_DEG,
    Station,
)

Numbers = NDArray[np.float64]

WGS84 = Geod(ellps="WGS84")
_PROJECTION = Proj(
    proj="aeqd", lat_0=ORIGIN_LATITUDE_DEG, lon_0=ORIGIN_LONGITUDE_DEG, ellps="WGS84"
)

COAST_CONTROL = (
    (-1250, 100), (-1300, -200), (-1180, -480), (-1000, -660), (-860, -705), (-750, -655),
    (-694, -570), (-640, -470), (-540, -400), (-380, -330), (-180, -290), (40, -270), (260, -280),
    (480, -330), (680, -430), (820, -560), (900, -690), (980, -790), (1090, -800), (1190, -680),
    (1290, -450), (1390, -150), (1410, 150), (1340, 480), (1250, 800), (1080, 1010), (820, 1120),
    (500, 1150), (180, 1200), (-150, 1180), (-450, 1080), (-720, 900), (-950, 650), (-1120, 380),
)  # fmt: skip
"""Counter-clockwise, as RFC 7946 wants an outer ring."""

MOLE = ((1042.0, -780.0), (1002.0, -1290.0))
MOLE_HALF_WIDTH_M = 3.5
MOLE_TOP_M = 3.2

WEST_M, EAST_M, SOUTH_M, NORTH_M = -1800.0, 2000.0, -1700.0, 1700.0
CELL_M = 8.0


def to_degrees(x_m: Numbers, y_m: Numbers) -> tuple[Numbers, Numbers]:
    """Return latitudes and longitudes."""
    longitude, latitude = _PROJECTION(x_m, y_m, inverse=True)
    return np.asarray(latitude), np.asarray(longitude)


def to_metres(latitude_deg: float, longitude_deg: float) -> tuple[float, float]:
    """Return metres east and north."""
    x_m, y_m = _PROJECTION(longitude_deg, latitude_deg)
    return float(x_m), float(y_m)


def foot_of(station: Station) -> tuple[float, float]:
    """Return where a station stands."""
    return to_metres(station.latitude_deg, station.longitude_deg)


def smooth_line(control: Numbers, *, is_closed: bool, pieces: int) -> Numbers:
    """Return a Catmull-Rom curve through points of shape (n, 2)."""
    if is_closed:
        points = np.vstack([control[-1:], control, control[:2]])
    else:
        ends = 2 * control[0] - control[1], 2 * control[-1] - control[-2]
        points = np.vstack([ends[0], control, ends[1]])
    step = np.arange(pieces)[:, None] / pieces
    curve = [
        0.5 * (2 * b + (c - a) * step + (2 * a - 5 * b + 4 * c - d) * step**2
               + (3 * b - a - 3 * c + d) * step**3)
        for a, b, c, d in zip(points, points[1:], points[2:], points[3:], strict=False)
    ]  # fmt: skip
    return np.vstack([*curve, points[1:2] if is_closed else points[-2:-1]])


@lru_cache(maxsize=1)
def coast_line() -> Numbers:
    """Return the closed coast line, counter-clockwise, first point repeated; shape (n, 2)."""
    return smooth_line(np.array(COAST_CONTROL, dtype=float), is_closed=True, pieces=6)


def distance_to_line_m(x_m: Numbers, y_m: Numbers, line: Numbers) -> Numbers:
    """Return the least distance of each point from a line of shape (n, 2)."""
    nearest = np.full(np.shape(x_m), np.inf)
    for (ax, ay), (bx, by) in pairwise(line):
        length2 = (bx - ax) ** 2 + (by - ay) ** 2
        share = np.clip(((x_m - ax) * (bx - ax) + (y_m - ay) * (by - ay)) / length2, 0.0, 1.0)
        away = np.hypot(x_m - ax - share * (bx - ax), y_m - ay - share * (by - ay))
        nearest = np.minimum(nearest, away)
    return nearest


def _is_inside(x_m: Numbers, y_m: Numbers, ring: Numbers) -> NDArray[np.bool_]:
    inside = np.zeros(np.shape(x_m), dtype=bool)
    for (ax, ay), (bx, by) in pairwise(ring):
        if ay != by:
            crosses = (ay > y_m) != (by > y_m)
            inside ^= crosses & (x_m < ax + (y_m - ay) * (bx - ax) / (by - ay))
    return inside


@lru_cache(maxsize=1)
def _inland_grid() -> Numbers:
    x_m, y_m = np.meshgrid(
        np.arange(WEST_M, EAST_M + 1, CELL_M), np.arange(SOUTH_M, NORTH_M + 1, CELL_M)
    )
    away = distance_to_line_m(x_m, y_m, coast_line())
    return np.where(_is_inside(x_m, y_m, coast_line()), away, -away)


def on_grid(grid: Numbers, x_m: Numbers, y_m: Numbers, cell_m: float = CELL_M) -> Numbers:
    """Return values between the nodes of a grid that begins in the south-west corner."""
    column = np.clip((x_m - WEST_M) / cell_m, 0.0, grid.shape[1] - 1.001)
    row = np.clip((y_m - SOUTH_M) / cell_m, 0.0, grid.shape[0] - 1.001)
    i, j = row.astype(np.intp), column.astype(np.intp)
    u, v = row - i, column - j
    low = grid[i, j] * (1 - v) + grid[i, j + 1] * v
    high = grid[i + 1, j] * (1 - v) + grid[i + 1, j + 1] * v
    return np.asarray(low * (1 - u) + high * u)


def inland_m(x_m: Numbers, y_m: Numbers) -> Numbers:
    """Return the distance from the coast, negative at sea; not less than -400 m off the map."""
    return on_grid(_inland_grid(), x_m, y_m)


def height_m(x_m: Numbers, y_m: Numbers) -> Numbers:
    """Return the height of the ground above the sea, 0 at sea."""
    inland = np.maximum(inland_m(x_m, y_m), 0.0)
    base = 2.6 * -np.expm1(-inland / 10.0) + 9.0 * -np.expm1(-inland / 220.0)
    rolling = 2.2 * np.sin(x_m / 83.0 + 0.7) * np.sin(y_m / 67.0) + np.sin((x_m + y_m) / 41.0)
    hills = (
        97.0 * np.exp(-0.5 * (((x_m - 215.0) / 370.0) ** 2 + ((y_m - 450.0) / 290.0) ** 2))
        + 44.0 * np.exp(-0.5 * (((x_m + 190.0) / 200.0) ** 2 + ((y_m - 430.0) / 230.0) ** 2))
        + 32.0 * np.exp(-0.5 * (((x_m - 1085.0) / 95.0) ** 2 + ((y_m + 510.0) / 150.0) ** 2))
    )
    wild = base + (rolling + hills) * -np.expm1(-inland / 110.0)
    foot_x, foot_y = foot_of(HARBOUR)
    quay = np.exp(-((np.hypot(x_m - foot_x, y_m - foot_y) / 85.0) ** 4))
    return np.asarray(np.where(inland > 0.0, wild * (1 - quay) + HARBOUR.ground_m * quay, 0.0))


def is_on_mole(x_m: Numbers, y_m: Numbers) -> NDArray[np.bool_]:
    """Return which points lie on the mole."""
    return np.asarray(distance_to_line_m(x_m, y_m, np.array(MOLE)) <= MOLE_HALF_WIDTH_M)


def surface_m(x_m: Numbers, y_m: Numbers) -> Numbers:
    """Return the height of what one stands on: ground or mole."""
    ground = height_m(x_m, y_m)
    return np.where(is_on_mole(x_m, y_m), np.maximum(ground, MOLE_TOP_M), ground)


def geodesic(
    latitude_a: float, longitude_a: float, latitude_b: float, longitude_b: float
) -> tuple[float, float]:
    """Return distance in metres and bearing from a to b, 0 to 360 degrees."""
    bearing, _, away = WGS84.inv(longitude_a, latitude_a, longitude_b, latitude_b)
    return float(away), float(bearing) % 360.0
