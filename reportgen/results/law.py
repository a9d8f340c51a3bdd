"""Figures of the distance law: of each walk, and of all walks together."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.distance_law import DistanceLaw, distance_law, independent_frames_law
from reportgen.compute.heard_distance import Estimate, HeardDistance
from reportgen.match.join import Joined
from reportgen.model.station import Node
from reportgen.model.walk import Walk
from reportgen.results.chain import node_chain, node_on_walk
from reportgen.results.delivery import uncounted_reason
from reportgen.results.figure import Absent, Figure, Maker, slug
from reportgen.results.link import HIDDEN_POWER, path_m, power_known
from reportgen.results.memo import Memo, work_anew
from reportgen.results.sent_frames import HeardAtHome, SentFrames
from reportgen.results.walks import WalkResult

LIMIT_ERROR_DB = 3.0
"""By how much the receiver's limit may be off; its effect on the law is shown."""

FARTHEST_EXTRAPOLATION = 2.0
"""No distance is given beyond so many times the farthest frame (our choice)."""

FLOOR_DB = 3.0
FLOOR_SHARE = 0.25
"""More levels than this share within 3 dB of the noise, and RSSI tells of the receiver's floor
rather than of the path (our choice)."""

FLOOR_SHARE_WITHOUT_SNR = 0.1
"""The same where no SNR takes the noise off: then no law is made of the levels (our choice)."""

Floats = NDArray[np.float64]

