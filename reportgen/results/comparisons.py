"""Fair comparisons: which walks can be laid side by side, and what a difference can stand for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from reportgen.compute.difference_interval import Difference
from reportgen.compute.frame_pairs import WalkedFrames, walked_frames
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
from reportgen.model.columns import FRAMES
from reportgen.model.station import Node
from reportgen.model.walk import ChosenComparison
from reportgen.results.comparison_sides import Pair, Side, asked_pair, proposed_pairs
from reportgen.results.delivery import uncounted_reason
from reportgen.results.figure import Absent, Figure, Maker
from reportgen.results.link import power_known
from reportgen.results.measured_apart import (
    MOST_RATE_SHARE,
    Measured,
    measured_apart,
    rates_apart,
)
from reportgen.results.occasions import is_one_day, occasions
from reportgen.results.sent_frames import SentFrames
from reportgen.results.settings import POWER, RATE, Apart, is_told
from reportgen.results.walks import WalkResult

MOST_PROPOSED = 12
"""Comparisons shown beside those that were asked for: more are not read (our choice)."""

RATE_FACTOR_SHARE = 0.5
"""Where more of the frames came at other data rates, the rate is a factor whoever set it."""

ORDER: tuple[Standing, ...] = (
    "together", "repeated", "as recorded", "same settings", "confounded",
)  # fmt: skip

_REASONS = {
    "no common ground": Absent.NO_COMMON_GROUND,
    "too few heard": Absent.TOO_FEW_PAIRS,
    "too few stretches": Absent.TOO_FEW_STRETCHES,
    "too alike": Absent.TOO_ALIKE,
    "not repeated": Absent.NOT_REPEATED,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Two sides with what differs between them, and what that can stand for.

    `measured` holds what differed besides; `occasions` counts those of either side, `walks` its
    walks.
    """

    key: str
    pair: Pair
    is_chosen: bool
    is_one_day: bool
    occasions: tuple[int, int]
    measured: Measured
    standing: Standing
    found: WalkComparison

    @property
    def is_evidence(self) -> bool:
        """Whether design and data let a difference speak for the one factor."""
        return self.standing in ("together", "repeated") and self.found.signal.reason == ""

    @property
    def is_one_go(self) -> bool:
        """Whether settings were walked more than once, but one after the other in one go."""
        walks = min(len(self.first.walks), len(self.second.walks))
        return self.standing == "as recorded" and walks > 1 and max(self.occasions) == 1

    @property
    def first(self) -> Side:
        """The side that the other is held against."""
        return self.pair.first

    @property
    def second(self) -> Side:
        """The side held against the first."""
        return self.pair.second

    @property
    def factors(self) -> tuple[str, ...]:
        """What differs, or may."""
        return self.pair.apart.names

    @property
    def routes(self) -> tuple[str, ...]:
        """The routes of its walks, each once; "" where a walk has none."""
        walks = (*self.first.walks, *self.second.walks)
        return tuple(dict.fromkeys(walk.route for walk in walks))


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """A comparison that the author asked for and that can't be made: a walk's frames say why."""

    chosen: ChosenComparison
    walk: str
    reason: Absent


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """All comparisons, those asked for first; `left_out` of the others were too many to show."""

    items: tuple[Comparison, ...] = ()
    refused: tuple[Refused, ...] = ()
    left_out: int = 0


