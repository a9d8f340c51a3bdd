"""When walks were made: repeats count where they were made on other days, or in turn."""

from __future__ import annotations

from collections.abc import Iterable
from zoneinfo import ZoneInfo

from reportgen.results.walks import WalkResult


def occasions(
    first: Iterable[WalkResult], second: Iterable[WalkResult], time_zone: str
) -> dict[str, int]:
    """Return the number of the occasion of each walk, from 0 in the order of time.

    Walks of one setting, one after the other on one day, are one occasion: whatever the hour
    did to them it did to all. A new one begins with the next day, or where the other setting
    was walked between. A walk at an unknown time adds none.

    Parameters
    ----------
    first, second : iterable of WalkResult
        Walks of one setting and of the other.
    time_zone : str
        IANA name; days are those of the campaign.
    """
    sides = [*((walk, 0) for walk in first), *((walk, 1) for walk in second)]
    timed = [(walk.start_utc, side, walk.walk.key) for walk, side in sides if walk.start_utc]
    found: dict[str, int] = {}
    last: tuple[object, int] | None = None
    number = -1
    for start_utc, side, key in sorted(timed):
        here = (start_utc.astimezone(ZoneInfo(time_zone)).date(), side)
        number += here != last
        last = here
        found[key] = number
    for walk, side in sides:
        # Without a time it may have been on any of its side's occasions: the first will do.
        mine = [n for other, s in sides if s == side and (n := found.get(other.walk.key, -1)) >= 0]
        found.setdefault(walk.walk.key, min(mine, default=len(sides) + side))
    return found


def is_one_day(walks: Iterable[WalkResult], time_zone: str) -> bool:
    """Whether walks are known to have begun on one day."""
    zone = ZoneInfo(time_zone)
    days = {walk.start_utc and walk.start_utc.astimezone(zone).date() for walk in walks}
    return len(days) == 1 and None not in days
