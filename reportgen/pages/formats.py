"""Number to text: all rounding of the site, and nothing else."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Mapping
from zoneinfo import ZoneInfo

NARROW = "\u202f"
"""Narrow no-break space: between a number and its unit, and between thousands."""
MINUS = "\u2212"
COMPASS = 16


def number_text(value: float, decimals: int = 0) -> str:
    """Return a number with a true minus and narrow spaces between thousands.

    A value that rounds to zero has no sign.
    """
    rounded = round(value, decimals) + 0.0
    text = f"{abs(rounded):,.{decimals}f}".replace(",", NARROW)
    return f"{MINUS}{text}" if rounded < 0 else text


def with_unit(text: str, unit: str) -> str:
    """Return number and unit joined by a narrow no-break space."""
    return f"{text}{NARROW}{unit}" if unit else text


def bearing_text(bearing_deg: float) -> str:
    """Return a bearing of three digits, 000° to 359°."""
    return f"{round(bearing_deg) % 360:03d}°"


def angle_text(angle_deg: float) -> str:
    """Return a small angle to a tenth of a degree."""
    return f"{number_text(angle_deg, 1)}°"


def signed_angle_text(angle_deg: float) -> str:
    """Return an angle to a tenth of a degree with its sign."""
    return f"{signed_text(angle_deg)}°"


def whole_angle_text(angle_deg: float) -> str:
    """Return an angle in whole degrees, without its sign."""
    return f"{number_text(abs(angle_deg))}°"


def level_text(value: float, unit: str) -> str:
    """Return a level: whole when it is, else to a tenth."""
    # What arithmetic leaves in the last bits is no decimal.
    return with_unit(number_text(value, 0 if round(value, 6).is_integer() else 1), unit)


def gain_text(gain_dbi: float) -> str:
    """Return a gain as it was stated, to a hundredth at most: 2.15 dBi."""
    decimals = next(n for n in (0, 1, 2) if n == 2 or abs(round(gain_dbi, n) - gain_dbi) < 1e-6)
    return with_unit(number_text(gain_dbi, decimals), "dBi")


def percent_text(ratio: float) -> str:
    """Return a ratio in percent; neither 0 % nor 100 % unless it is exactly that."""
    if 0.0 < ratio <= 0.005:
        return with_unit("<1", "%")
    if 0.995 <= ratio < 1.0:
        return with_unit(">99", "%")
    return with_unit(number_text(100 * ratio), "%")


def small_percent_text(ratio: float) -> str:
    """Return a small share in percent, to two digits: 0.28 %, 1.4 %, 12 %."""
    percent = 100 * ratio
    decimals = 0 if percent >= 9.95 else 1 if percent >= 0.995 else 2
    return with_unit(number_text(percent, decimals), "%")


def milliseconds_text(duration_s: float) -> str:
    """Return a short time: 61.7 ms, 1 155 ms."""
    return with_unit(number_text(1000 * duration_s, 1 if duration_s < 0.9995 else 0), "ms")


def frequency_text(frequency_hz: float) -> str:
    """Return a frequency in MHz, or kHz below one: 868.1 MHz, 125 kHz."""
    if frequency_hz >= 1e6:
        return with_unit(f"{frequency_hz / 1e6:.7g}", "MHz")
    return with_unit(f"{frequency_hz / 1e3:.6g}", "kHz")


def points_text(difference: float) -> str:
    """Return the size of a difference of two shares in percentage points, without the unit."""
    return number_text(100 * difference)


def signed_text(value: float, decimals: int = 1) -> str:
    """Return a number with its sign; zero has none."""
    text = number_text(value, decimals)
    return f"+{text}" if round(value, decimals) > 0 else text


def power_text(power_w: float) -> str:
    """Return a power to three digits: 25.1 mW, 1.58 W."""
    if power_w < 0.9995:
        return with_unit(_three_digits(1000 * power_w), "mW")
    return with_unit(_three_digits(power_w), "W")


def _three_digits(value: float) -> str:
    if value == 0:
        return "0"
    decimals = max(0, 2 - math.floor(math.log10(abs(value))))
    return number_text(value, min(decimals, 3))


def duration_text(duration_s: float) -> str:
    """Return a duration: 8 s, 4 min 07 s, 1 h 05 min."""
    seconds = round(abs(duration_s))
    hours, rest = divmod(seconds, 3600)
    minutes, seconds = divmod(rest, 60)
    if hours:
        return f"{hours}{NARROW}h{NARROW}{minutes:02d}{NARROW}min"
    if minutes:
        return f"{minutes}{NARROW}min{NARROW}{seconds:02d}{NARROW}s"
    return f"{seconds}{NARROW}s"


def signed_duration_text(duration_s: float) -> str:
    """Return a duration with its sign; one that rounds to zero has none."""
    if round(duration_s) == 0:
        return duration_text(0.0)
    return f"{MINUS if duration_s < 0 else '+'}{duration_text(duration_s)}"


def ratio_text(value: float) -> str:
    """Return a plain ratio such as a VSWR to two decimals."""
    return number_text(value, 2)


def compass_index(bearing_deg: float) -> int:
    """Return which of the sixteen compass points a bearing is nearest to, 0 for north."""
    return round(bearing_deg / (360 / COMPASS)) % COMPASS


def local(time_utc: dt.datetime, zone: str) -> dt.datetime:
    """Return a time in the campaign's zone."""
    return time_utc.astimezone(ZoneInfo(zone))


