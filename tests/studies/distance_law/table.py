"""The study's outcome as Markdown."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

import numpy as np

from tests.studies.distance_law.trial import WRONG_BY_DB, Interval, Method, Trial

Choice = Callable[[Trial], bool]
Quantity = Callable[[Method], Interval]

QUANTITIES: tuple[tuple[str, Quantity], ...] = (
    ("exponent", lambda method: method.exponent),
    ("half heard", lambda method: method.half_m),
    ("nine tenths heard", lambda method: method.nine_tenths_m),
    ("level at 100 m", lambda method: method.level_dbm),
    ("shadowing", lambda method: method.shadowing_db),
    ("lost otherwise", lambda method: method.lost_ratio),
)

GROUPS: tuple[tuple[str, Choice], ...] = (
    ("all", lambda _: True),
    ("1 walk", lambda trial: trial.walks == 1),
    ("4 walks pooled", lambda trial: trial.walks == 4),
    ("adaptive rate", lambda trial: trial.is_adaptive),
    ("one rate", lambda trial: not trial.is_adaptive),
    ("under 20 % missed", lambda trial: trial.missed_ratio < 0.2),
    ("over 60 % missed", lambda trial: trial.missed_ratio > 0.6),
)


def coverage(intervals: Sequence[Interval]) -> tuple[float, float, int]:
    """Return the share that cover, its binomial standard error, and of how many.

    Where the truth is that a share is heard nowhere there is nothing to cover.
    """
    told = [each.covers for each in intervals if each.is_given and not np.isnan(each.truth)]
    share = float(np.mean(told)) if told else float("nan")
    return share, float(np.sqrt(share * (1.0 - share) / max(len(told), 1))), len(told)


def report(trials: Sequence[Trial], extras: Sequence[tuple[str, Sequence[Trial]]]) -> str:
    """Return the tables and the sentences below them."""
    return "\n\n".join(
        [
            _coverage_table(trials, extras),
            _width_table(trials),
            _naive_table(trials),
            _notes(trials),
        ]
    )


def _coverage_table(trials: Sequence[Trial], extras: Sequence[tuple[str, Sequence[Trial]]]) -> str:
    lines = _head("campaigns", "intervals", "number", *(name for name, _ in QUANTITIES))
    for name, is_chosen in GROUPS:
        lines += _coverage_rows(name, [trial for trial in trials if is_chosen(trial)])
    for name, others in extras:
        lines += _coverage_rows(f"*extra:* {name}", others)
    return "Truth covered by 95 % intervals, % ± binomial standard error:\n\n" + "\n".join(lines)


def _coverage_rows(group: str, trials: Sequence[Trial]) -> list[str]:
    return [
        _coverage_row(group, "ground cells", [each.cells for each in trials]),
        _coverage_row(group, "independent frames", [each.independent for each in trials]),
    ]


def _coverage_row(group: str, name: str, methods: Sequence[Method]) -> str:
    cells = []
    for _, quantity in QUANTITIES:
        share, error, _ = coverage([quantity(method) for method in methods])
        cells.append(f"{100 * share:.1f} ± {100 * error:.1f}")
    return _line(group, name, str(len(methods)), *cells)


def _width_table(trials: Sequence[Trial]) -> str:
    lines = _head(
        "campaigns", "quantity", "given, %", "± of value, %", "low end 0, %", "absent because"
    )
    for name, is_chosen in GROUPS[:5]:
        for label, quantity in QUANTITIES[:3]:
            intervals = [quantity(trial.cells) for trial in trials if is_chosen(trial)]
            given = [each for each in intervals if each.is_given]
            width = np.median([each.half_width_ratio for each in given])
            open_ratio = np.mean([each.low <= 0.0 for each in given])
            reasons = Counter(each.reason for each in intervals if not each.is_given)
            why = ", ".join(f"{reason} ({count})" for reason, count in sorted(reasons.items()))
            lines.append(
                _line(
                    name,
                    label,
                    f"{100 * len(given) / len(intervals):.1f}",
                    f"{100 * width:.0f}",
                    f"{100 * open_ratio:.1f}",
                    why or "-",
                )
            )
    return "Intervals from ground cells, median width:\n\n" + "\n".join(lines)


def _naive_table(trials: Sequence[Trial]) -> str:
    lines = _head("campaigns", "exponent, this law", "exponent, naive", "naive interval covers, %")
    for name, is_chosen in GROUPS:
        chosen = [trial for trial in trials if is_chosen(trial)]
        share, error, _ = coverage([each.naive_exponent for each in chosen])
        lines.append(
            _line(
                name,
                f"{_median_error([each.cells.exponent for each in chosen]):+.2f}",
                f"{_median_error([each.naive_exponent for each in chosen]):+.2f}",
                f"{100 * share:.1f} ± {100 * error:.1f}",
            )
        )
    return "Median error (estimate minus truth):\n\n" + "\n".join(lines)


def _notes(trials: Sequence[Trial]) -> str:
    nowhere = [
        each.cells.nine_tenths_m for each in trials if np.isnan(each.cells.nine_tenths_m.truth)
    ]
    absent = sum(not each.is_given for each in nowhere)
    open_ended = sum(each.is_given and each.low <= 0.0 for each in nowhere)
    shift = np.nanmedian([each.wrong_limit_exponent_shift for each in trials])
    ratio = np.nanmedian([each.wrong_limit_half_ratio for each in trials])
    frames = [each.frames for each in trials]
    unknown = sum(
        not (each.cells.nine_tenths_m.is_given or np.isnan(each.cells.nine_tenths_m.truth))
        for each in trials
    )
    missed = 100 * np.median([each.missed_ratio for each in trials])
    wrong = len(nowhere) - absent - open_ended
    return "\n".join(
        (
            f"- {len(trials)} campaigns of {min(frames)} to {max(frames)} frames.",
            f"- Missed in the median campaign: {missed:.0f} %.",
            f"- Campaigns in which nine tenths are heard nowhere: {len(nowhere)}.",
            f"  No distance was given in {absent}, one with low end 0 in {open_ended},",
            f"  one that is wrong in {wrong}. Elsewhere none was given in {unknown}.",
            f"- A limit {WRONG_BY_DB:g} dB too high moves (medians) the exponent by {shift:+.2f},",
            f"  the half distance by {100 * (ratio - 1):+.1f} %.",
        )
    )


def _median_error(intervals: Sequence[Interval]) -> float:
    return float(np.nanmedian([each.value - each.truth for each in intervals]))


def _head(*names: str) -> list[str]:
    return [_line(*names), _line(*("---" for _ in names))]


def _line(*cells: str) -> str:
    return f"| {' | '.join(cells)} |"
