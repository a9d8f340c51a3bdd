"""Everything built: houses, harbour office, mole, boats, as flat faces with a colour each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tests.generators.island.chance import stream
from tests.generators.island.ground import (
    MOLE,
    MOLE_HALF_WIDTH_M,
    MOLE_TOP_M,
    Numbers,
    coast_line,
    distance_to_line_m,
    foot_of,
    height_m,
    inland_m,
    surface_m,
)
from tests.generators.island.scenario import HARBOUR, HILL
from tests.generators.island.walks import place_on_route, route_line

Colour = tuple[int, int, int]

SUN = np.array([0.62, -0.48, 0.62])
"""Unit vector towards the sun: in the south-east, as on a June morning."""

WALL_COLOURS: tuple[Colour, ...] = (
    (243, 238, 226), (236, 224, 200), (226, 203, 168), (214, 222, 222), (232, 196, 178),
)  # fmt: skip
ROOF_COLOURS: tuple[Colour, ...] = ((92, 100, 112), (112, 98, 96), (168, 92, 72), (84, 92, 98))
WINDOW: Colour = (74, 92, 108)
DOOR: Colour = (42, 92, 122)
STONE: Colour = (166, 160, 150)
TRODDEN: Colour = (206, 190, 154)
WAY_HALF_M = 0.7
FIELD_WALLS = (
    ((-700, 60), (-540, 40), (-430, -40), (-300, -80)), ((-540, 40), (-470, 210)),
    ((180, 1000), (330, 980), (420, 900)), ((960, 300), (860, 120), (700, -60), (560, -190)),
    ((-320, -200), (-140, -190), (90, -170), (300, -185)),
)  # fmt: skip
FLOCKS = ((-480, 190, 9), (250, 1000, 11), (800, 215, 8), (560, -100, 6), (20, -200, 7),
          (-560, 110, 6))  # fmt: skip
ROOF_OF_OFFICE_M = 6.0


@dataclass(frozen=True, slots=True)
class Face:
    """A flat polygon; `corners` of shape (n, 3), metres east, north, up."""

    corners: Numbers
    colour: Colour


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A block on the ground, turned by `turn_deg` clockwise; `gable_m` is a roof on top of it."""

    x_m: float
    y_m: float
    base_m: float
    length_m: float
    width_m: float
    height_m: float
    turn_deg: float
    walls: Colour
    roof: Colour
    gable_m: float = 0.0
    buried_m: float = 2.0
    has_windows: bool = False

    def corner(self, along: float, across: float, up_m: float) -> tuple[float, float, float]:
        """Return a point of the block; `along` and `across` run from -1 to 1."""
        turn = np.radians(self.turn_deg)
        u, v = along * self.length_m / 2, across * self.width_m / 2
        return (
            self.x_m + u * float(np.sin(turn)) + v * float(np.cos(turn)),
            self.y_m + u * float(np.cos(turn)) - v * float(np.sin(turn)),
            self.base_m + up_m,
        )

    def faces(self) -> Iterator[Face]:
        """Yield walls, roof and windows."""
        top = self.height_m
        sides = (((-1, -1), (1, -1)), ((1, -1), (1, 1)), ((1, 1), (-1, 1)), ((-1, 1), (-1, -1)))
        for a, b in sides:
            quad = [self.corner(*a, -self.buried_m), self.corner(*b, -self.buried_m),
                    self.corner(*b, top), self.corner(*a, top)]  # fmt: skip
            if self.gable_m and a[0] == b[0]:
                quad.insert(3, self.corner(a[0], 0, top + self.gable_m))
            yield Face(np.array(quad), self.walls)
        yield from self._roof()
        if self.has_windows:
            yield from self._windows()

    def _roof(self) -> Iterator[Face]:
        top, ridge = self.height_m, self.height_m + self.gable_m
        if not self.gable_m:
            around = ((-1, -1), (1, -1), (1, 1), (-1, 1))
            yield Face(np.array([self.corner(*c, top) for c in around]), self.roof)
            return
        for side in (-1.12, 1.12):
            low = top - 0.12 * self.gable_m
            yield Face(
                np.array([
                    self.corner(-1.05, side, low), self.corner(1.05, side, low),
                    self.corner(1.05, 0, ridge), self.corner(-1.05, 0, ridge),
                ]),
                self.roof,
            )  # fmt: skip

    def _windows(self) -> Iterator[Face]:
        storeys = (0.9,) if self.height_m < 4.0 else (0.9, 3.5)
        count = max(2, int(self.length_m / 3.2))
        for sill in storeys:
            for number in range(count):
                middle = -1 + (2 * number + 1) / count
                half = 0.55 / self.length_m * 2
                for side in (-1.006, 1.006):
                    quad = [(middle - half, sill), (middle + half, sill),
                            (middle + half, sill + 1.3), (middle - half, sill + 1.3)]  # fmt: skip
                    yield Face(np.array([self.corner(u, side, z) for u, z in quad]), WINDOW)
            half = 1.1 / self.width_m
            for end, middle in ((-1.003, -0.45), (-1.003, 0.45), (1.003, -0.45), (1.003, 0.45)):
                # One of the ground-floor openings is the door.
                is_door = (sill, end, middle) == (0.9, -1.003, 0.45)
                low, colour = (0.0, DOOR) if is_door else (sill, WINDOW)
                pane = [(middle - half, low), (middle + half, low),
                        (middle + half, sill + 1.3), (middle - half, sill + 1.3)]  # fmt: skip
                yield Face(np.array([self.corner(end, v, z) for v, z in pane]), colour)