def comparisons(joined: Joined, walks: Iterable[WalkResult], sent: SentFrames) -> Compared:
    """Return the comparisons asked for, and others that the walks allow.

    Of the others those that can be evidence come first, then those fewest factors apart.
    """
    by_key = {result.walk.key: result for result in walks}
    refused = tuple(_refused(joined, by_key))
    if joined.home.position is None:
        return Compared(refused=refused)
    usable = {key: r for key, r in by_key.items() if uncounted_reason(r.frames) is None}
    bench = _Bench.of(joined, usable, sent)
    asked = _asked(joined, refused, bench)
    known = {pair.sides for pair in asked}
    proposed = map(bench.with_measured, proposed_pairs(usable.values(), bench.nodes))
    others = [pair for pair in proposed if pair.sides not in known]
    others.sort(key=lambda pair: (ORDER.index(bench.standing(pair)), len(pair.apart.names)))
    shown = [*asked, *others[:MOST_PROPOSED]]
    keys = _keys_apart([pair.key for pair in shown])
    return Compared(
        items=tuple(
            bench.compared(pair, key, is_chosen=pair in asked)
            for key, pair in zip(keys, shown, strict=True)
        ),
        refused=refused,
        left_out=max(0, len(others) - MOST_PROPOSED),
    )


def _asked(joined: Joined, refused: tuple[Refused, ...], bench: _Bench) -> list[Pair]:
    left_out = [item.chosen for item in refused]
    walks = {walk.key: walk for walk in joined.campaign.walks}
    return [
        bench.with_measured(asked_pair(chosen, walks, bench.nodes))
        for chosen in joined.campaign.chosen_comparisons
        if chosen not in left_out
    ]


def _refused(joined: Joined, walks: Mapping[str, WalkResult]) -> Iterator[Refused]:
    for chosen in joined.campaign.chosen_comparisons:
        for key in (*chosen.first, *chosen.second):
            reason = uncounted_reason(walks[key].frames)
            if joined.home.position is None:
                reason = Absent.NO_STATION_POSITION
            if reason is not None:
                yield Refused(chosen=chosen, walk=key, reason=reason)
                break


def _keys_apart(keys: list[str]) -> list[str]:
    """Return the keys, a number added to those that came before."""
    seen: dict[str, int] = {}
    apart = []
    for key in keys:
        seen[key] = seen.get(key, 0) + 1
        apart.append(key if seen[key] == 1 else f"{key}-{seen[key]}")
    return apart


