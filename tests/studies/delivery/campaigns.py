"""Campaigns with known delivery: ground, walks and chance, without a line of the package."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

Floats = NDArray[np.float64]
SHADOW_M = 40.0
WAVES = 400
STEP_M = 5.0
BLOCK_DB = 28.0
PAUSED_RATIO, BURST_RATIO = 0.5, 0.25
"""Shares of campaigns in which the walker pauses, and in which frames are lost in bursts."""

BURST_FRAMES = 5.0
PLACE_ERROR_M = 5.0
"""By so much the path seems to grow with each frame sent while standing still."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What the signal meets: the same for every walk."""

    exponent: float
    margin_100m_db: float
    shadow_db: float
    fading_db: float
    lost_otherwise: float
    blocked_deg: float
    waves: Floats
    phases: Floats

    def heard_probability(self, x_m: Floats, y_m: Floats) -> Floats:
        """Return the probability that a frame from a place is heard."""
        away_m = np.maximum(np.hypot(x_m, y_m), 10.0)
        phase = np.outer(x_m, self.waves[0]) + np.outer(y_m, self.waves[1]) + self.phases
        shadow_db = self.shadow_db * np.sqrt(2.0 / WAVES) * np.cos(phase).sum(axis=1)
        bearing = np.rad2deg(np.arctan2(x_m, y_m))
        off_deg = np.abs((bearing - self.blocked_deg + 180.0) % 360.0 - 180.0)
        hill_db = np.where((off_deg < 30.0) & (away_m > 300.0), BLOCK_DB, 0.0)
        margin_db = (
            self.margin_100m_db
            - 10.0 * self.exponent * np.log10(away_m / 100.0)
            + shadow_db
            - hill_db
        )
        return np.asarray((1.0 - self.lost_otherwise) * ndtr(margin_db / self.fading_db))


@dataclass(frozen=True, slots=True, kw_only=True)
class Campaign:
    """Frames of some walks over one path, and the truth along the path."""

    x_m: Floats
    y_m: Floats
    path_m: Floats
    is_heard: NDArray[np.bool_]
    true_x_m: Floats
    true_y_m: Floats
    true_p: Floats
    has_pauses: bool
    has_bursts: bool


def campaign(
    chance: np.random.Generator,
    paused_ratio: float = PAUSED_RATIO,
    burst_ratio: float = BURST_RATIO,
) -> Campaign:
    """Return a campaign of one to four walks over one path."""
    ground = _ground(chance)
    x_m, y_m = _path(chance)
    truth = ground.heard_probability(x_m, y_m)
    spacing = chance.uniform(18.0, 40.0)
    has_pauses = bool(chance.uniform() < paused_ratio)
    has_bursts = bool(chance.uniform() < burst_ratio)
    lost_ratio = chance.uniform(0.0, 0.15) if has_bursts else 0.0
    rows = []
    for walk in range(int(chance.integers(1, 5))):
        at = np.arange(chance.uniform(0, spacing), STEP_M * len(x_m) - STEP_M, spacing)
        at = at + chance.uniform(-2.0, 2.0, at.size)
        seen_at = at
        if has_pauses:
            at, seen_at = _paused(chance, at)
        number = np.clip(np.round(at / STEP_M).astype(int), 0, len(x_m) - 1)
        heard = chance.uniform(size=at.size) < truth[number]
        heard &= ~_in_burst(chance, at.size, lost_ratio)
        rows.append((x_m[number], y_m[number], seen_at + 1e6 * walk, heard))
    columns = [np.concatenate(part) for part in zip(*rows, strict=True)]
    return Campaign(
        x_m=columns[0], y_m=columns[1], path_m=columns[2], is_heard=columns[3].astype(bool),
        true_x_m=x_m, true_y_m=y_m, true_p=truth * (1.0 - lost_ratio),
        has_pauses=has_pauses, has_bursts=has_bursts,
    )  # fmt: skip


def _paused(chance: np.random.Generator, at_m: Floats) -> tuple[Floats, Floats]:
    """Return where frames are sent with one to three pauses of 5 to 24 frames, and seem to be."""
    places = chance.choice(at_m, int(chance.integers(1, 4)))
    paused = [np.full(int(chance.integers(5, 25)), place_m) for place_m in places]
    sent_m = np.sort(np.concatenate([at_m, *paused]))
    step_m = np.diff(sent_m, prepend=sent_m[0])
    return sent_m, sent_m[0] + np.cumsum(np.where(step_m > 0.0, step_m, PLACE_ERROR_M))


def _in_burst(chance: np.random.Generator, frames: int, ratio: float) -> NDArray[np.bool_]:
    """Return which frames fall into a burst of losses that has nothing to do with the place."""
    lost = np.zeros(frames, dtype=np.bool_)
    is_lost = bool(chance.uniform() < ratio)
    for number in range(frames if ratio > 0.0 else 0):
        lost[number] = is_lost
        ends, begins = 1.0 / BURST_FRAMES, ratio / (1.0 - ratio) / BURST_FRAMES
        is_lost = bool(chance.uniform() < (1.0 - ends if is_lost else begins))
    return lost


def _ground(chance: np.random.Generator) -> Ground:
    # Wave numbers whose spectrum belongs to exp(-r / SHADOW_M) in two dimensions.
    radial = np.sqrt(1.0 / (1.0 - chance.uniform(0, 0.9999, WAVES)) ** 2 - 1.0) / SHADOW_M
    angle = chance.uniform(0, 2 * np.pi, WAVES)
    return Ground(
        exponent=chance.uniform(2.3, 4.0),
        margin_100m_db=chance.uniform(25.0, 50.0),
        shadow_db=chance.uniform(4.0, 8.0),
        fading_db=chance.uniform(2.0, 4.5),
        lost_otherwise=chance.uniform(0.0, 0.12),
        blocked_deg=chance.uniform(0, 360),
        waves=np.array([radial * np.cos(angle), radial * np.sin(angle)]),
        phases=chance.uniform(0, 2 * np.pi, WAVES),
    )


def _path(chance: np.random.Generator) -> tuple[Floats, Floats]:
    """Return a path every `STEP_M`: a few spokes out and back on another line, or a round."""
    corners = [np.array([20.0, 20.0])]
    for _ in range(int(chance.integers(3, 8))):
        bearing, away_m = chance.uniform(0, 2 * np.pi), chance.uniform(300.0, 2600.0)
        corners.append(away_m * np.array([np.sin(bearing), np.cos(bearing)]))
    legs = []
    for a, b in pairwise(corners):
        steps = max(2, int(np.hypot(*(b - a)) / STEP_M))
        legs.append(a + (b - a) * np.linspace(0.0, 1.0, steps, endpoint=False)[:, None])
    places = np.concatenate(legs)
    return places[:, 0], places[:, 1]