def shaded(face: Face) -> Colour:
    """Return the colour of a face in the sun, the same on both of its sides."""
    a, b, c = face.corners[0], face.corners[1], face.corners[2]
    normal = np.cross(b - a, c - a)
    normal = normal / max(float(np.linalg.norm(normal)), 1e-9)
    light = 0.72 + 0.30 * abs(float(normal @ SUN))
    red, green, blue = (int(min(255, part * light)) for part in face.colour)
    return red, green, blue


@lru_cache(maxsize=1)
def all_faces() -> tuple[Face, ...]:
    """Return everything built."""
    boxes = [*_harbour(), *_mole(), *_houses(), *_boats(), *_summit(), *_field_walls(), *_sheep()]
    standing = (face for box in boxes for face in box.faces())
    return (*_ways(), *_quay_wall(), *standing)


def mast_line() -> tuple[tuple[float, float], float, float]:
    """Return place, foot and top of the harbour's mast; its antenna is the uppermost 2 m."""
    return foot_of(HARBOUR), HARBOUR.ground_m + ROOF_OF_OFFICE_M, HARBOUR.antenna_m


def _harbour() -> Iterator[Box]:
    x_m, y_m = foot_of(HARBOUR)
    yield Box(x_m=x_m, y_m=y_m, base_m=3.0, length_m=17, width_m=9, height_m=ROOF_OF_OFFICE_M,
              turn_deg=28, walls=(245, 243, 236), roof=(150, 158, 164), has_windows=True)  # fmt: skip
    for dx, dy, length, height, walls in (
        (-30, -6, 14, 4.2, (176, 82, 62)), (-22, 28, 12, 3.6, (98, 128, 134)),
        (-50, 18, 10, 3.4, (236, 224, 200)),
    ):  # fmt: skip
        yield Box(x_m=x_m + dx, y_m=y_m + dy, base_m=3.0, length_m=length, width_m=7,
                  height_m=height, turn_deg=28 + dx, walls=walls, roof=(84, 92, 98),
                  gable_m=2.2, has_windows=True)  # fmt: skip
    for step in range(9):  # crates and bollards along the edge of the quay
        yield Box(x_m=x_m + 24 - 2.3 * step, y_m=y_m - 22 - 5.2 * step, base_m=3.0, length_m=0.5,
                  width_m=0.5, height_m=0.6, turn_deg=20, walls=(58, 62, 66),
                  roof=(70, 74, 78))  # fmt: skip
    for dx, dy, size in ((-4, -26, 1.4), (-6.2, -26.5, 1.2), (-5, -28.4, 1.1)):
        yield Box(x_m=x_m + dx, y_m=y_m + dy, base_m=3.0, length_m=size, width_m=size,
                  height_m=size * 0.8, turn_deg=50 * size, walls=(186, 140, 88),
                  roof=(206, 160, 104))  # fmt: skip


