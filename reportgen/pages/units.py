"""Lengths in the units that the author chose: metric, imperial, or one with the other behind."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from reportgen.pages.formats import NARROW, number_text, with_unit

Kind = Literal["metric", "imperial", "both"]

FOOT_M = 0.3048
MILE_M = 1609.344
"""International foot and statute mile, exactly (NIST SP 811 (2008), appendix B.8)."""

CAUTIONS = ("caution-distance", "largest-caution-distance", "near-field-edge")
"""Methods of figures that are distances to keep."""

MILES_FROM_FT = 2640
"""Lengths of half a mile and more are written in miles: a hundredth of one is 16 m, about what a
position bears."""


@dataclass(frozen=True, slots=True)
class Units:
    """How lengths are written; everything inside stays in metres."""

    kind: Kind = "metric"

    def length(self, length_m: float) -> str:
        """Return a length: 412 m, 1 352 ft, or 412 m (1 352 ft)."""
        return self._both(_metres, _feet, length_m)

    def caution(self, length_m: float) -> str:
        """Return a distance to keep, rounded up: never to the wrong side."""
        return self._both(_metres_up, _feet_up, length_m)

    def speed(self, speed_mps: float) -> str:
        """Return a speed: 1.34 m/s, 3.0 mph."""
        return self._both(
            lambda value: with_unit(number_text(value, 2), "m/s"),
            lambda value: with_unit(number_text(value * 3600 / MILE_M, 1), "mph"),
            speed_mps,
        )

    def loss_per_length(self, loss_db_per_100m: float) -> str:
        """Return the loss of a line: 50 dB/100 m, 15.2 dB/100 ft."""
        return self._both(
            lambda value: with_unit(_to_a_tenth(value), "dB/100\u00a0m"),
            lambda value: with_unit(_to_a_tenth(value * FOOT_M), "dB/100\u00a0ft"),
            loss_db_per_100m,
        )

    def writer(self, method: str, unit: str) -> Callable[[float], str] | None:
        """Return how a figure is written that holds a length; None for any other."""
        if method in CAUTIONS:
            return self.caution
        by_unit: dict[str, Callable[[float], str]] = {
            "m": self.length,
            "m/s": self.speed,
            "dB/100 m": self.loss_per_length,
        }
        return by_unit.get(unit)

    def ruler_m(self, length_m: float) -> float:
        """Return the length in metres of the unit in which a length of that size is ruled."""
        if self.kind != "imperial":
            return 1.0
        return MILE_M if length_m >= MILE_M else FOOT_M

    def round_length(self, length_m: float) -> str:
        """Return a length that is round in the units: 200 m, 1.5 km, 500 ft, 0.5 mi."""
        if self.kind == "imperial":
            return _round_feet(length_m)
        metres = _round_metres(length_m)
        return f"{metres} ({_feet(length_m)})" if self.kind == "both" else metres

    def band(self, low_m: float, high_m: float) -> str:
        """Return two round distances with one unit: 500-1000 m, 1-2 km, 0.6-1.2 mi."""
        return self._both(
            lambda end_m: _band(low_m, end_m, 1000.0, "km", 1.0, "m"),
            lambda end_m: _band(low_m, end_m, MILE_M, "mi", FOOT_M, "ft"),
            high_m,
        )

    def other(self, length_m: float) -> str:
        """Return a length in metres or feet, whichever is not written; "" where both are."""
        if self.kind == "both":
            return ""
        if self.kind == "imperial":
            return _metres(length_m)
        return with_unit(number_text(length_m / FOOT_M), "ft")

    def axis(self, farthest_m: float) -> tuple[float, str]:
        """Return what an axis of lengths is divided by, and the unit to write beside it.

        With both units an axis is ruled in metres, and its unit says how many feet that is.
        """
        if self.kind == "both":
            return 1.0, f"m; 1{NARROW}000{NARROW}m = 3{NARROW}281{NARROW}ft"
        ruler_m = self.ruler_m(farthest_m)
        return ruler_m, {1.0: "m", FOOT_M: "ft", MILE_M: "mi"}[ruler_m]

    def _both(
        self, metric: Callable[[float], str], imperial: Callable[[float], str], value: float
    ) -> str:
        if self.kind == "metric":
            return metric(value)
        if self.kind == "imperial":
            return imperial(value)
        return f"{metric(value)} ({imperial(value)})"


METRIC = Units()


def _metres(length_m: float) -> str:
    if abs(length_m) >= 10_000:
        return with_unit(number_text(length_m / 1000, 1), "km")
    return with_unit(number_text(length_m, 1 if 0.0 < abs(length_m) < 9.95 else 0), "m")


def _feet(length_m: float) -> str:
    length_ft = length_m / FOOT_M
    if round(abs(length_ft)) >= MILES_FROM_FT:
        miles = length_m / MILE_M
        return with_unit(number_text(miles, 1 if abs(miles) >= 9.95 else 2), "mi")
    return with_unit(number_text(length_ft, 1 if 0.0 < abs(length_ft) < 9.95 else 0), "ft")


def _round_metres(length_m: float) -> str:
    if length_m < 1000:
        return with_unit(_shortest(length_m), "m")
    return with_unit(_shortest(length_m / 1000), "km")


def _round_feet(length_m: float) -> str:
    tenths = length_m / MILE_M * 10
    if abs(tenths - round(tenths)) < 1e-6:
        return with_unit(_shortest(length_m / MILE_M), "mi")
    return with_unit(_shortest(length_m / FOOT_M), "ft")


def _band(
    low_m: float, high_m: float, large_m: float, large: str, small_m: float, small: str
) -> str:
    ruler_m, unit = (large_m, large) if high_m > large_m else (small_m, small)
    low, high = (_shortest(_two_digits(end / ruler_m)) for end in (low_m, high_m))
    return with_unit(f"{low}–{high}", unit)  # noqa: RUF001 - an en dash, as print has it


def _two_digits(value: float) -> float:
    """Return a number to two digits that count; the ends of a band are round to begin with."""
    return float(f"{value:.2g}")


def _shortest(value: float) -> str:
    """Return a round number with no more decimals than it has."""
    decimals = next(n for n in range(4) if n == 3 or abs(round(value, n) - value) < 1e-6)
    return number_text(value, decimals)


def _metres_up(length_m: float) -> str:
    return with_unit(number_text(_up(length_m), 1), "m")


def _feet_up(length_m: float) -> str:
    return with_unit(number_text(_up(length_m / FOOT_M), 1), "ft")


def _up(length: float) -> float:
    """Return a length rounded up to a tenth, sparing what arithmetic left in the last bits."""
    return math.ceil(length * 10 - 1e-9) / 10


def _to_a_tenth(value: float) -> str:
    return number_text(value, 0 if round(value, 6).is_integer() else 1)
