"""What a reader can switch on a map: what its squares of ground show, and of which walk."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

ALL = "all"
"""Stands for the number of a walk where all are taken together."""


class Ground(StrEnum):
    """What the squares of ground show; only one at a time."""

    NOTHING = "nothing"
    LEVEL = "level"
    SHARE = "share"
    OTHERS = "others"


class Look(StrEnum):
    """How a square is drawn; pattern and size carry the meaning, colour only helps."""

    COLOURED = "coloured"
    PLAIN = "plain"
    BELOW = "below"
    SILENT = "silent"
    WALKED = "walked"


@dataclass(frozen=True, slots=True, kw_only=True)
class Square:
    """A square of ground, metres east and north of the map's origin to its south-west corner.

    `level` is on the map's scale, None where it lies below the limit (`is_below`) or is not known.
    One that few frames tell of (`is_uncertain`) is drawn smaller.
    """

    x: float
    y: float
    sent: int
    heard: int
    level: float | None
    is_below: bool
    is_uncertain: bool
    title: str
    hover: str

    def __post_init__(self) -> None:
        if not all(map(math.isfinite, (self.x, self.y, self.level or 0.0))):
            raise AssertionError(f"square {self.title}: a number is missing or infinite")


@dataclass(frozen=True, slots=True, kw_only=True)
class SquareLayer:
    """The squares of one walk (its number), or of all; as the own station heard, or others."""

    walk: str
    is_own: bool
    squares: tuple[Square, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One of the things a reader can choose."""

    value: str
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerWords:
    """The words of the controls and of the squares' key."""

    ground: str
    walk: str
    looks: Mapping[tuple[Ground, Look], str]
    small: str
    share: str
    notes: Mapping[Ground, str]
    mixed: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Layers:
    """What can be switched, the default first; `walks` is empty where there is only one."""

    grounds: tuple[Choice, ...]
    walks: tuple[Choice, ...]
    squares: tuple[SquareLayer, ...]
    edge_m: float
    words: LayerWords

    @property
    def own_grounds(self) -> tuple[str, ...]:
        """The choices under which marks of the own station show; empty: any."""
        values = tuple(choice.value for choice in self.grounds)
        own = tuple(value for value in values if value != Ground.OTHERS)
        return own if own != values else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class When:
    """Under which choices a part of a map shows; empty: under any."""

    ground: tuple[str, ...] = ()
    walk: tuple[str, ...] = ()

    @property
    def attributes(self) -> str:
        """The same for an element of the page; each begins with a space."""
        return "".join(f' data-{key}="{" ".join(values)}"' for key, values in self.by_kind.items())

    @property
    def by_kind(self) -> dict[str, tuple[str, ...]]:
        """The conditions there are."""
        pairs = (("ground", self.ground), ("walk", self.walk))
        return {key: values for key, values in pairs if values}


def when_of_walk(walk: str, ground: tuple[str, ...] = ()) -> When:
    """Return when something of one walk shows: with that walk, and with all."""
    return When(walk=(ALL, walk) if walk else (), ground=ground)


def when_of_squares(layer: SquareLayer, *grounds: str) -> When:
    """Return when squares show: those of all walks together with no single one."""
    return When(walk=(layer.walk,) if layer.walk else (), ground=grounds)


def grounds_of(layer: SquareLayer, layers: Layers) -> tuple[Ground, ...]:
    """Return what the squares of a layer can show."""
    kinds = (Ground.LEVEL, Ground.SHARE) if layer.is_own else (Ground.OTHERS,)
    offered = {choice.value for choice in layers.grounds}
    return tuple(kind for kind in kinds if kind in offered)