def _mole() -> Iterator[Box]:
    (ax, ay), (bx, by) = MOLE
    length = float(np.hypot(bx - ax, by - ay))
    turn = float(np.degrees(np.arctan2(bx - ax, by - ay)))
    yield Box(x_m=(ax + bx) / 2, y_m=(ay + by) / 2, base_m=0.0, length_m=length,
              width_m=2 * MOLE_HALF_WIDTH_M, height_m=MOLE_TOP_M, turn_deg=turn, walls=STONE,
              roof=(196, 190, 178))  # fmt: skip
    # The parapet stands on the side of the open sea, east of the way.
    yield Box(x_m=(ax + bx) / 2 + 3.2, y_m=(ay + by) / 2 - 0.25, base_m=MOLE_TOP_M,
              length_m=length, width_m=0.7, height_m=1.0, turn_deg=turn, walls=(178, 172, 162),
              roof=(206, 200, 190))  # fmt: skip
    yield Box(x_m=bx - 1.0, y_m=by - 2.0, base_m=MOLE_TOP_M, length_m=2.6, width_m=2.6,
              height_m=5.0, turn_deg=turn, walls=(244, 243, 240), roof=(200, 70, 58))  # fmt: skip
    yield Box(x_m=bx - 1.0, y_m=by - 2.0, base_m=MOLE_TOP_M + 5.0, length_m=1.8, width_m=1.8,
              height_m=1.8, turn_deg=turn, walls=(204, 72, 60), roof=(180, 60, 52))  # fmt: skip


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
            x_m=x_m, y_m=y_m, base_m=float(height_m(*here)[0]) - 0.3,
            length_m=8.5 + 4.0 * shape[0], width_m=6.5 + shape[1],
            height_m=3.2 if shape[2] < 0.6 else 5.4, turn_deg=180.0 * shape[3],
            walls=WALL_COLOURS[int(5 * shape[4])], roof=ROOF_COLOURS[int(4 * shape[0])],
            gable_m=2.6, has_windows=True,
        )  # fmt: skip


def _boats() -> Iterator[Box]:
    hulls: tuple[Colour, ...] = ((38, 84, 112), (176, 64, 52), (240, 238, 230), (60, 110, 92))
    places = ((-640, -590, 20), (-612, -640, 200), (-560, -560, 310), (-655, -700, 80),
              (-430, -640, 250), (-180, -520, 140), (860, -1010, 330), (-600, -520, 60))  # fmt: skip
    for number, (x_m, y_m, turn) in enumerate(places):
        hull = hulls[number % 4]
        yield Box(x_m=x_m, y_m=y_m, base_m=0.0, length_m=8, width_m=2.6, height_m=1.0,
                  turn_deg=turn, walls=hull, roof=(206, 178, 136))  # fmt: skip
        yield Box(x_m=x_m, y_m=y_m, base_m=1.0, length_m=2.6, width_m=1.9, height_m=1.7,
                  turn_deg=turn, walls=(246, 245, 240), roof=(228, 226, 220))  # fmt: skip
        yield Box(x_m=x_m, y_m=y_m, base_m=2.7, length_m=0.14, width_m=0.14, height_m=4.0,
                  turn_deg=turn, walls=(120, 100, 80), roof=(120, 100, 80))  # fmt: skip


def _summit() -> Iterator[Box]:
    x_m, y_m = foot_of(HILL)
    yield Box(x_m=x_m, y_m=y_m, base_m=HILL.ground_m, length_m=0.45, width_m=0.45,
              height_m=HILL.antenna_agl_m, turn_deg=0, walls=(96, 100, 106),
              roof=(96, 100, 106))  # fmt: skip
    yield Box(x_m=x_m + 5, y_m=y_m - 2, base_m=HILL.ground_m, length_m=4, width_m=3,
              height_m=2.6, turn_deg=15, walls=(226, 220, 206), roof=(120, 120, 120))  # fmt: skip