_REASONS = {
    "too few heard": Absent.TOO_FEW_HEARD,
    "no spread of distance": Absent.NO_SPREAD,
    "not converged": Absent.NOT_CONVERGED,
    "no law": Absent.NOT_CONVERGED,
    "lost otherwise": Absent.NEVER_REACHED,
    "level does not fall": Absent.LEVEL_DOES_NOT_FALL,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LawInput:
    """Frames of one own station as the law takes them; levels as if all came from one output."""

    distance_m: Floats
    east_m: Floats
    north_m: Floats
    level_dbm: Floats
    limit_dbm: Floats
    rssi_dbm: Floats
    reach_limits: tuple[tuple[str, float], ...]
    """(data rate, limit) in order."""
    noise_dbm: float
    is_noise_seen: bool
    noise_rows: int
    has_snr: bool
    """Whether most levels are the signal's own rather than the RSSI as it was reported."""

    @property
    def floor_ratio(self) -> float:
        """Share of the levels heard that lie on the receiver's floor, NaN where none is known.

        The floor is the noise where it is known, else the lowest level that was reported.
        """
        rssi_dbm = self.rssi_dbm[np.isfinite(self.limit_dbm) & np.isfinite(self.rssi_dbm)]
        if not rssi_dbm.size:
            return math.nan
        lowest_dbm = float(np.min(rssi_dbm))
        floor_dbm = max(self.noise_dbm, lowest_dbm) if self.is_noise_seen else lowest_dbm
        return float(np.mean(rssi_dbm <= floor_dbm + FLOOR_DB))


def law_figures(
    joined: Joined,
    walks: Iterable[WalkResult],
    sent: SentFrames,
    memo: Memo = work_anew,
) -> Iterator[Figure]:
    """Yield the law of each walk, then that of all walks together."""
    bench, walks = _Bench(joined=joined, sent=sent, memo=memo), tuple(walks)
    for result in walks:
        yield from _law(Maker(path=f"walk.{result.walk.key}.law"), bench, (result,))
    yield from _law(Maker(path="campaign.law"), bench, walks)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bench:
    """What a law is fitted with, whichever walks it is of."""

    joined: Joined
    sent: SentFrames
    memo: Memo


def _law(make: Maker, bench: _Bench, walks: tuple[WalkResult, ...]) -> Iterator[Figure]:
    memo = bench.memo
    reason = _unusable(bench.joined, walks, bench.sent.heard)
    if reason is not None:
        yield from _absent(make, reason)
        return
    data = _law_input(bench, walks)
    if not np.isfinite(data.limit_dbm).any():
        yield from _absent(make, Absent.NO_NOISE)
        return
    if not np.isfinite(data.distance_m).any():
        yield from _absent(make, Absent.NO_PLACE)
        return
    if data.floor_ratio > FLOOR_SHARE_WITHOUT_SNR and not data.has_snr:
        yield from _absent(make, Absent.ON_FLOOR)
        yield _floor(make, data)
        return
    limits = tuple(limit for _, limit in data.reach_limits)
    law = _fitted(data, limits, memo)
    yield from _parameters(make, law, data)
    yield from _reaches(make, law, data)
    yield from _doubts(make, law, data, memo)


def _fitted(data: LawInput, limits_dbm: tuple[float, ...], memo: Memo) -> DistanceLaw:
    """Return the law of the frames, from the memo where these very frames were fitted before."""
    arguments = {
        "distance_m": data.distance_m, "east_m": data.east_m, "north_m": data.north_m,
        "level_dbm": data.level_dbm, "limit_dbm": data.limit_dbm, "reach_limits_dbm": limits_dbm,
    }  # fmt: skip
    return memo(
        DistanceLaw,
        arguments,
        lambda: distance_law(
            distance_m=data.distance_m, east_m=data.east_m, north_m=data.north_m,
            level_dbm=data.level_dbm, limit_dbm=data.limit_dbm, reach_limits_dbm=limits_dbm,
        ),
    )  # fmt: skip


def _unusable(joined: Joined, walks: tuple[WalkResult, ...], heard: HeardAtHome) -> Absent | None:
    """Return why no law can be fitted to what these walks recorded."""
    frames = pd.concat([result.frames for result in walks]) if walks else joined.frames
    uncounted = uncounted_reason(frames)
    if uncounted is not None:
        return uncounted
    if joined.home.position is None:
        return Absent.NO_STATION_POSITION
    if not heard.is_anything:
        return Absent.NOTHING_HEARD
    ends = _ends(joined, walks)
    reasons = [power_known(end.walk, node, joined).reason for end, node in ends]
    hidden = [reason for reason in reasons if reason in HIDDEN_POWER]
    recorded = all(_has_recorded_power(end, node) for end, node in ends)
    if hidden and not recorded:
        return hidden[0]
    outputs = {_output_dbm(joined, end.walk, node) for end, node in ends}
    # One end of unknown output is a law in its own units; several can't be laid together.
    return Absent.MIXED_SETTINGS if len(ends) > 1 and None in outputs else None


def _ends(joined: Joined, walks: tuple[WalkResult, ...]) -> list[tuple[WalkResult, Node]]:
    nodes = {node.key: node for node in joined.campaign.nodes}
    return [(result, nodes[node]) for result in walks for node in result.nodes]


def _has_recorded_power(result: WalkResult, node: Node) -> bool:
    mine = result.receptions[result.receptions["node"] == node.key]
    return bool(mine["transmit_power_dbm"].notna().all()) and len(mine) > 0


def _output_dbm(joined: Joined, walk: Walk, node: Node) -> float | None:
    """Return a node's output on a walk at its stated power."""
    return node_chain(node_on_walk(node, walk), joined.campaign.radio.frequency_hz).eirp_dbm


def _law_input(bench: _Bench, walks: tuple[WalkResult, ...]) -> LawInput:
    parts = [_shifted(bench, result, node) for result, node in _ends(bench.joined, walks)]
    table = pd.concat(parts)
    limit_dbm = table["limit_dbm"].to_numpy(dtype=np.float64)
    away_m = table["path_m"].to_numpy(dtype=np.float64)
    offset_db = table["offset_db"].to_numpy(dtype=np.float64)
    return LawInput(
        distance_m=np.where(away_m > 0.0, away_m, np.nan),
        east_m=table["east_m"].to_numpy(dtype=np.float64),
        north_m=table["north_m"].to_numpy(dtype=np.float64),
        level_dbm=table["signal_dbm"].to_numpy(dtype=np.float64) - offset_db,
        limit_dbm=limit_dbm - offset_db,
        rssi_dbm=table["rssi_dbm"].to_numpy(dtype=np.float64),
        reach_limits=_by_rate(table["data_rate"], limit_dbm),
        noise_dbm=bench.sent.heard.noise_dbm,
        is_noise_seen=bench.sent.heard.is_noise_seen,
        noise_rows=bench.sent.heard.rows_below_noise,
        has_snr=bool(table.loc[np.isfinite(limit_dbm), "has_snr"].mean() > 0.5),
    )


def _shifted(bench: _Bench, result: WalkResult, node: Node) -> pd.DataFrame:
    """Return a node's frames on a walk with path and offset from the reference output."""
    walk, rows = result.walk, bench.sent.of(result, node.key)
    return rows.assign(
        path_m=path_m(rows, node_on_walk(node, walk), bench.joined.home),
        offset_db=_offset_db(bench.joined, walk, node, rows["recorded_dbm"]),
    )


def _offset_db(joined: Joined, walk: Walk, node: Node, recorded_dbm: pd.Series) -> Floats:
    """Return by how much each frame's output exceeds that of the reference.

    The reference is the campaign's first node as described. A missed frame went out with the
    power of the frame before it, as far as anybody knows.
    """
    usual_dbm, here_dbm = _reference_dbm(joined), _output_dbm(joined, walk, node)
    offset_db = 0.0 if usual_dbm is None or here_dbm is None else here_dbm - usual_dbm
    stated_dbm = node_on_walk(node, walk).transmit_power_dbm
    changes_db = np.zeros(len(recorded_dbm))
    if recorded_dbm.notna().any():
        power_dbm = recorded_dbm.astype(float).ffill().bfill().to_numpy(dtype=np.float64)
        changes_db = power_dbm - (power_dbm[0] if stated_dbm is None else stated_dbm)
    return offset_db + changes_db


def _reference_dbm(joined: Joined) -> float | None:
    node = joined.campaign.nodes[0]
    return node_chain(node, joined.campaign.radio.frequency_hz).eirp_dbm


def _by_rate(data_rate: pd.Series, limit_dbm: Floats) -> tuple[tuple[str, float], ...]:
    """Return the limit of each data rate, for the reference output."""
    number, names = pd.factorize(data_rate.where(np.isfinite(limit_dbm) & data_rate.ne("")))
    last = np.full(len(names), -1)
    is_named = number >= 0
    last[number[is_named]] = np.flatnonzero(is_named)
    known = {str(name): float(limit_dbm[row]) for name, row in zip(names, last, strict=True)}
    return tuple(sorted(known.items())) or _unnamed(limit_dbm)


def _unnamed(limit_dbm: Floats) -> tuple[tuple[str, float], ...]:
    known = np.unique(limit_dbm[np.isfinite(limit_dbm)])
    return (("all", float(known[0])),) if known.size == 1 else ()


PARAMETERS = (
    ("exponent", "1", "law-exponent"),
    ("level_at_100m_dbm", "dBm", "law-level"),
    ("shadowing_db", "dB", "law-shadowing"),
    ("lost_otherwise_ratio", "1", "law-lost-otherwise"),
    ("naive_exponent", "1", "law-naive"),
)


def _absent(make: Maker, reason: Absent) -> Iterator[Figure]:
    for name, unit, method in PARAMETERS:
        yield make.figure(name, None, unit, method, absent=reason)
    yield make.figure("naive_error", None, "1", "law-naive-error", absent=reason)


def _parameters(make: Maker, law: DistanceLaw, data: LawInput) -> Iterator[Figure]:
    reason = _REASONS.get(law.reason, Absent.NOT_CONVERGED)
    count = law.heard_count + law.missed_count
    inputs = ("receptions", "frames", f"{make.path}.noise_dbm")
    values = (
        law.exponent, law.level_at_reference_dbm, law.shadowing_db, law.lost_otherwise_ratio,
        law.naive_exponent,
    )  # fmt: skip
    for (name, unit, method), value in zip(PARAMETERS, values, strict=True):
        yield _estimated(make, name, value, unit, method, reason, count, inputs)
    yield make.figure(
        "naive_error", law.naive_error, "1", "law-naive-error", absent=reason,
        inputs=(f"{make.path}.naive_exponent", f"{make.path}.exponent"),
    )  # fmt: skip
    yield make.figure("heard", law.heard_count, "frames", "law-frames", inputs=("receptions",))
    yield make.figure("missed", law.missed_count, "frames", "law-frames", inputs=("frames",))
    yield make.figure(
        "ground_cells", law.cell_count, "1", "law-cells",
        absent=Absent.TOO_FEW_CELLS if law.interval_reason == "too few cells" else reason,
    )  # fmt: skip
    yield make.figure(
        "noise_dbm", data.noise_dbm, "dBm", "noise-seen" if data.is_noise_seen else "noise-set",
        absent=Absent.NO_NOISE, inputs=("receptions",),
        count=data.noise_rows if data.is_noise_seen else None,
    )  # fmt: skip


def _estimated(
    make: Maker,
    name: str,
    value: Estimate,
    unit: str,
    method: str,
    reason: Absent,
    count: int,
    inputs: tuple[str, ...],
) -> Figure:
    # A share that no frame needs has no width by leaving ground out, and is not known so well.
    is_open = value.low == value.high
    return make.figure(
        name, value.value, unit, method, absent=reason, count=count, inputs=inputs,
        low=None if is_open else _end(value.low), high=None if is_open else _end(value.high),
    )  # fmt: skip


def _end(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _reaches(make: Maker, law: DistanceLaw, data: LawInput) -> Iterator[Figure]:
    """Yield how far half and nine tenths of the frames are heard, at each data rate."""
    for (rate, _), found in zip(data.reach_limits, law.reaches, strict=True):
        under = make.under(slug(rate))
        yield under.figure("limit_dbm", found.limit_dbm, "dBm", "law-limit",
                           inputs=(f"{make.path}.noise_dbm",))  # fmt: skip
        farthest_m = float(np.nanmax(data.distance_m))
        yield _distance(under, "half_heard_m", found.half_heard, make.path, farthest_m)
        yield _distance(
            under, "nine_tenths_heard_m", found.nine_tenths_heard, make.path, farthest_m
        )


def _distance(make: Maker, name: str, found: HeardDistance, law: str, farthest_m: float) -> Figure:
    parts = ("exponent", "level_at_100m_dbm", "shadowing_db", "lost_otherwise_ratio")
    is_far = found.distance_m.value > FARTHEST_EXTRAPOLATION * farthest_m
    reason = _REASONS.get(found.reason, Absent.NOT_CONVERGED)
    return make.figure(
        name, None if is_far else found.distance_m.value, "m", "law-distance",
        absent=Absent.FAR_BEYOND if is_far else reason,
        inputs=(*(f"{law}.{part}" for part in parts), f"{make.path}.limit_dbm"),
        low=_end(found.distance_m.low), high=_end(found.distance_m.high),
        prefix="extrapolated" if found.is_beyond_walked or found.is_before_walked else "",
    )  # fmt: skip


def _doubts(make: Maker, law: DistanceLaw, data: LawInput, memo: Memo) -> Iterator[Figure]:
    """Yield what another limit would change, and how many levels sit on the receiver's floor."""
    limits = tuple(limit + LIMIT_ERROR_DB for _, limit in data.reach_limits)
    limit_dbm = data.limit_dbm + LIMIT_ERROR_DB
    other = memo(
        DistanceLaw,
        {
            "intervals": "independent frames", "distance_m": data.distance_m,
            "level_dbm": data.level_dbm, "limit_dbm": limit_dbm, "reach_limits_dbm": limits,
        },
        lambda: independent_frames_law(
            distance_m=data.distance_m, level_dbm=data.level_dbm, limit_dbm=limit_dbm,
            reach_limits_dbm=limits,
        ),
    )  # fmt: skip
    reason = _REASONS.get(law.reason or other.reason, Absent.NOT_CONVERGED)
    yield make.figure(
        "limit_effect_exponent", other.exponent.value - law.exponent.value, "1",
        "law-limit-effect", absent=reason, inputs=(f"{make.path}.exponent",),
    )  # fmt: skip
    for (rate, _), mine, theirs in zip(data.reach_limits, law.reaches, other.reaches, strict=True):
        is_far = mine.half_heard.distance_m.value > FARTHEST_EXTRAPOLATION * np.nanmax(
            data.distance_m
        )
        change_m = theirs.half_heard.distance_m.value - mine.half_heard.distance_m.value
        yield make.under(slug(rate)).figure(
            "limit_effect_half_heard_m", None if is_far else change_m, "m",
            "law-limit-effect", absent=Absent.FAR_BEYOND if is_far else reason,
            inputs=(f"{make.path}.{slug(rate)}.half_heard_m",),
        )  # fmt: skip
    yield _floor(make, data)


def _floor(make: Maker, data: LawInput) -> Figure:
    return make.figure(
        "floor_ratio", data.floor_ratio, "1", "law-floor", absent=Absent.NO_LEVEL,
        inputs=("receptions",),
    )  # fmt: skip