def clock_text(time_utc: dt.datetime, zone: str, *, seconds: bool = True) -> str:
    """Return the local time of day."""
    return local(time_utc, zone).strftime("%H:%M:%S" if seconds else "%H:%M")


def date_text(time_utc: dt.datetime, zone: str, months: tuple[str, ...], pattern: str) -> str:
    """Return the local date by a pattern of {day}, {month} and {year}, such as 9 June 2026."""
    at = local(time_utc, zone)
    return pattern.format(day=at.day, month=months[at.month - 1], year=at.year)


def iso_time(text: str) -> dt.datetime:
    """Return the time that an ISO 8601 text of ours says."""
    return dt.datetime.fromisoformat(text)


def _counted(value: float) -> str:
    return number_text(value)


BY_UNIT: Mapping[str, Callable[[float], str]] = {
    "Hz": frequency_text,
    "dBi": gain_text,
    "K": lambda value: with_unit(number_text(value), "K"),
    "bytes": lambda value: with_unit(number_text(value), "B"),
    "symbols": number_text,
    "coding rate": lambda value: f"4/{value:.0f}",
    "deg": bearing_text,
    "dB": lambda value: level_text(value, "dB"),
    "dBm": lambda value: level_text(value, "dBm"),
    "1": ratio_text,
    "s": duration_text,
    "W": power_text,
    "W/m²": lambda value: with_unit(number_text(value, 2), "W/m²"),
    "frames": _counted,
    "stations": _counted,
    "rows": _counted,
    "records": _counted,
    "track points": _counted,
    "photos": _counted,
    "walks": _counted,
    "cells": _counted,
    "stretches": _counted,
    "pairs": _counted,
    "points": points_text,
}
"""How a figure of each unit is written; lengths are in `pages.units`, units that are words in the
catalogue."""

BY_METHOD: Mapping[str, Callable[[float], str]] = {
    "delivery-ratio": percent_text,
    "elevation-angle": angle_text,
    "declination": signed_angle_text,
    "declination-stated": signed_angle_text,
    "field-of-view": angle_text,
    "pointer-error": angle_text,
    "pointer-turn": signed_angle_text,
    "pointer": percent_text,
    "camera-clock": signed_duration_text,
    "camera-clock-gps": signed_duration_text,
    "camera-clock-stated": signed_duration_text,
    "camera-clock-used": signed_duration_text,
    "law-lost-otherwise": percent_text,
    "law-floor": percent_text,
    "signal-difference": lambda value: with_unit(signed_text(value), "dB"),
    "delivery-difference": lambda value: signed_text(100 * value, 0),
    "time-on-air": milliseconds_text,
    "duty-cycle": small_percent_text,
    "duty-node": small_percent_text,
    "duty-station": small_percent_text,
}
"""How figures of some methods are written, whatever their unit."""
