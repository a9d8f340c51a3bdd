"""Problems as values, and the few exceptions that stop the work."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

LONGEST_FOUND = 400
"""Characters of a finding that a person reads."""


class Severity(StrEnum):
    """How much a problem weighs."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Where:
    """A place in an input file.

    `path` is relative to the campaign folder, with forward slashes; lines and columns count
    from 1, 0 meaning "the file as a whole".
    """

    path: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        parts = [self.path]
        if self.line:
            parts.append(str(self.line))
            if self.column:
                parts.append(str(self.column))
        return ":".join(parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """Something about the input that a person can mend.

    Attributes
    ----------
    where : Where
        File, line and column.
    code : str
        Stable slug such as ``log/time-unreadable``; modules that report problems list theirs
        in `PROBLEM_CODES`.
    severity : Severity
    found, expected, do : str
        What stands there, what should, and the next step, each one sentence or less. What
        stands there may be of any length; `found` is cut to `LONGEST_FOUND`.
    count : int
        How many rows the problem stands for, the first of them at `where`.
    """

    where: Where
    code: str
    severity: Severity
    found: str
    expected: str
    do: str
    count: int = 1

    def __post_init__(self) -> None:
        if len(self.found) > LONGEST_FOUND:
            object.__setattr__(self, "found", f"{self.found[: LONGEST_FOUND - 3]}...")

    def __str__(self) -> str:
        times = f" ({self.count} times, first here)" if self.count > 1 else ""
        return (
            f"{one_line(str(self.where))}  {self.severity}  {self.code}{times}\n"
            f"  found     {one_line(self.found)}\n"
            f"  expected  {one_line(self.expected)}\n"
            f"  do        {one_line(self.do)}"
        )


_CONTROLLING = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})


def one_line(text: str) -> str:
    """Return a text for a terminal: what would steer it, or end the line, written as an escape.

    Names and cells come from others: they could move the cursor, turn the direction of writing,
    or put up a line that looks like one of ours.
    """
    if text.isprintable():
        return text
    return "".join(
        sign.encode("unicode_escape").decode()
        if unicodedata.category(sign) in _CONTROLLING
        else sign
        for sign in text
    )


def number_of(count: int, one: str, many: str = "") -> str:
    """Return a count with what is counted, such as "1 row" and "3 rows"."""
    return f"{count} {one if count == 1 else many or one + 's'}"


class ReportgenError(Exception):
    """Base of everything this package raises on purpose."""


class CampaignError(ReportgenError):
    """The campaign can't be used as it is; carries its problems."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class DomainError(ReportgenError, ValueError):
    """A formula was asked outside its range."""


class PageError(ReportgenError):
    """A template and its data disagree."""


class SiteError(ReportgenError):
    """The site could not be built or put in place; carries what the person needs to know."""
