"""Bookkeeping of input rows: every row read is used or set aside."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from reportgen.errors import Where

Unit = Literal["rows", "records", "track points", "photos", "files"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BrokenFrame:
    """A frame that a row set aside for a fault still names: somebody wrote it down.

    It is named by counter, by time or by both. `station_id` is blank where the row does not say
    who heard it.
    """

    walk: str
    node: str
    counter: int | None
    time_utc: dt.datetime | None = None
    station_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SetAside:
    """Rows of one file left out for one reason.

    `is_fault` tells a broken row from one left out by request (another device, outside the
    walk's time, excluded by the author). `lines` holds the line numbers, ascending.
    """

    where: Where
    code: str
    reason: str
    is_fault: bool
    lines: tuple[int, ...]

    @property
    def count(self) -> int:
        """Number of rows."""
        return len(self.lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class FileAccount:
    """What became of the rows of one file, as read for one walk ("" for photos)."""

    path: str
    walk: str
    unit: Unit
    read: int
    used: int
    set_aside: tuple[SetAside, ...] = ()

    def __post_init__(self) -> None:
        # The promise of the whole tool: nothing vanishes. A reader that breaks it is a bug.
        if self.used + self.set_aside_count != self.read:
            raise AssertionError(
                f"{self.path}: {self.used} used + {self.set_aside_count} set aside != "
                f"{self.read} read"
            )

    @property
    def set_aside_count(self) -> int:
        """Rows not used, faults and requests together."""
        return sum(item.count for item in self.set_aside)

    @property
    def fault_count(self) -> int:
        """Rows not used because something is wrong with them."""
        return sum(item.count for item in self.set_aside if item.is_fault)


def set_aside_from(
    path: str, reasons: Iterable[tuple[int, str, str, bool]]
) -> tuple[SetAside, ...]:
    """Group single rows by reason.

    Parameters
    ----------
    path : str
        File, relative to the campaign folder.
    reasons : iterable of (line, code, reason, is_fault)
        One entry per row set aside.

    Returns
    -------
    tuple of SetAside
        One per distinct (code, reason, is_fault), in order of first appearance.
    """
    grouped: dict[tuple[str, str, bool], list[int]] = {}
    for line, code, reason, is_fault in reasons:
        grouped.setdefault((code, reason, is_fault), []).append(line)
    return tuple(
        SetAside(
            where=Where(path=path, line=min(lines)),
            code=code,
            reason=reason,
            is_fault=is_fault,
            lines=tuple(sorted(lines)),
        )
        for (code, reason, is_fault), lines in grouped.items()
    )
