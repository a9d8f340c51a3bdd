"""Walking: routes, pace, and what a satellite receiver makes of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tests.generators.island.chance import stream
from tests.generators.island.ground import Numbers, smooth_line, surface_m, to_degrees
from tests.generators.island.scenario import Walk

PACE_MPS = 1.3
POSITION_ERROR_M = 3.0
POSITION_ERROR_LASTS_S = 60.0
TRACK_STEP_S = 4

_QUAY = (
    (-712, -585), (-740, -607), (-785, -588), (-812, -500), (-765, -425), (-650, -350),
    (-640, -240), (-520, -170), (-425, -225), (-395, -300), (-180, -258), (40, -240), (260, -249),
    (480, -297), (690, -395), (845, -520), (935, -665), (1010, -742), (1040, -805), (1022, -1035),
    (1003, -1284),
)  # fmt: skip
_ROUND_THE_HEAD = (
    (1003, -1284),
    (1022, -1035),
    (1035, -870),
    (1043, -795),
    (1110, -735),
    (1180, -610),
    (1215, -470),
    (1150, -330),
    (1000, -255),
    (820, -262),
    (660, -300),
)
_HILL = (
    (-706, -548), (-765, -425), (-650, -260), (-620, -60), (-560, 140), (-520, 330), (-480, 560),
    (-350, 800), (-150, 1000), (120, 1080), (420, 1040), (700, 980), (930, 860), (1050, 650),
    (1000, 420), (860, 220), (690, 40), (510, -110), (400, -235),
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Walked:
    """Where somebody truly was, second by second from the start of a walk."""

    walk: Walk
    x_m: Numbers
    y_m: Numbers

    @property
    def duration_s(self) -> int:
        """Length of the walk in time."""
        return len(self.x_m) - 1

    def at(self, since_start_s: Numbers) -> tuple[Numbers, Numbers]:
        """Return the true place at times since the start."""
        clock = np.arange(len(self.x_m))
        return (
            np.interp(since_start_s, clock, self.x_m),
            np.interp(since_start_s, clock, self.y_m),
        )


@lru_cache(maxsize=2)
def route_line(name: str) -> Numbers:
    """Return a route as a line of shape (n, 2); the quay route comes back along the mole."""
    if name == "hill":
        return smooth_line(np.array(_HILL, dtype=float), is_closed=False, pieces=12)
    out, back = (
        smooth_line(np.array(part, dtype=float), is_closed=False, pieces=12)
        for part in (_QUAY, _ROUND_THE_HEAD)
    )
    return np.vstack([out, back[1:]])


def _along(line: Numbers) -> Numbers:
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])


def place_on_route(name: str, along_m: Numbers) -> tuple[Numbers, Numbers]:
    """Return the place at distances along a route."""
    line = route_line(name)
    along = _along(line)
    return np.interp(along_m, along, line[:, 0]), np.interp(along_m, along, line[:, 1])


def walked(walk: Walk) -> Walked:
    """Return a walk at a strolling pace that drifts a little, with its halts."""
    chance = stream(f"pace {walk.key}")
    length_m = float(_along(route_line(walk.route))[-1])
    stands = {stand.along_m: stand.for_s for stand in walk.stands}
    pace, along, done = 0.0, [0.0], 0.0
    while done < length_m:
        pace += -pace / 40.0 + 0.02 * chance.standard_normal()
        done = min(done + PACE_MPS * (1.0 + float(np.clip(pace, -0.25, 0.25))), length_m)
        along.append(done)
        for place in [place for place in stands if place <= done]:
            along += [done] * int(stands.pop(place))
    x_m, y_m = place_on_route(walk.route, np.array(along))
    return Walked(walk=walk, x_m=x_m, y_m=y_m)


def arrival_s(path: Walked, stand: int) -> float:
    """Return when a halt begins, in seconds since the start."""
    still = (np.diff(path.x_m) == 0.0) & (np.diff(path.y_m) == 0.0)
    begins = np.flatnonzero(still & ~np.concatenate([[False], still[:-1]]))
    return float(begins[stand])


def position_error_m(name: str, seconds: int) -> Numbers:
    """Return the error of a receiver second by second, shape (seconds + 1, 2).

    A first-order process: errors of one minute resemble each other.
    """
    chance = stream(f"receiver {name}")
    keeps = np.exp(-1.0 / POSITION_ERROR_LASTS_S)
    error = POSITION_ERROR_M / np.sqrt(2.0) * chance.standard_normal((seconds + 1, 2))
    for second in range(1, seconds + 1):
        error[second] = keeps * error[second - 1] + np.sqrt(1.0 - keeps**2) * error[second]
    return np.asarray(error)


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackPoint:
    """A point as the track states it, rounded as written; `segment` counts from 0."""

    time_s: int
    latitude_deg: float
    longitude_deg: float
    height_m: float
    segment: int


def track_points(path: Walked) -> tuple[TrackPoint, ...]:
    """Return what a telephone in the pocket recorded of a walk."""
    since_s = np.arange(0, path.duration_s + 1, TRACK_STEP_S)
    gap = path.walk.track_gap_s or (np.inf, np.inf)
    since_s = since_s[(since_s <= gap[0]) | (since_s >= gap[1])]
    error = position_error_m(f"track {path.walk.key}", path.duration_s)
    x_m, y_m = path.x_m[since_s], path.y_m[since_s]
    latitude, longitude = to_degrees(x_m + error[since_s, 0], y_m + error[since_s, 1])
    height = surface_m(x_m, y_m) + 0.8 * error[since_s].sum(axis=1)
    return tuple(
        TrackPoint(
            time_s=int(path.walk.start_s) + int(second),
            latitude_deg=round(float(lat), 6),
            longitude_deg=round(float(lon), 6),
            height_m=round(float(high), 1),
            segment=int(second >= gap[1]),
        )
        for second, lat, lon, high in zip(since_s, latitude, longitude, height, strict=True)
    )
