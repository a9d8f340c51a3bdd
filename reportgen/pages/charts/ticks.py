"""Round numbers for axes, rings and the scale bar, and how they are written."""

from __future__ import annotations

import datetime as dt
import math

from reportgen.pages.charts.description import Axis
from reportgen.pages.formats import number_text
from reportgen.pages.units import METRIC, Units

ROUND = (1.0, 2.0, 5.0, 10.0)
DAY_S = 86_400
TIME_STEPS_S = (
    1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800,
    3600, 7200, 10_800, 21_600, 43_200, DAY_S,
)  # fmt: skip
FEWEST_RINGS = 3
LEAST_RING_M = 10.0

Ticks = tuple[tuple[float, str], ...]


def round_step(span: float, most: int) -> float:
    """Return the smallest round step that cuts a span into no more than `most` parts."""
    raw = span / most
    power = 10.0 ** math.floor(math.log10(raw))
    return next(power * factor for factor in ROUND if power * factor >= raw * (1 - 1e-9))


def _multiples(low: float, high: float, step: float) -> tuple[float, ...]:
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return tuple(number * step for number in range(first, last + 1))


def linear_ticks(low: float, high: float, most: int) -> tuple[float, ...]:
    """Return round values between two ends."""
    return _multiples(low, high, round_step(high - low, most))


def log_ticks(low: float, high: float, most: int) -> tuple[float, ...]:
    """Return 1, 2 and 5 times powers of ten between two ends; fewer of them on a long way."""
    decades = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    for factors in ((1.0, 2.0, 5.0), (1.0, 3.0), (1.0,)):
        values = [factor * 10.0**decade for decade in decades for factor in factors]
        inside = tuple(v for v in values if low * (1 - 1e-9) <= v <= high * (1 + 1e-9))
        if len(inside) <= most:
            return inside
    return inside[:: math.ceil(len(inside) / most)]


def _time_step_s(low_s: float, high_s: float, most: int) -> float:
    fitting = [step for step in TIME_STEPS_S if (high_s - low_s) / step <= most]
    return float(fitting[0]) if fitting else _whole_days_s((high_s - low_s) / DAY_S, most)


def _whole_days_s(span_days: float, most: int) -> float:
    return math.ceil(round_step(span_days, most)) * float(DAY_S)


def time_ticks(low_s: float, high_s: float, most: int) -> tuple[float, ...]:
    """Return round clock times between two ends. [s]."""
    return _multiples(low_s, high_s, _time_step_s(low_s, high_s, most))


def clock(local_s: float) -> str:
    """Return the clock time of seconds of wall-clock time."""
    return dt.datetime.fromtimestamp(local_s, dt.UTC).strftime("%H:%M")


def _time_text(local_s: float, step_s: float) -> str:
    """Return a clock time; midnight stands as its date, so that days can be told apart."""
    time = dt.datetime.fromtimestamp(local_s, dt.UTC)
    if local_s % DAY_S == 0:
        return time.strftime("%m-%d")
    return time.strftime("%H:%M" if step_s >= 60 else "%H:%M:%S")


def decimals_of(step: float) -> int:
    """Return how many decimals tell multiples of a step apart."""
    return max(0, -math.floor(math.log10(step) + 1e-9))


def axis_ticks(axis: Axis, most: int) -> Ticks:
    """Return values and texts of an axis; those that have names keep all of them."""
    if axis.names:
        return axis.names
    if axis.kind == "time":
        step_s = _time_step_s(axis.low, axis.high, most)
        values = time_ticks(axis.low, axis.high, most)
        return tuple((value, _time_text(value, step_s)) for value in values)
    if axis.kind == "log":
        values = log_ticks(axis.low, axis.high, most)
        return tuple((value, number_text(value, decimals_of(value))) for value in values)
    decimals = decimals_of(round_step(axis.high - axis.low, most))
    values = linear_ticks(axis.low, axis.high, most)
    return tuple((value, number_text(value, decimals)) for value in values)


def ring_radii_m(farthest_m: float, units: Units = METRIC) -> tuple[float, ...]:
    """Return radii, round in the units, of three to seven rings within a distance. [m]."""
    farthest_m = max(farthest_m, LEAST_RING_M)
    ruler_m = units.ruler_m(farthest_m)
    farthest = farthest_m / ruler_m
    step = round_step(farthest, 1)
    while math.floor(farthest / step + 1e-9) < FEWEST_RINGS:
        step = round_step(step / 2.5, 1)
    count = math.floor(farthest / step + 1e-9)
    return tuple(step * number * ruler_m for number in range(1, count + 1))


def scale_bar_m(width_m: float, units: Units = METRIC) -> float:
    """Return a length, round in the units, of up to a fifth of a map's width. [m]."""
    longest_m = width_m / 5
    ruler_m = units.ruler_m(longest_m)
    power = 10.0 ** math.floor(math.log10(longest_m / ruler_m))
    return ruler_m * max(
        power * factor for factor in ROUND[:3] if power * factor <= longest_m / ruler_m
    )