@dataclass(frozen=True, slots=True)
class _Bench:
    """The frames of each walk and node, with place, level and limit; and what compares them."""

    joined: Joined
    results: Mapping[str, WalkResult]
    nodes: Mapping[str, Node]
    tables: Mapping[tuple[str, str], pd.DataFrame]

    @classmethod
    def of(cls, joined: Joined, results: Mapping[str, WalkResult], sent: SentFrames) -> _Bench:
        nodes = {node.key: node for node in joined.campaign.nodes}
        tables = {
            (result.walk.key, node): sent.of(result, node)
            for result in results.values()
            for node in result.nodes
        }
        return cls(joined, results, nodes, tables)

    def with_measured(self, pair: Pair) -> Pair:
        """Return a pair with what only the log tells of its settings: data rates and power."""
        frames = tuple(self._frames(side) for side in (pair.first, pair.second))
        rates = rates_apart(*frames)
        apart, is_hidden = pair.apart, self._is_power_hidden(pair)
        if rates is not None and rates <= MOST_RATE_SHARE:
            unstated = tuple(name for name in apart.unstated if not is_told(RATE, [name]))
            apart = replace(apart, unstated=unstated)
        if rates is not None and rates > RATE_FACTOR_SHARE and not is_hidden:
            is_new = not is_told(RATE, apart.names)
            apart = apart.joined(Apart(stated=(RATE,) if is_new else ()))
        if is_hidden and not is_told(POWER, apart.names):
            apart = apart.joined(Apart(unstated=(POWER,)))
        return replace(pair, apart=apart)

    def standing(self, pair: Pair) -> Standing:
        """Return what a pair can stand for, by its design alone."""
        if pair.mixed or (pair.apart.unstated and not pair.apart.stated):
            return "confounded"
        return standing(
            factors_apart=len(pair.apart.names),
            is_together=pair.is_together,
            least_repeats=min(self._occasion_counts(pair)),
        )

    def compared(self, pair: Pair, key: str, *, is_chosen: bool) -> Comparison:
        """Compare a pair in the way that its design allows."""
        stands, (first, second) = self.standing(pair), self._walks(pair)
        compare = compare_repeats if stands == "repeated" else compare_single_walks
        place = self.joined.home.position
        assert place is not None  # looked at first, for all walks
        zone = self.joined.campaign.time_zone
        return Comparison(
            key=key,
            pair=pair,
            is_chosen=is_chosen,
            is_one_day=is_one_day((*first, *second), zone),
            occasions=self._occasion_counts(pair),
            measured=Measured() if pair.is_together else measured_apart(first, second, zone, place),
            standing=stands,
            found=(compare_together if pair.is_together else compare)(
                self._laid_out(pair, self._occasions(pair) if stands == "repeated" else None)
            ),
        )

    def _frames(self, side: Side) -> pd.DataFrame:
        tables = [self.tables.get((walk.key, node.key)) for walk, node in side.members]
        known = [table for table in tables if table is not None]
        return pd.concat(known) if known else FRAMES.empty()

    def _is_power_hidden(self, pair: Pair) -> bool:
        """Whether the network set a node's power, and no log says to what."""
        for walk, node in (*pair.first.members, *pair.second.members):
            table = self.tables.get((walk.key, node.key))
            reason = power_known(walk, node, self.joined).reason
            is_logged = table is not None and bool(table["recorded_dbm"].notna().any())
            if reason in (Absent.ADAPTIVE_POWER, Absent.ADAPTIVE_UNKNOWN) and not is_logged:
                return True
        return False

    def _occasion_counts(self, pair: Pair) -> tuple[int, int]:
        found = self._occasions(pair)
        one, other = (
            len({found[walk.key] for walk in side.walks}) for side in (pair.first, pair.second)
        )
        return one, other

    def _walks(self, pair: Pair) -> tuple[list[WalkResult], list[WalkResult]]:
        first, second = (
            [self.results[walk.key] for walk in side.walks] for side in (pair.first, pair.second)
        )
        return first, second

    def _occasions(self, pair: Pair) -> dict[str, int]:
        return occasions(*self._walks(pair), self.joined.campaign.time_zone)

    def _laid_out(self, pair: Pair, labels: Mapping[str, int] | None) -> WalkedFrames:
        """Return the frames of both sides; a label each for walks, or for their occasions."""
        parts = [
            self._frames(side).assign(is_second=is_second)
            for is_second, side in ((False, pair.first), (True, pair.second))
        ]
        table = pd.concat(parts)
        labels = labels or {walk: n for n, walk in enumerate(dict.fromkeys(table["walk"]))}
        return walked_frames(
            east_m=table["east_m"].to_numpy(dtype=np.float64),
            north_m=table["north_m"].to_numpy(dtype=np.float64),
            time_s=epoch_s(table["time_utc"]),
            level_dbm=table["signal_dbm"].to_numpy(dtype=np.float64),
            limit_dbm=table["limit_dbm"].to_numpy(dtype=np.float64),
            is_second=table["is_second"].to_numpy(dtype=np.bool_),
            walk=table["walk"].map(labels).to_numpy(dtype=np.int64),
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
    if unit == "dB":
        yield from _ends(make, found, reason)
    yield make.figure(
        f"{name}_smallest", float(found.smallest_detectable), unit, "smallest-difference",
        absent=reason, inputs=(f"{make.path}.stretches",),
    )  # fmt: skip


def _ends(make: Maker, found: Difference, reason: Absent) -> Iterator[Figure]:
    """Yield the size of a signal difference and the ends of its interval, for sentences."""
    has_interval = found.reason == ""
    whole = (f"{make.path}.signal_difference_db",)
    for name, value, method in (
        ("size", abs(float(found.value)), "signal-difference-size"),
        ("low", float(found.low) if has_interval else None, "signal-difference"),
        ("high", float(found.high) if has_interval else None, "signal-difference"),
    ):
        yield make.figure(
            f"signal_difference_{name}_db", value, "dB", method, absent=reason, inputs=whole
        )