def _ways() -> Iterator[Face]:
    """Yield the trodden ways as a ribbon laid on the ground."""
    for name in ("quay", "hill"):
        length_m = float(np.hypot(*np.diff(route_line(name), axis=0).T).sum())
        x_m, y_m = place_on_route(name, np.arange(0.0, length_m, 2.5))
        ahead = np.hypot(np.gradient(x_m), np.gradient(y_m))
        across_x, across_y = np.gradient(y_m) / ahead, -np.gradient(x_m) / ahead
        left, right = (
            (x_m + side * across_x, y_m + side * across_y) for side in (-WAY_HALF_M, WAY_HALF_M)
        )
        edges = [np.column_stack([x, y, surface_m(x, y) + 0.05]) for x, y in (left, right)]
        for step in range(len(x_m) - 1):
            # A little longer than the step, so that no seam shows.
            ends = [edge[step] + 1.06 * (edge[step + 1] - edge[step]) for edge in edges]
            corners = [edges[0][step], edges[1][step], ends[1], ends[0]]
            if inland_m(x_m[step : step + 1], y_m[step : step + 1])[0] > 1.0:
                yield Face(np.array(corners), TRODDEN)


def _quay_wall() -> Iterator[Face]:
    """Yield the wall of the quay where the ground was levelled to the edge of the water."""
    foot_x, foot_y = foot_of(HARBOUR)
    coast = coast_line()
    for a, b in zip(coast, coast[1:], strict=False):
        if np.hypot(*(a - (foot_x, foot_y))) > 95.0:
            continue
        # The land lies to the left of the coast line.
        out = np.array([b[1] - a[1], a[0] - b[0]]) / np.hypot(*(b - a))
        top = height_m(np.array([a[0] - 2 * out[0]]), np.array([a[1] - 2 * out[1]]))[0] + 0.1
        outer = [(*(point + 1.2 * out), up) for point, up in ((a, -1), (b, -1), (b, top), (a, top))]
        cap = [(*(point + shift * out), top)
               for point, shift in ((a, 1.2), (b, 1.2), (b, -1.6), (a, -1.6))]  # fmt: skip
        yield Face(np.array(outer), STONE)
        yield Face(np.array(cap), (196, 190, 178))


def _field_walls() -> Iterator[Box]:
    for line in FIELD_WALLS:
        ends = np.array(line, dtype=float)
        for (ax, ay), (bx, by) in zip(ends, ends[1:], strict=False):
            length = float(np.hypot(bx - ax, by - ay))
            pieces = max(1, round(length / 6.0))
            for piece in range(pieces):
                share = (piece + 0.5) / pieces
                x_m, y_m = ax + share * (bx - ax), ay + share * (by - ay)
                up = float(height_m(np.array([x_m]), np.array([y_m]))[0])
                yield Box(x_m=x_m, y_m=y_m, base_m=up, length_m=length / pieces, width_m=0.6,
                          height_m=1.1, turn_deg=float(np.degrees(np.arctan2(bx - ax, by - ay))),
                          walls=(150, 146, 138), roof=(176, 172, 164))  # fmt: skip


def _sheep() -> Iterator[Box]:
    chance = stream("sheep")
    for flock_x, flock_y, count in FLOCKS:
        for _ in range(count):
            x_m = flock_x + 22.0 * float(chance.standard_normal())
            y_m = flock_y + 14.0 * float(chance.standard_normal())
            turn = float(chance.uniform(0, 360))
            up = float(height_m(np.array([x_m]), np.array([y_m]))[0]) + 0.35
            yield Box(x_m=x_m, y_m=y_m, base_m=up, length_m=1.1, width_m=0.55, height_m=0.55,
                      turn_deg=turn, walls=(240, 237, 228), roof=(247, 245, 238), buried_m=0.0)  # fmt: skip
            ahead = np.radians(turn)
            yield Box(x_m=x_m + 0.7 * float(np.sin(ahead)), y_m=y_m + 0.7 * float(np.cos(ahead)),
                      base_m=up + 0.3, length_m=0.35, width_m=0.25, height_m=0.3, turn_deg=turn,
                      walls=(58, 54, 52), roof=(70, 66, 62), buried_m=0.0)  # fmt: skip
