"""One campaign judged: intervals against the path's own delivery, verdicts against its truth."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from reportgen.compute.delivery_interval import delivery_interval, design_effect
from reportgen.compute.reach_sectors import SectorReach, reach_sectors
from tests.studies.delivery.campaigns import Campaign

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
RING_M = 500.0
LEAST_FRAMES = 5
HALF_WIDTH_DEG = 15.0


@dataclass(slots=True, kw_only=True)
class Tally:
    """Counts of what held, by kind; the effects met on the way."""

    held: dict[str, int] = field(default_factory=dict)
    of: dict[str, int] = field(default_factory=dict)
    effects: list[float] = field(default_factory=list)

    def add(self, kind: str, held: int, of: int = 1) -> None:
        """Count cases."""
        self.held[kind] = self.held.get(kind, 0) + held
        self.of[kind] = self.of.get(kind, 0) + of

    def join(self, other: Tally) -> None:
        """Count another tally's cases too."""
        for kind, cases in other.of.items():
            self.add(kind, other.held[kind], cases)
        self.effects += other.effects

    def share(self, kind: str) -> float:
        """Return the share that held, in percent; NaN where there was no case."""
        return 100.0 * self.held[kind] / self.of[kind] if self.of.get(kind) else float("nan")


def judge(case: Campaign) -> Tally:
    """Return what holds in one campaign."""
    tally = Tally()
    away_m = np.hypot(case.x_m, case.y_m)
    ring = (away_m // RING_M).astype(np.int64)
    overall = design_effect(case.is_heard, case.path_m)
    within = design_effect(case.is_heard, case.path_m, ring)
    tally.effects += [overall, within]
    for name, effect, ring_effect in (("", overall, within), (", raw count", 1.0, 1.0)):
        is_held = _holds(case.is_heard, effect, case.true_p)
        for kind in _kinds(case):
            tally.add(f"overall{kind}{name}", is_held)
        for number, mine, truth in _rings(case, ring):
            is_held = _holds(case.is_heard[mine], ring_effect, truth)
            for kind in (*_kinds(case), f" {number}", *_size(mine)):
                tally.add(f"ring{kind}{name}", is_held)
    _sectors(case, away_m, tally)
    return tally


def _kinds(case: Campaign) -> Iterator[str]:
    yield ""
    pauses, bursts = (
        "pauses" if case.has_pauses else "no pause",
        "bursts" if case.has_bursts else "no bursts",
    )
    yield f", {pauses}, {bursts}"


def _size(mine: Flags) -> Iterator[str]:
    if mine.sum() < 20:
        yield ", under 20 frames"


def _rings(case: Campaign, ring: NDArray[np.int64]) -> Iterator[tuple[int, Flags, Floats]]:
    true_ring = (np.hypot(case.true_x_m, case.true_y_m) // RING_M).astype(np.int64)
    for number in np.unique(ring):
        mine, truth = ring == number, case.true_p[true_ring == number]
        if truth.size and mine.sum() >= LEAST_FRAMES:
            yield int(number), mine, truth


def _holds(heard: Flags, effect: float, truth: Floats) -> bool:
    found = delivery_interval(int(heard.sum()), heard.size, effect)
    return bool(found.low <= truth.mean() <= found.high)


def _sectors(case: Campaign, away_m: Floats, tally: Tally) -> None:
    bearing = np.rad2deg(np.arctan2(case.x_m, case.y_m)) % 360
    true_bearing = np.rad2deg(np.arctan2(case.true_x_m, case.true_y_m)) % 360
    true_m = np.hypot(case.true_x_m, case.true_y_m)
    for found in reach_sectors(
        frame_bearing_deg=bearing, frame_distance_m=away_m, is_heard=case.is_heard,
        walked_bearing_deg=true_bearing, walked_distance_m=true_m,
    ):  # fmt: skip
        mine = _is_within(found, true_bearing) & (true_m > 50.0)
        heard_m = away_m[case.is_heard & _is_within(found, bearing)]
        beyond = case.true_p[mine & (true_m > found.verdict_m)]
        tally.add(found.verdict, _is_right(found, mine, heard_m, beyond))


def _is_within(found: SectorReach, bearing_deg: Floats) -> Flags:
    off_deg = (bearing_deg - found.middle_deg + 180.0) % 360.0 - 180.0
    return np.asarray(np.abs(off_deg) <= HALF_WIDTH_DEG)


def _is_right(found: SectorReach, walked: Flags, heard_m: Floats, beyond: Floats) -> bool:
    if found.verdict == "not walked":
        return not walked.any()
    if found.verdict in {"at least", "walked on", "missed there"}:
        return bool(np.isclose(heard_m.max(), found.verdict_m))
    if found.verdict in {"lost beyond", "blind from"} and beyond.size:
        return bool(beyond.mean() <= (0.5 if found.verdict == "lost beyond" else 0.1))
    return True
