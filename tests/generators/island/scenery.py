"""Everything built or kept: houses, harbour office, mole, boats, walls, sheep."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise

import numpy as np

from tests.generators.island.boxes import Box, Colour, Face
from tests.generators.island.chance import stream
from tests.generators.island.countryside import field_walls, sheep, ways
from tests.generators.island.ground import (
    MOLE,
    MOLE_HALF_WIDTH_M,
    MOLE_TOP_M,
    coast_line,
    distance_to_line_m,
    foot_of,
    height_m,
    inland_m,
)
from tests.generators.island.scenario import HARBOUR, HILL
from tests.generators.island.walks import route_line

WALL_COLOURS: tuple[Colour, ...] = (
    (243, 238, 226), (236, 224, 200), (226, 203, 168), (214, 222, 222), (232, 196, 178),
)  # fmt: skip
ROOF_COLOURS: tuple[Colour, ...] = ((92, 100, 112), (112, 98, 96), (168, 92, 72), (84, 92, 98))
STONE: Colour = (166, 160, 150)
ROOF_OF_OFFICE_M = 6.0


@lru_cache(maxsize=1)
def all_faces() -> tuple[Face, ...]:
    """Return everything built."""
    boxes = [*_harbour(), *_mole(), *_houses(), *_boats(), *_summit(), *field_walls(), *sheep()]
    standing = (face for box in boxes for face in box.faces())
    return (*ways(), *_quay_wall(), *standing)


def mast_line() -> tuple[tuple[float, float], float, float]:
    """Return place, foot and top of the harbour's mast; its antenna is the uppermost 2 m."""
    return foot_of(HARBOUR), HARBOUR.ground_m + ROOF_OF_OFFICE_M, HARBOUR.antenna_m


def _harbour() -> Iterator[Box]:
    x_m, y_m = foot_of(HARBOUR)
    yield Box(
        x_m=x_m,
        y_m=y_m,
        base_m=3.0,
        length_m=17,
        width_m=9,
        height_m=ROOF_OF_OFFICE_M,
        turn_deg=28,
        walls=(245, 243, 236),
        roof=(150, 158, 164),
        has_windows=True,
    )
    for dx, dy, length, height, walls in (
        (-30, -6, 14, 4.2, (176, 82, 62)),
        (-22, 28, 12, 3.6, (98, 128, 134)),
        (-50, 18, 10, 3.4, (236, 224, 200)),
    ):
        yield Box(
            x_m=x_m + dx,
            y_m=y_m + dy,
            base_m=3.0,
            length_m=length,
            width_m=7,
            height_m=height,
            turn_deg=28.0 + dx,
            walls=walls,
            roof=(84, 92, 98),
            gable_m=2.2,
            has_windows=True,
        )
    for place in range(9):  # crates and bollards along the edge of the quay
        yield Box(
            x_m=x_m + 24 - 2.3 * place,
            y_m=y_m - 22 - 5.2 * place,
            base_m=3.0,
            length_m=0.5,
            width_m=0.5,
            height_m=0.6,
            turn_deg=20,
            walls=(58, 62, 66),
            roof=(70, 74, 78),
        )
    for east, north, size in ((-4, -26, 1.4), (-6.2, -26.5, 1.2), (-5, -28.4, 1.1)):
        yield Box(
            x_m=x_m + east,
            y_m=y_m + north,
            base_m=3.0,
            length_m=size,
            width_m=size,
            height_m=size * 0.8,
            turn_deg=50 * size,
            walls=(186, 140, 88),
            roof=(206, 160, 104),
        )


def _mole() -> Iterator[Box]:
    (ax, ay), (bx, by) = MOLE
    length = float(np.hypot(bx - ax, by - ay))
    turn = float(np.degrees(np.arctan2(bx - ax, by - ay)))
    yield Box(
        x_m=(ax + bx) / 2,
        y_m=(ay + by) / 2,
        base_m=0.0,
        length_m=length,
        width_m=2 * MOLE_HALF_WIDTH_M,
        height_m=MOLE_TOP_M,
        turn_deg=turn,
        walls=STONE,
        roof=(196, 190, 178),
    )
    # The parapet stands on the side of the open sea, east of the way.
    yield Box(
        x_m=(ax + bx) / 2 + 3.2,
        y_m=(ay + by) / 2 - 0.25,
        base_m=MOLE_TOP_M,
        length_m=length,
        width_m=0.7,
        height_m=1.0,
        turn_deg=turn,
        walls=(178, 172, 162),
        roof=(206, 200, 190),
    )
    yield Box(
        x_m=bx - 1.0,
        y_m=by - 2.0,
        base_m=MOLE_TOP_M,
        length_m=2.6,
        width_m=2.6,
        height_m=5.0,
        turn_deg=turn,
        walls=(244, 243, 240),
        roof=(200, 70, 58),
    )
    yield Box(
        x_m=bx - 1.0,
        y_m=by - 2.0,
        base_m=MOLE_TOP_M + 5.0,
        length_m=1.8,
        width_m=1.8,
        height_m=1.8,
        turn_deg=turn,
        walls=(204, 72, 60),
        roof=(180, 60, 52),
    )


