"""Blocks with gables, doors and windows, as flat faces with a colour each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from tests.generators.island.ground import Numbers

Colour = tuple[int, int, int]

SUN = np.array([0.62, -0.48, 0.62])
"""Unit vector towards the sun: in the south-east, as on a June morning."""

WINDOW: Colour = (74, 92, 108)
DOOR: Colour = (42, 92, 122)


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
