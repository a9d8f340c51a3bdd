"""Where the words of a drawing go: beside what they name, and not on top of one another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from reportgen.pages.charts.ink import Point, text_width

_OUTSIDE = 1000.0
_ON_A_LABEL = 40.0
_ON_A_MARK = 1.0


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle of a drawing, down positive."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Whether two boxes share any ground."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


def text_box(centre: Point, content: str, letter: float) -> Box:
    """Return the box of a text that stands around a centre."""
    half_width, half_height = text_width(content, letter) / 2 + 2, 0.62 * letter
    x, y = centre
    return Box(x - half_width, y - half_height, x + half_width, y + half_height)


def square(centre: Point, half: float) -> Box:
    """Return the square box around a centre."""
    x, y = centre
    return Box(x - half, y - half, x + half, y + half)


class Room:
    """What is taken of a drawing: marks, which labels should spare, and labels, which they must."""

    def __init__(self, width: float, height: float, marks: Sequence[Point], radius: float) -> None:
        self._sheet = Box(0, 0, width, height)
        self._marks = np.array(marks, dtype=np.float64).reshape(-1, 2)
        self._radius = radius
        self._taken: list[Box] = []
        self._spared: list[Box] = []

    @property
    def taken(self) -> tuple[Box, ...]:
        """The boxes claimed so far."""
        return tuple(self._taken)

    def claim(self, box: Box) -> None:
        """Take a box."""
        self._taken.append(box)

    def spare(self, box: Box) -> None:
        """Keep later labels off a box that nothing stands in here."""
        self._spared.append(box)

    def cost(self, box: Box) -> float:
        """Return how bad a place is: 0 where nothing stands."""
        return (
            _OUTSIDE * (not self._holds(box))
            + _ON_A_LABEL * sum(box.meets(other) for other in (*self._taken, *self._spared))
            + _ON_A_MARK * self._marks_in(box)
        )

    def best(self, boxes: Sequence[Box]) -> int:
        """Return which of several places is best, an earlier one where they are alike."""
        costs = [self.cost(box) + index / len(boxes) / 2 for index, box in enumerate(boxes)]
        return costs.index(min(costs))

    def _holds(self, box: Box) -> bool:
        sheet = self._sheet
        return (
            box.left >= sheet.left + 3
            and box.top >= sheet.top + 3
            and box.right <= sheet.right - 3
            and box.bottom <= sheet.bottom - 3
        )

    def _marks_in(self, box: Box) -> int:
        x, y, r = self._marks[:, 0], self._marks[:, 1], self._radius
        inside = (x > box.left - r) & (x < box.right + r) & (y > box.top - r) & (y < box.bottom + r)
        return int(inside.sum())