def _houses() -> Iterator[Box]:
    chance = stream("houses")
    built: list[tuple[float, float]] = []
    routes = [route_line("quay"), route_line("hill")]
    while len(built) < 46:
        x_m, y_m = float(chance.uniform(-900, -430)), float(chance.uniform(-480, -130))
        shape = [float(value) for value in chance.uniform(size=5)]
        here = np.array([x_m]), np.array([y_m])
        near_way = min(float(distance_to_line_m(*here, line)[0]) for line in routes)
        near_house = min((np.hypot(x_m - a, y_m - b) for a, b in built), default=99.0)
        if near_way < 9.0 or near_way > 60.0 or near_house < 17.0 or inland_m(*here)[0] < 30.0:
            continue
        built.append((x_m, y_m))
        yield Box(
            x_m=x_m,
            y_m=y_m,
            base_m=float(height_m(*here)[0]) - 0.3,
            length_m=8.5 + 4.0 * shape[0],
            width_m=6.5 + shape[1],
            height_m=3.2 if shape[2] < 0.6 else 5.4,
            turn_deg=180.0 * shape[3],
            walls=WALL_COLOURS[int(5 * shape[4])],
            roof=ROOF_COLOURS[int(4 * shape[0])],
            gable_m=2.6,
            has_windows=True,
        )


def _boats() -> Iterator[Box]:
    hulls: tuple[Colour, ...] = ((38, 84, 112), (176, 64, 52), (240, 238, 230), (60, 110, 92))
    places = (
        (-640, -590, 20),
        (-612, -640, 200),
        (-560, -560, 310),
        (-655, -700, 80),
        (-430, -640, 250),
        (-180, -520, 140),
        (860, -1010, 330),
        (-600, -520, 60),
    )
    for number, (x_m, y_m, turn) in enumerate(places):
        hull = hulls[number % 4]
        yield Box(
            x_m=x_m,
            y_m=y_m,
            base_m=0.0,
            length_m=8,
            width_m=2.6,
            height_m=1.0,
            turn_deg=turn,
            walls=hull,
            roof=(206, 178, 136),
        )
        yield Box(
            x_m=x_m,
            y_m=y_m,
            base_m=1.0,
            length_m=2.6,
            width_m=1.9,
            height_m=1.7,
            turn_deg=turn,
            walls=(246, 245, 240),
            roof=(228, 226, 220),
        )
        yield Box(
            x_m=x_m,
            y_m=y_m,
            base_m=2.7,
            length_m=0.14,
            width_m=0.14,
            height_m=4.0,
            turn_deg=turn,
            walls=(120, 100, 80),
            roof=(120, 100, 80),
        )


def _summit() -> Iterator[Box]:
    x_m, y_m = foot_of(HILL)
    yield Box(
        x_m=x_m,
        y_m=y_m,
        base_m=HILL.ground_m,
        length_m=0.45,
        width_m=0.45,
        height_m=HILL.antenna_agl_m,
        turn_deg=0,
        walls=(96, 100, 106),
        roof=(96, 100, 106),
    )
    yield Box(
        x_m=x_m + 5,
        y_m=y_m - 2,
        base_m=HILL.ground_m,
        length_m=4,
        width_m=3,
        height_m=2.6,
        turn_deg=15,
        walls=(226, 220, 206),
        roof=(120, 120, 120),
    )


def _quay_wall() -> Iterator[Face]:
    """Yield the wall of the quay where the ground was levelled to the edge of the water."""
    foot_x, foot_y = foot_of(HARBOUR)
    coast = coast_line()
    for a, b in pairwise(coast):
        if np.hypot(*(a - (foot_x, foot_y))) > 95.0:
            continue
        # The land lies to the left of the coast line.
        out = np.array([b[1] - a[1], a[0] - b[0]]) / np.hypot(*(b - a))
        top = height_m(np.array([a[0] - 2 * out[0]]), np.array([a[1] - 2 * out[1]]))[0] + 0.1
        outer = [(*(point + 1.2 * out), up) for point, up in ((a, -1), (b, -1), (b, top), (a, top))]
        cap = [
            (*(point + shift * out), top)
            for point, shift in ((a, 1.2), (b, 1.2), (b, -1.6), (a, -1.6))
        ]
        yield Face(np.array(outer), STONE)
        yield Face(np.array(cap), (196, 190, 178))
