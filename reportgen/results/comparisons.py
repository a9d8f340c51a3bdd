"""Fair comparisons: which walks can be laid side by side, and what a difference can stand for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import pandas as pd

from reportgen.compute.difference_interval import Difference
from reportgen.compute.frame_pairs import WalkedFrames, walked_frames
from reportgen.compute.geodesy import local_metres
from reportgen.compute.walk_comparison import (
    Standing,
    WalkComparison,
    compare_repeats,
    compare_single_walks,
    compare_together,
    standing,
)
from reportgen.match.join import Joined
from reportgen.match.positions import epoch_s
from reportgen.model.station import Node
from reportgen.model.walk import Walk
from reportgen.results.delivery import uncounted_reason
from reportgen.results.figure import Absent, Figure, Maker
from reportgen.results.sent_frames import frames_with_levels, limits_dbm, noise_at_home
from reportgen.results.walks import WalkResult

NODES = "nodes carried"
"""Name of the factor that differs where other nodes were carried."""

_REASONS = {
    "no common ground": Absent.NO_COMMON_GROUND,
    "too few heard": Absent.TOO_FEW_PAIRS,
    "too few stretches": Absent.TOO_FEW_STRETCHES,
    "too alike": Absent.TOO_ALIKE,
    "not repeated": Absent.NOT_REPEATED,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One side of a comparison: walks of one setting, or one node of a walk with two."""

    walks: tuple[Walk, ...]
    nodes: tuple[Node, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Two sides with what was declared to differ between them, and what that can stand for."""

    key: str
    route: str
    first: Side
    second: Side
    factors: tuple[str, ...]
    standing: Standing
    found: WalkComparison

    @property
    def is_evidence(self) -> bool:
        """Whether its design lets a difference speak for the one factor."""
        return self.standing in ("together", "repeated")


def differences(a: Walk, b: Walk) -> tuple[str, ...]:
    """Return the names of what the author declared to differ between two walks.

    A factor stated for one walk only differs; so do the nodes carried.
    """
    of_a = {factor.name: factor.value for factor in a.factors}
    of_b = {factor.name: factor.value for factor in b.factors}
    names = dict.fromkeys([*of_a, *of_b])
    found = [name for name in names if of_a.get(name) != of_b.get(name)]
    return (*found, *([NODES] if set(a.nodes) != set(b.nodes) else []))


def node_differences(a: Node, b: Node) -> tuple[str, ...]:
    """Return what was stated differently of two nodes that were carried together."""
    found = (
        ("antenna", a.antenna != b.antenna),
        # What is not stated may differ, and a factor that may differ is one.
        (
            "transmit power",
            a.transmit_power_dbm != b.transmit_power_dbm or a.transmit_power_dbm is None,
        ),
        ("line", a.feeder != b.feeder),
        ("carried height", a.carried_height_agl_m != b.carried_height_agl_m),
    )
    # Two radios differ by themselves where nothing is stated.
    return tuple(name for name, is_apart in found if is_apart) or ("node",)


def comparisons(joined: Joined, walks: Iterable[WalkResult]) -> tuple[Comparison, ...]:
    """Return every comparison the walks allow, those that can be evidence first."""
    usable = [result for result in walks if uncounted_reason(result.frames) is None]
    if joined.home.position is None:
        return ()
    frames = _Frames.of(joined, usable)
    found = [*_together(usable, frames), *_between(usable, frames)]
    order = ("together", "repeated", "as recorded", "same settings", "confounded")
    return tuple(sorted(found, key=lambda item: order.index(item.standing)))


@dataclass(frozen=True, slots=True)
class _Frames:
    """The frames of each walk and node, with place, level and limit."""

    tables: dict[tuple[str, str], pd.DataFrame]
    nodes: dict[str, Node]

    @classmethod
    def of(cls, joined: Joined, walks: Iterable[WalkResult]) -> _Frames:
        nodes = {node.key: node for node in joined.campaign.nodes}
        noise_dbm, _ = noise_at_home(joined)
        tables = {}
        for result in walks:
            for node in result.nodes:
                rows = frames_with_levels(joined, result.walk, nodes[node])
                tables[result.walk.key, node] = rows.assign(
                    limit_dbm=limits_dbm(joined, rows, noise_dbm), **_metres(joined, rows)
                )
        return cls(tables, nodes)

    def laid_out(self, first: Side, second: Side) -> WalkedFrames:
        """Return the frames of both sides as the comparison takes them."""
        parts = []
        for is_second, side in ((False, first), (True, second)):
            for walk in side.walks:
                for node in side.nodes:
                    if (walk.key, node.key) in self.tables:
                        rows = self.tables[walk.key, node.key]
                        parts.append(rows.assign(is_second=is_second))
        table = pd.concat(parts)
        labels = {walk: number for number, walk in enumerate(dict.fromkeys(table["walk"]))}
        return walked_frames(
            east_m=table["east_m"].to_numpy(dtype=np.float64),
            north_m=table["north_m"].to_numpy(dtype=np.float64),
            time_s=epoch_s(table["time_utc"]),
            level_dbm=table["signal_dbm"].to_numpy(dtype=np.float64),
            limit_dbm=table["limit_dbm"].to_numpy(dtype=np.float64),
            is_second=table["is_second"].to_numpy(dtype=np.bool_),
            walk=table["walk"].map(labels).to_numpy(dtype=np.int64),
        )


def _metres(joined: Joined, rows: pd.DataFrame) -> dict[str, object]:
    place = joined.home.position
    assert place is not None  # looked at first, for all walks
    east_m, north_m = local_metres(
        rows["latitude_deg"].to_numpy(dtype=np.float64),
        rows["longitude_deg"].to_numpy(dtype=np.float64),
        place.latitude_deg,
        place.longitude_deg,
    )
    return {"east_m": east_m, "north_m": north_m}


def _together(walks: Iterable[WalkResult], frames: _Frames) -> Iterator[Comparison]:
    """Yield each pair of nodes that were carried on one walk."""
    for result in walks:
        for a, b in combinations(result.nodes, 2):
            first = Side(walks=(result.walk,), nodes=(frames.nodes[a],))
            second = Side(walks=(result.walk,), nodes=(frames.nodes[b],))
            factors = node_differences(first.nodes[0], second.nodes[0])
            yield Comparison(
                key=f"{result.walk.key}-{a}-{b}",
                route=result.walk.route,
                first=first,
                second=second,
                factors=factors,
                standing=standing(factors_apart=len(factors), is_together=True, least_repeats=1),
                found=compare_together(frames.laid_out(first, second)),
            )


def _between(walks: list[WalkResult], frames: _Frames) -> Iterator[Comparison]:
    """Yield pairs of settings on each route, and the repeats of one setting."""
    for route in dict.fromkeys(result.walk.route for result in walks if result.walk.route):
        groups = _by_setting([r.walk for r in walks if r.walk.route == route])
        for group in groups:
            for a, b in combinations(group, 2):
                yield _pair((a,), (b,), frames)
        for one, other in combinations(groups, 2):
            yield _pair(one, other, frames)


def _by_setting(walks: list[Walk]) -> list[tuple[Walk, ...]]:
    groups: list[list[Walk]] = []
    for walk in walks:
        for group in groups:
            if not differences(group[0], walk):
                group.append(walk)
                break
        else:
            groups.append([walk])
    return [tuple(group) for group in groups]


def _pair(a: tuple[Walk, ...], b: tuple[Walk, ...], frames: _Frames) -> Comparison:
    factors = differences(a[0], b[0])
    first = Side(walks=a, nodes=tuple(frames.nodes[node] for node in a[0].nodes))
    second = Side(walks=b, nodes=tuple(frames.nodes[node] for node in b[0].nodes))
    repeats = min(len(a), len(b))
    stands = standing(factors_apart=len(factors), is_together=False, least_repeats=repeats)
    laid_out = frames.laid_out(first, second)
    compare = compare_repeats if stands == "repeated" else compare_single_walks
    return Comparison(
        key=f"{a[0].key}-{b[0].key}",
        route=a[0].route,
        first=first,
        second=second,
        factors=factors,
        standing=stands,
        found=compare(laid_out),
    )


def comparison_figures(found: Iterable[Comparison]) -> Iterator[Figure]:
    """Yield the differences of each comparison, with what they rest on."""
    for item in found:
        make = Maker(path=f"comparison.{item.key}")
        yield make.figure("standing", item.standing, "text", "comparison-standing")
        yield from _difference(make, "signal_difference_db", item.found.signal, "dB")
        yield from _difference(make, "delivery_difference", item.found.delivery, "points")
        for name, value, unit in (
            ("cells", item.found.cell_count, "cells"),
            ("stretches", item.found.stretch_count, "stretches"),
            ("pairs", item.found.pair_count, "pairs"),
            ("pairs_both_heard", item.found.pair_both_heard_count, "pairs"),
        ):
            yield make.figure(name, value, unit, "common-ground", inputs=("frames",))


def _difference(make: Maker, name: str, found: Difference, unit: str) -> Iterator[Figure]:
    method = "signal-difference" if unit == "dB" else "delivery-difference"
    reason = _REASONS.get(found.reason, Absent.NO_COMMON_GROUND)
    has_interval = found.reason == ""
    yield make.figure(
        name, float(found.value), unit, method, absent=reason, count=found.count,
        inputs=("receptions", "frames", f"{make.path}.cells"),
        low=float(found.low) if has_interval else None,
        high=float(found.high) if has_interval else None,
    )  # fmt: skip
    yield make.figure(
        f"{name}_smallest", float(found.smallest_detectable), unit, "smallest-difference",
        absent=reason, inputs=(f"{make.path}.stretches",),
    )  # fmt: skip
