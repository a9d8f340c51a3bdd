"""Local times of the author's, such as the start of a walk, into UTC."""

from __future__ import annotations

import datetime as dt
import re
from zoneinfo import ZoneInfo

from reportgen.errors import CampaignError, Problem, Severity, Where

_LOCAL = re.compile(r"(19|2[01])\d{2}-\d{2}-\d{2}[ T]\d{2}:\d{2}(:\d{2})?([+-]\d{2}:\d{2}|Z)?")


def utc_of_local(text: str | None, zone: ZoneInfo, where: Where) -> dt.datetime | None:
    """Return the instant of a local time, None for None.

    Parameters
    ----------
    text : str or None
        Such as ``2026-03-03 10:00``; seconds and an offset may follow.
    zone : ZoneInfo
        Zone of a time without offset.
    where : Where
        Where it stands.

    Raises
    ------
    CampaignError
        If it can't be read, or the zone's clocks showed it twice or never.
    """
    if text is None:
        return None
    time = _time(text.strip())
    if time is None:
        raise _refusal(where, f"the time {text or 'nothing'}", "write date and time in this way")
    if time.tzinfo is not None:
        return time.astimezone(dt.UTC)
    local = time.replace(tzinfo=zone)
    if local.utcoffset() != local.replace(fold=1).utcoffset():
        change = f"the time {text}, when the clocks of {zone.key} were changed"
        raise _refusal(where, change, "add the offset from UTC, such as +01:00")
    return local.astimezone(dt.UTC)


def _time(text: str) -> dt.datetime | None:
    if not _LOCAL.fullmatch(text):
        return None
    try:
        return dt.datetime.fromisoformat(text)
    except ValueError:
        return None


def _refusal(where: Where, found: str, do: str) -> CampaignError:
    return CampaignError(
        [
            Problem(
                where=where,
                code="description/time",
                severity=Severity.ERROR,
                found=found,
                expected="a local time such as 2026-03-03 10:00, seconds optional",
                do=do,
            )
        ]
    )
