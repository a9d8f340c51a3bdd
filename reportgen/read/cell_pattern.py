"""A regular expression of the description, bounded: it is a stranger's, and so are the cells."""

from __future__ import annotations

import re
import time

from reportgen.errors import CampaignError, Where
from reportgen.read.findings import Finding

LONGEST_CELL = 200
"""A pattern looks at so many characters of a cell; no value that it picks out lies behind."""
MOST_WAYS = (LONGEST_CELL + 1) ** 3
"""Three repeats without an end may share a cell between them; each more takes 200 times as long."""
MOST_SECONDS = 60.0
"""For one field of one format; a million cells of an ordinary pattern take two."""

PROBLEM_CODES = (
    ("log/pattern-too-costly", "The pattern of a field can take hours on a single cell."),
    ("log/pattern-too-slow", "The pattern of a field took a minute without an end of the log."),
)

_TOKEN = re.compile(
    r"(?P<repeat>(?:[*+?]|\{\d+(?:,\d*)?\}|\{,\d+\})(?P<how>[?+]?))"
    r"|(?P<note>\(\?#[^)]*\))"
    r"|(?P<open>\((?:\?(?:P<\w+>|P=\w+|<[=!]|[:=!>]|\(\w+\)|(?P<flags>[A-Za-z-]*):?))?)"
    r"|(?P<close>\))|(?P<or>\|)"
    r"|(?P<sign>\\.|\[\^?\]?(?:\\.|[^\]\\])*\]|.)",
    re.DOTALL,
)
_TIMES = re.compile(r"\{(\d*)(?:(,)(\d*))?\}")
_OPEN = {"*": (0, LONGEST_CELL), "+": (1, LONGEST_CELL), "?": (0, 1)}


class CellPattern:
    """A pattern that looks at the beginning of a cell, and for so long.

    Parameters
    ----------
    pattern : str
    where : Where
        Of the log format, for the error.

    Raises
    ------
    re.error, OverflowError, RecursionError
        If it is no regular expression.
    """

    def __init__(self, pattern: str, where: Where) -> None:
        self._compiled = re.compile(pattern)
        self._where = where
        self._spent_s = 0.0
        self.pattern = pattern
        self.groups = self._compiled.groups

    def search(self, text: str) -> re.Match[str] | None:
        """Return what the pattern finds, None for what goes on where the cell is cut.

        Raises
        ------
        CampaignError
            If all cells together take too long.
        """
        began_s = time.perf_counter()
        found = self._compiled.search(text[:LONGEST_CELL])
        self._spent_s += time.perf_counter() - began_s
        if self._spent_s > MOST_SECONDS:
            raise self._too_slow()
        is_cut = found is not None and len(text) > LONGEST_CELL and found.end() == LONGEST_CELL
        return None if is_cut else found

    def _too_slow(self) -> CampaignError:
        return Finding(
            code="log/pattern-too-slow",
            found=f"the pattern {self.pattern}, which took {MOST_SECONDS:.0f} s and is not done",
            expected="a pattern that takes a moment for the whole log",
            do="write a pattern with fewer repeats, such as '^([0-9]+)', or one column per value",
        ).error(self._where)


def is_too_costly(pattern: str) -> bool:
    """Whether a pattern can try more ways than `MOST_WAYS` to share a cell between its repeats.

    Counts on the safe side: a repeat of what itself can be read in several ways, such as (a+)+ and
    (a|b)+, is too costly always. Repeats that give nothing back, such as a++, are free.
    """
    # Each open group: ways of the alternatives that are done, and of the one being read.
    groups = [[0, 1]]
    last = 1
    for token in _TOKEN.finditer(pattern):
        if token["flags"] and "x" in token["flags"].partition("-")[0]:
            return True  # its comments could hide brackets
        if token["repeat"] is not None:
            factor, is_nested = _repeated(token["repeat"], token["how"], last)
            if is_nested:
                return True
            groups[-1][1] *= factor
            last = factor
        elif token["open"] is not None:
            groups.append([0, 1])
            last = 1
        elif token["or"] is not None:
            groups[-1] = [sum(groups[-1]), 1]
        elif token["close"] is not None and len(groups) > 1:
            last = sum(groups.pop())
            groups[-1][1] *= last
        elif token["sign"] is not None:
            last = 1
    return any(sum(group) > MOST_WAYS for group in groups)


def _repeated(repeat: str, how: str, inner_ways: int) -> tuple[int, bool]:
    """Return by how much a repeat multiplies the ways, and whether it repeats ways themselves."""
    low, high = _times(repeat.removesuffix(how) if how else repeat)
    ways = 1 if how == "+" else high - low + 1
    # All ways of short repeats can fit into one cell, those of long ones take room from each other.
    return min(ways**2, LONGEST_CELL + 1), inner_ways > 1 and high > 1


def _times(repeat: str) -> tuple[int, int]:
    found = _TIMES.fullmatch(repeat)
    if found is None:
        return _OPEN[repeat[0]]
    # Numbers of more digits than a cell has characters are no numbers to count with.
    low = min(int(found[1][:6] or 0), LONGEST_CELL)
    if found[2] is None:
        return low, low
    return low, min(int(found[3][:6]), LONGEST_CELL) if found[3] else LONGEST_CELL
