"""Invented walks: closed loops, spokes, and ways out and back, in metres from the station."""

from __future__ import annotations

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

Floats = NDArray[np.float64]

REACHES_M = (1000.0, 3000.0)
"""The farthest point of a walk lies between these, drawn by logarithm."""

STEP_M = 2.0
"""Routes are drawn as points this far apart."""


def route(chance: Generator) -> Floats:
    """Return points of one route, shape (n, 2), nearest some 50 to 150 m, farthest up to 3 km."""
    kind = chance.choice(["loop", "two loops", "spokes", "out and back"], p=[0.35, 0.2, 0.25, 0.2])
    reach_m = float(np.exp(chance.uniform(*np.log(REACHES_M))))
    if kind == "loop":
        return _loop(chance, reach_m, chance.uniform(0.0, 2.0 * np.pi))
    if kind == "two loops":
        first = chance.uniform(0.0, 2.0 * np.pi)
        second = first + chance.uniform(0.4, 1.0) * np.pi
        return np.concatenate([_loop(chance, reach_m, first), _loop(chance, 0.6 * reach_m, second)])
    ends = 2 if kind == "out and back" else int(chance.integers(3, 6))
    turns = chance.uniform(0.0, 2.0 * np.pi) + 2.0 * np.pi * np.arange(ends) / ends
    turns += chance.normal(0.0, 0.3, ends)
    lengths = reach_m * np.append(1.0, chance.uniform(0.4, 1.0, ends - 1))
    return np.concatenate(
        [_spoke(chance, length, turn) for length, turn in zip(lengths, turns, strict=True)]
    )


def walked(chance: Generator, points: Floats, spacing_m: float) -> Floats:
    """Return the places of one walk's frames: another start, direction and side of the street."""
    line = points[::-1] if chance.random() < 0.5 else points
    along_m = np.cumsum(np.append(0.0, np.hypot(*np.diff(line, axis=0).T)))
    sent_m = np.cumsum(spacing_m * chance.uniform(0.6, 1.4, int(2 * along_m[-1] / spacing_m)))
    sent_m = sent_m[sent_m < along_m[-1]]
    places = np.column_stack([np.interp(sent_m, along_m, line[:, axis]) for axis in (0, 1)])
    return places + chance.normal(0.0, 4.0, 2) + chance.normal(0.0, 2.0, places.shape)


def _loop(chance: Generator, reach_m: float, turn: float) -> Floats:
    """Return a closed, wobbling way that passes near the station and reaches far on one side."""
    nearest_m = chance.uniform(50.0, 150.0)
    angle = np.linspace(0.0, 2.0 * np.pi, 4000)
    wobble = sum(
        chance.normal(0.0, 0.25 / order) * np.cos(order * angle + chance.uniform(0.0, 2.0 * np.pi))
        for order in range(2, 7)
    )
    slender = chance.uniform(0.35, 1.0)
    radius = 0.5 * (reach_m - nearest_m) * np.exp(0.6 * np.asarray(wobble))
    east, north = radius * np.cos(angle), slender * radius * np.sin(angle)
    # Moved so that the station lies inside or outside, never on the way itself.
    east += 0.5 * (reach_m + nearest_m) * chance.choice([1.0, 0.8])
    return _evenly(_turned(np.column_stack([east, north]), turn))


def _spoke(chance: Generator, length_m: float, turn: float) -> Floats:
    """Return a meandering way out and the same way back, by the other side of the street."""
    out_m = np.arange(chance.uniform(40.0, 100.0), length_m, STEP_M)
    aside_m = 0.12 * length_m * np.sin(out_m * 2.0 * np.pi / chance.uniform(400.0, 1500.0))
    aside_m *= np.minimum(out_m / 500.0, 1.0)
    out = _turned(np.column_stack([out_m, aside_m]), turn)
    return _evenly(np.concatenate([out, out[::-1] + chance.normal(0.0, 8.0, 2)]))


def _turned(points: Floats, turn: float) -> Floats:
    cosine, sine = np.cos(turn), np.sin(turn)
    return np.asarray(points @ np.array([[cosine, sine], [-sine, cosine]]))


def _evenly(points: Floats) -> Floats:
    along_m = np.cumsum(np.append(0.0, np.hypot(*np.diff(points, axis=0).T)))
    marks_m = np.arange(0.0, along_m[-1], STEP_M)
    return np.column_stack([np.interp(marks_m, along_m, points[:, axis]) for axis in (0, 1)])
