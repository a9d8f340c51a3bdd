"""Delivery of the ground that was walked: its interval, by distance ring, by direction."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.delivery_interval import delivery_interval, design_effect
from reportgen.compute.reach_sectors import NEAR_M, SectorReach, reach_sectors, sector_of
from reportgen.match.join import Joined
from reportgen.results.delivery import WalkedGround, heard_flags, uncounted_reason
from reportgen.results.figure import Absent, Figure, Maker, slug
from reportgen.results.walks import WalkResult, campaign_ground

RING_STEPS_M = (50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0)
MOST_RINGS = 12


def ring_step_m(farthest_m: float) -> float:
    """Return the finest step that needs no more than `MOST_RINGS`."""
    return next(
        (step for step in RING_STEPS_M if farthest_m / step <= MOST_RINGS), RING_STEPS_M[-1]
    )


def ground_figures(result: WalkResult, joined: Joined) -> Iterator[Figure]:
    """Yield delivery by ring, of all frames and of each data rate, and reach by direction."""
    home = joined.home
    make = Maker(path=f"walk.{result.walk.key}.station.{home.key}")
    yield from _rings(make, result.frames, result.receptions, joined)
    for rate in result.data_rates if len(result.data_rates) > 1 else ():
        mine = result.frames[result.frames["data_rate"].map(slug) == slug(rate)]
        under = make.under("data_rate", slug(rate))
        yield from _rings(under, mine, result.receptions, joined)
    yield from _sectors(make, result.frames, result.receptions, result.ground[home.key], joined)


def campaign_ground_figures(joined: Joined, walks: tuple[WalkResult, ...]) -> Iterator[Figure]:
    """Yield reach by direction over all walks."""
    ground = campaign_ground(walks, joined.home)
    yield from _sectors(Maker(path="campaign"), joined.frames, joined.receptions, ground, joined)


def _counted(
    frames: pd.DataFrame, receptions: pd.DataFrame, joined: Joined
) -> tuple[pd.DataFrame, NDArray[np.bool_]]:
    """Return frames that can be told heard or missed, with a place, and which were heard."""
    own = receptions[receptions["station"] == joined.home.key]
    usable = frames[frames["is_counted"] & frames["distance_m"].notna() & ~frames["is_doubtful"]]
    return usable, heard_flags(usable, own).to_numpy(dtype=np.bool_)


def _rings(
    make: Maker, frames: pd.DataFrame, receptions: pd.DataFrame, joined: Joined
) -> Iterator[Figure]:
    if uncounted_reason(frames) is not None:
        return
    usable, heard = _counted(frames, receptions, joined)
    if usable.empty:
        return
    away_m = usable["distance_m"].to_numpy(dtype=np.float64)
    step_m = ring_step_m(float(away_m.max()))
    ring = (away_m // step_m).astype(np.int64)
    effect = design_effect(heard, usable["along_m"], ring)
    for number in np.unique(ring):
        inside = ring == number
        found = delivery_interval(int(heard[inside].sum()), int(inside.sum()), effect)
        under = make.under("ring", f"{number * step_m:.0f}-{(number + 1) * step_m:.0f}")
        yield under.figure("frames_sent", found.sent, "frames", "frames-sent", inputs=("frames",))
        yield under.figure(
            "frames_heard", int(heard[inside].sum()), "frames", "frames-heard",
            inputs=("receptions",),
        )  # fmt: skip
        yield under.figure(
            "delivery_ratio", found.ratio, "1", "delivery-ratio", count=found.sent,
            inputs=(f"{under.path}.frames_heard", f"{under.path}.frames_sent"),
            low=found.low, high=found.high,
        )  # fmt: skip


def sectors_of(
    frames: pd.DataFrame, receptions: pd.DataFrame, ground: WalkedGround, joined: Joined
) -> tuple[SectorReach, ...]:
    """Return the reach in each of twelve directions; () where frames can't be counted."""
    if uncounted_reason(frames) is not None or joined.home.position is None:
        return ()
    usable, heard = _counted(frames, receptions, joined)
    away_m = usable["distance_m"].to_numpy(dtype=np.float64)
    return reach_sectors(
        frame_bearing_deg=usable["bearing_deg"].to_numpy(dtype=np.float64),
        frame_distance_m=away_m,
        is_heard=heard,
        walked_bearing_deg=ground.bearing_deg,
        walked_distance_m=ground.distance_m,
    )


def _sectors(
    make: Maker,
    frames: pd.DataFrame,
    receptions: pd.DataFrame,
    ground: WalkedGround,
    joined: Joined,
) -> Iterator[Figure]:
    sectors = sectors_of(frames, receptions, ground, joined)
    effect = _sector_effect(frames, receptions, joined) if sectors else 1.0
    for found in sectors:
        under = make.under("sector", f"{found.middle_deg:03.0f}")
        yield under.figure("verdict", found.verdict, "text", "sector-verdict", inputs=("frames",))
        for name, value in (
            ("verdict_m", found.verdict_m),
            ("farthest_heard_m", found.farthest_heard_m),
            ("farthest_walked_m", found.farthest_walked_m),
        ):
            yield under.figure(
                name, value, "m", "sector-verdict",
                absent=Absent.NOT_WALKED if found.verdict == "not walked" else Absent.NONE_THERE,
                inputs=("frames", "track_points"),
            )  # fmt: skip
        for name, count in (
            ("frames_sent", found.sent),
            ("frames_heard", found.heard),
            ("frames_sent_there", found.there_sent),
            ("frames_heard_there", found.there_heard),
        ):
            yield under.figure(name, count, "frames", "sector-verdict", inputs=("frames",))
        yield _sector_ratio(under, found, effect)


def _sector_effect(frames: pd.DataFrame, receptions: pd.DataFrame, joined: Joined) -> float:
    """Return what uneven sampling of the paths costs, by direction as by ring."""
    usable, heard = _counted(frames, receptions, joined)
    number = sector_of(usable["bearing_deg"].to_numpy(dtype=np.float64))
    is_out = (number >= 0) & (usable["distance_m"].to_numpy(dtype=np.float64) > NEAR_M)
    if not is_out.any():
        return 1.0
    return design_effect(heard[is_out], usable["along_m"][is_out], number[is_out])


def _sector_ratio(make: Maker, found: SectorReach, effect: float) -> Figure:
    known = delivery_interval(found.heard, found.sent, effect) if found.sent else None
    return make.figure(
        "delivery_ratio", known.ratio if known else None, "1", "delivery-ratio",
        absent=Absent.NOTHING_SENT, count=found.sent,
        inputs=(f"{make.path}.frames_heard", f"{make.path}.frames_sent"),
        low=known.low if known else None, high=known.high if known else None,
    )  # fmt: skip
