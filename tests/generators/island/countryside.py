"""What lies in the fields: trodden ways, dry-stone walls, sheep."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from tests.generators.island.boxes import Box, Colour, Face
from tests.generators.island.chance import stream
from tests.generators.island.ground import height_m, inland_m, surface_m
from tests.generators.island.walks import place_on_route, route_line

TRODDEN: Colour = (206, 190, 154)
WAY_HALF_M = 0.7
FIELD_WALLS = (
    ((-700, 60), (-540, 40), (-430, -40), (-300, -80)), ((-540, 40), (-470, 210)),
    ((180, 1000), (330, 980), (420, 900)), ((960, 300), (860, 120), (700, -60), (560, -190)),
    ((-320, -200), (-140, -190), (90, -170), (300, -185)),
)  # fmt: skip
FLOCKS = ((-480, 190, 9), (250, 1000, 11), (800, 215, 8), (560, -100, 6), (20, -200, 7),
          (-560, 110, 6))  # fmt: skip


def ways() -> Iterator[Face]:
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


def field_walls() -> Iterator[Box]:
    """Yield dry-stone walls, piece by piece along the ground."""
    for line in FIELD_WALLS:
        ends = np.array(line, dtype=float)
        for (ax, ay), (bx, by) in pairwise(ends):
            length = float(np.hypot(bx - ax, by - ay))
            pieces = max(1, round(length / 6.0))
            for piece in range(pieces):
                share = (piece + 0.5) / pieces
                x_m, y_m = ax + share * (bx - ax), ay + share * (by - ay)
                up = float(height_m(np.array([x_m]), np.array([y_m]))[0])
                yield Box(
                    x_m=x_m,
                    y_m=y_m,
                    base_m=up,
                    length_m=length / pieces,
                    width_m=0.6,
                    height_m=1.1,
                    turn_deg=float(np.degrees(np.arctan2(bx - ax, by - ay))),
                    walls=(150, 146, 138),
                    roof=(176, 172, 164),
                )


def sheep() -> Iterator[Box]:
    """Yield bodies and heads."""
    chance = stream("sheep")
    for flock_x, flock_y, count in FLOCKS:
        for _ in range(count):
            x_m = flock_x + 22.0 * float(chance.standard_normal())
            y_m = flock_y + 14.0 * float(chance.standard_normal())
            turn = float(chance.uniform(0, 360))
            up = float(height_m(np.array([x_m]), np.array([y_m]))[0]) + 0.35
            yield Box(
                x_m=x_m,
                y_m=y_m,
                base_m=up,
                length_m=1.1,
                width_m=0.55,
                height_m=0.55,
                turn_deg=turn,
                walls=(240, 237, 228),
                roof=(247, 245, 238),
                buried_m=0.0,
            )
            ahead = np.radians(turn)
            yield Box(
                x_m=x_m + 0.7 * float(np.sin(ahead)),
                y_m=y_m + 0.7 * float(np.cos(ahead)),
                base_m=up + 0.3,
                length_m=0.35,
                width_m=0.25,
                height_m=0.3,
                turn_deg=turn,
                walls=(58, 54, 52),
                roof=(70, 66, 62),
                buried_m=0.0,
            )
