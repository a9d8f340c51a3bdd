"""One campaign judged: intervals against the path's own delivery, verdicts against its truth."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from reportgen.compute.delivery_interval import delivery_interval, design_effect
from reportgen.compute.reach_sectors import SAME_GROUND_M, reach_sectors
from tests.studies.delivery.campaigns import Campaign

RING_M = 500.0


@dataclass(slots=True)
class Tally:
    """Counts of what held, by kind."""

    held: dict[str, int] = field(default_factory=dict)
    of: dict[str, int] = field(default_factory=dict)

    def add(self, kind: str, is_held: bool) -> None:
        """Count one case."""
        self.held[kind] = self.held.get(kind, 0) + int(is_held)
        self.of[kind] = self.of.get(kind, 0) + 1

    def share(self, kind: str) -> float:
        """Return the share that held, in percent."""
        return 100.0 * self.held.get(kind, 0) / self.of[kind] if self.of.get(kind) else np.nan


def judge(case: Campaign, tally: Tally) -> None:
    """Count what holds in one campaign."""
    away_m = np.hypot(case.x_m, case.y_m)
    ring, true_ring = (away_m // RING_M).astype(int), _rings(case)
    everywhere = np.zeros(away_m.size, dtype=int)
    effect = design_effect(case.is_heard, case.path_m, everywhere)
    _interval(case.is_heard, effect, case.true_p, tally, "overall")
    _interval(case.is_heard, 1.0, case.true_p, tally, "overall, raw count")
    within = design_effect(case.is_heard, case.path_m, ring)
    for number in np.unique(ring):
        mine = case.true_p[true_ring == number]
        if mine.size and (ring == number).sum() >= 5:
            _interval(case.is_heard[ring == number], within, mine, tally, f"ring {number}")
            _interval(case.is_heard[ring == number], within, mine, tally, "rings")
    _sectors(case, away_m, tally)


def _rings(case: Campaign) -> NDArray[np.int64]:
    return (np.hypot(case.true_x_m, case.true_y_m) // RING_M).astype(np.int64)


def _interval(
    heard: NDArray[np.bool_], effect: float, truth: NDArray[np.float64], tally: Tally, kind: str
) -> None:
    found = delivery_interval(int(heard.sum()), heard.size, effect)
    tally.add(kind, bool(found.low <= truth.mean() <= found.high))


def _sectors(case: Campaign, away_m: NDArray[np.float64], tally: Tally) -> None:
    bearing = np.rad2deg(np.arctan2(case.x_m, case.y_m)) % 360
    true_bearing = np.rad2deg(np.arctan2(case.true_x_m, case.true_y_m)) % 360
    true_m = np.hypot(case.true_x_m, case.true_y_m)
    for found in reach_sectors(
        frame_bearing_deg=bearing, frame_distance_m=away_m, is_heard=case.is_heard,
        walked_bearing_deg=true_bearing, walked_distance_m=true_m,
    ):  # fmt: skip
        off = np.abs((true_bearing - found.middle_deg + 180) % 360 - 180)
        mine = (off <= 15.0) & (true_m > 50.0)
        if found.verdict == "not walked":
            tally.add("not walked", not mine.any())
        elif found.verdict == "at least":
            is_end = not (mine & (true_m > found.verdict_m + 2 * SAME_GROUND_M)).any()
            off_frame = np.abs((bearing - found.middle_deg + 180) % 360 - 180)
            is_heard = case.is_heard & (off_frame <= 15.0)
            tally.add("at least", is_end and bool(is_heard.any()))
        elif found.verdict == "lost beyond":
            beyond = case.true_p[mine & (true_m > found.verdict_m + SAME_GROUND_M)]
            tally.add("lost beyond", not beyond.size or bool(beyond.mean() <= 0.5))
        elif found.verdict == "blind from":
            beyond = case.true_p[mine & (true_m >= found.verdict_m)]
            tally.add("blind from", not beyond.size or bool(beyond.mean() <= 0.1))
        else:
            tally.add(found.verdict, True)
