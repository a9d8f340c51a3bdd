"""What is said of a made campaign's clock, and whether it holds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from reportgen.compute.camera_clock import NoClock, TimedPath, clock_ahead
from tests.studies.camera_clock.campaigns import MadeCampaign, campaign

POSITION_ERROR_M, LONGEST_GAP_S = 10.0, 120.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """One campaign: what was true and what was said. `half_width_s` is NaN where nothing was."""

    kind: str
    noise_m: float
    photos: int
    true_s: float
    said: str
    holds: bool
    is_used: bool
    is_zone: bool
    half_width_s: float


def verdict(seed: int, number: int) -> Verdict:
    """Return what is said of one numbered campaign."""
    made = campaign(np.random.default_rng([seed, number]))
    found = clock_ahead(
        made.shown_s, made.east_m, made.north_m,
        [TimedPath(time_s=t.time_s, east_m=t.east_m, north_m=t.north_m) for t in made.tracks],
        position_error_m=POSITION_ERROR_M, longest_gap_s=LONGEST_GAP_S,
    )  # fmt: skip
    kind = "untracked" if made.is_untracked else made.kind
    if isinstance(found, NoClock):
        return _silent(made, kind, str(found))
    return Verdict(
        kind=kind,
        noise_m=made.noise_m,
        photos=made.shown_s.size,
        true_s=made.ahead_s,
        said="interval",
        holds=found.low_s <= made.ahead_s <= found.high_s,
        is_used=found.is_clear,
        is_zone=found.zone_error_s != 0.0,
        half_width_s=(found.high_s - found.low_s) / 2.0,
    )


def _silent(made: MadeCampaign, kind: str, reason: str) -> Verdict:
    return Verdict(
        kind=kind, noise_m=made.noise_m, photos=made.shown_s.size, true_s=made.ahead_s,
        said=reason, holds=False, is_used=False, is_zone=False, half_width_s=float("nan"),
    )  # fmt: skip


def table(verdicts: Iterable[Verdict]) -> str:
    """Return what holds, kind by kind, in percent."""
    all_of = list(verdicts)
    lines = [
        "| clock | fixes | campaigns | interval given | holds ± | half width, s | used | zone |",
        "|---|--:|--:|--:|--:|--:|--:|--:|",
    ]
    for kind in ("right", "off", "zone", "untracked", "all tracked"):
        for noise_m in (4.0, 10.0):
            rows = [
                v
                for v in all_of
                if v.noise_m == noise_m
                and (v.kind == kind or (kind == "all tracked" and v.kind != "untracked"))
            ]
            lines.append(_line(kind, noise_m, rows))
    return "\n".join(lines)


def _line(kind: str, noise_m: float, rows: list[Verdict]) -> str:
    given = [v for v in rows if v.said == "interval"]
    held = 100.0 * float(np.mean([v.holds for v in given])) if given else float("nan")
    error = float(np.sqrt(held * (100.0 - held) / len(given))) if given else float("nan")
    half = float(np.median([v.half_width_s for v in given])) if given else float("nan")
    shares = [100.0 * float(np.mean([getattr(v, name) for v in rows])) for name in _SHARES]
    return (
        f"| {kind} | {noise_m:.0f} m | {len(rows)} | {100 * len(given) / len(rows):.0f} | "
        f"{held:.1f} ± {error:.1f} | {half:.0f} | {shares[0]:.1f} | {shares[1]:.1f} |"
    )


_SHARES = ("is_used", "is_zone")
