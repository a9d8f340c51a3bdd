"""Round numbers for axes, rings and the scale bar."""

from __future__ import annotations

import datetime as dt
import math

ROUND = (1.0, 2.0, 5.0, 10.0)
TIME_STEPS_S = (60, 120, 300, 600, 900, 1200, 1800, 3600, 7200, 10_800, 21_600, 43_200, 86_400)


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


def time_ticks(low_s: float, high_s: float, most: int) -> tuple[float, ...]:
    """Return round clock times between two ends. [s]."""
    fitting = [step for step in TIME_STEPS_S if (high_s - low_s) / step <= most]
    step = float(fitting[0]) if fitting else round_step((high_s - low_s) / 86_400, most) * 86_400
    return _multiples(low_s, high_s, step)


def clock(local_s: float) -> str:
    """Return the clock time of seconds of wall-clock time."""
    return dt.datetime.fromtimestamp(local_s, dt.UTC).strftime("%H:%M")


def ring_radii_m(farthest_m: float) -> tuple[float, ...]:
    """Return radii of three to five rings that cover a distance. [m]."""
    step = round_step(max(farthest_m, 10.0), 5)
    return tuple(step * number for number in range(1, math.ceil(farthest_m / step) + 1))


def scale_bar_m(width_m: float) -> float:
    """Return a round length of up to a fifth of a map's width. [m]."""
    power = 10.0 ** math.floor(math.log10(width_m / 5))
    return max(power * factor for factor in ROUND[:3] if power * factor <= width_m / 5)
