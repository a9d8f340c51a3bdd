"""Single Exif values as Pillow gives them, into numbers and times; broken ones into None.

Tag numbers and meanings follow CIPA DC-008 (Exif 2.32); Pillow names them.
"""

from __future__ import annotations

import datetime as dt
import math
import re

_TIME = re.compile(r"(\d{4})[:/-](\d{2})[:/-](\d{2})[ T](\d{2}):(\d{2}):(\d{2})")
_DATE = re.compile(r"(\d{4})[:/-](\d{2})[:/-](\d{2})")
_OFFSET = re.compile(r"([+\-\u2212])(\d{1,2}):?(\d{2})")
_FARTHEST_OFFSET_S = 14 * 3600
"""No zone of the world is farther from UTC (common knowledge: UTC+14, the Line Islands)."""


def text_of(value: object) -> str:
    """Return a text value without NULs and blanks around it; blank for anything else."""
    if isinstance(value, bytes):
        value = value.decode("latin-1")
    if not isinstance(value, str):
        return ""
    return "".join(sign for sign in value if sign.isprintable()).strip()


def number_of(value: object) -> float | None:
    """Return a finite number, None for anything else (such as a ratio n/0)."""
    if isinstance(value, tuple) and len(value) == 1:
        value = value[0]
    if isinstance(value, bool | str | bytes | tuple) or value is None:
        return None
    try:
        number = float(value)  # type: ignore[arg-type]  # Pillow's ratios are numbers
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    return number if math.isfinite(number) else None


def numbers_of(value: object) -> tuple[float, ...] | None:
    """Return several finite numbers, None where any of them is not one."""
    if not isinstance(value, tuple | list):
        return None
    numbers = [number_of(item) for item in value]
    finite = tuple(number for number in numbers if number is not None)
    return finite if len(finite) == len(numbers) else None


def is_blank_time(text: str) -> bool:
    """Return whether a time means "unknown": blank, or made of zeros."""
    return not re.sub(r"[\s:0/\-TZ]", "", text)


def local_time_of(text: str, fraction: str) -> dt.datetime | None:
    """Return a DateTimeOriginal with its sub-seconds, None where it is no time."""
    match = _TIME.match(text)
    if match is None:
        return None
    digits = re.match(r"\d*", fraction.strip())
    microsecond = int((digits.group() if digits else "").ljust(6, "0")[:6] or 0)
    year, month, day, hour, minute, second = (int(part) for part in match.groups())
    try:
        return dt.datetime(year, month, day, hour, minute, second, microsecond)  # noqa: DTZ001
    except ValueError:
        return None


def utc_offset_s_of(text: str) -> int | None:
    """Return an OffsetTimeOriginal such as ``+02:00`` in seconds east of UTC."""
    if text == "Z":
        return 0
    match = _OFFSET.fullmatch(text)
    if match is None:
        return None
    hours, minutes = int(match.group(2)), int(match.group(3))
    offset_s = hours * 3600 + minutes * 60
    if minutes > 59 or offset_s > _FARTHEST_OFFSET_S:
        return None
    return offset_s if match.group(1) == "+" else -offset_s


def gps_date_of(text: str) -> dt.date | None:
    """Return a GPSDateStamp, None where it is no date."""
    match = _DATE.match(text)
    if match is None:
        return None
    year, month, day = (int(part) for part in match.groups())
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None


def clock_s_of(value: object) -> float | None:
    """Return a GPSTimeStamp of hours, minutes and seconds in seconds since midnight."""
    parts = numbers_of(value)
    if parts is None or len(parts) != 3:
        return None
    hours, minutes, seconds = parts
    if not (0 <= hours < 24 and 0 <= minutes < 60 and 0 <= seconds < 61):
        return None
    return hours * 3600 + minutes * 60 + seconds


def degrees_of(parts: tuple[float, ...]) -> float | None:
    """Return degrees, minutes and seconds as degrees; None where they are out of range."""
    if not 1 <= len(parts) <= 3 or any(part < 0 for part in parts):
        return None
    degrees, minutes, seconds = (*parts, 0.0, 0.0)[:3]
    if minutes > 60 or seconds > 60:
        return None
    return degrees + minutes / 60 + seconds / 3600
