"""How a text table is laid out: its separator, its headings, the place of each field."""

from __future__ import annotations

import contextlib
import csv
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from reportgen.errors import CampaignError, Problem, Severity, Where
from reportgen.read.description_schema import FieldName, LogFormatPart
from reportgen.read.field_sources import FieldSource
from reportgen.read.findings import Finding
from reportgen.read.suggestion import nearest_advice

SAMPLE_ROWS = 30
"""Rows from the top that the separator is judged by."""

PROBLEM_CODES = (
    ("csv/separator-unknown", "No column separator fits the first lines of a log."),
    ("csv/separator-wrong", "The declared separator does not stand in the first lines of a log."),
    ("csv/separator-unusable", "The declared separator can't separate columns."),
    ("csv/heading-unknown", "A column that the format names is not in the log."),
    ("csv/heading-repeated", "Two columns of a log have the heading that the format names."),
    ("csv/heading-missing", "The format names a heading, but the log has none."),
    ("csv/column-missing", "The format names a column number that the log does not have."),
)

_NAMES = {"\t": "tab", " ": "blanks", ",": "comma", ";": "semicolon", "|": "bar"}
# The rarer a character is inside of cells, the earlier it is believed.
_CANDIDATES = ("\t", ";", "|", ",", " ")
_EVEN_SHARE = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Where everything stands.

    Attributes
    ----------
    separator : str
        A blank stands for runs of blanks.
    headings : tuple of str
        Normalised; empty where the log has none.
    places : Mapping[FieldName, tuple of int]
        Indices of each field's cells, from 0.
    """

    separator: str
    headings: tuple[str, ...]
    places: Mapping[FieldName, tuple[int, ...]]


def normalised(heading: str) -> str:
    """Return a heading as it is compared: single blanks, no case."""
    return " ".join(heading.split()).casefold()


def find_separator(
    sample: Sequence[str], log_format: LogFormatPart, sources: Sequence[FieldSource], where: Where
) -> str:
    """Return the separator, as declared or as the first lines show it.

    Parameters
    ----------
    sample : sequence of str
        First lines of the log that are rows, the headings among them.

    Raises
    ------
    CampaignError
        If a declared separator is unusable or never occurs, or if none can be found.
    """
    needed = {column for source in sources for column in source.columns}
    if log_format.separator:
        return _declared(sample, log_format.separator, needed, where)
    # A comma that is the decimal mark is believed last: its cells would have to be quoted.
    marks = sorted(_CANDIDATES, key=lambda mark: mark == "," == log_format.decimal)
    tables = {mark: _cells(sample, mark) for mark in marks}
    even = [mark for mark in marks if _is_even(tables[mark], has_header=log_format.header)]
    fitting = [mark for mark in marks if _holds(tables[mark][0], needed, log_format)]
    for good in ([mark for mark in fitting if mark in even], fitting):
        if good:
            return good[0]
    if even:
        return max(even, key=lambda mark: len(tables[mark][0]))
    raise Finding(
        code="csv/separator-unknown",
        found=f"a first line without columns: {sample[0].strip()[:60]}",
        expected="columns parted by comma, semicolon, tab, bar or blanks",
        do="state 'separator' in the log format, or correct 'kind'",
    ).error(where)


def find_layout(
    first_row: Sequence[str],
    separator: str,
    log_format: LogFormatPart,
    sources: Sequence[FieldSource],
    where: Where,
) -> Layout:
    """Return where each field stands.

    Parameters
    ----------
    first_row : sequence of str
        Cells of the first row: the headings, if the log has any.

    Raises
    ------
    CampaignError
        With one problem for every column that can't be found.
    """
    headings = tuple(normalised(cell) for cell in first_row) if log_format.header else ()
    places: dict[FieldName, tuple[int, ...]] = {}
    problems: list[Problem] = []
    for source in sources:
        indices: list[int] = []
        for column in source.columns:
            found = _index(column, headings, first_row, log_format)
            if isinstance(found, Finding):
                problems.append(found.problem(where, Severity.ERROR))
            else:
                indices.append(found)
        places[source.field] = tuple(indices)
    if problems:
        raise CampaignError(dict.fromkeys(problems))
    return Layout(separator=separator, headings=headings, places=places)


def _declared(sample: Sequence[str], separator: str, needed: set[str | int], where: Where) -> str:
    if separator.isalnum() or separator in '"\r\n\0.-+':
        raise Finding(
            code="csv/separator-unusable",
            found=f"separator {separator!r}",
            expected="a character such as , ; | or a tab",
            do="correct 'separator' in the log format, or leave it out",
        ).error(where)
    if len(needed) > 1 and all(len(row) < 2 for row in _cells(sample, separator)):
        raise Finding(
            code="csv/separator-wrong",
            found=f"no {_NAMES.get(separator, separator)} in: {sample[0].strip()[:60]}",
            expected=f"columns parted by {_NAMES.get(separator, separator)}, as the format says",
            do="correct 'separator' in the log format, or leave it out",
        ).error(where)
    return separator


def _cells(sample: Sequence[str], separator: str) -> list[list[str]]:
    """Split single lines into cells, quotes respected; lines that can't be are left out."""
    rows = []
    for line in sample:
        text = " ".join(line.split()) if separator == " " else line
        with contextlib.suppress(csv.Error):
            rows += list(csv.reader([text], delimiter=separator, skipinitialspace=True))
    return rows or [[""]]


def _holds(row: Sequence[str], needed: set[str | int], log_format: LogFormatPart) -> bool:
    """Tell whether a first row has every column that is asked for."""
    headings = {normalised(cell) for cell in row} if log_format.header else set[str]()
    return all(
        0 < column <= len(row) if isinstance(column, int) else normalised(column) in headings
        for column in needed
    )


def _is_even(rows: Sequence[Sequence[str]], *, has_header: bool) -> bool:
    """Tell whether nearly all rows have the same number of cells, two or more."""
    widths = Counter(len(row) for row in rows)
    width = len(rows[0]) if has_header else widths.most_common(1)[0][0]
    return width > 1 and widths[width] >= _EVEN_SHARE * len(rows)


def _index(
    column: str | int, headings: tuple[str, ...], row: Sequence[str], log_format: LogFormatPart
) -> int | Finding:
    """Return the index of a column, or what is wrong with asking for it."""
    if isinstance(column, int):
        # Without headings the rows may differ in length, and one beyond all is only a warning.
        is_there = column >= 1 and (column <= len(row) or not log_format.header)
        return column - 1 if is_there else _no_such_number(column, len(row))
    if not log_format.header:
        return Finding(
            code="csv/heading-missing",
            found=f"column '{column}' in a format with 'header: false'",
            expected="column numbers from 1",
            do="give the number of the column, or correct 'header'",
        )
    places = [index for index, heading in enumerate(headings) if heading == normalised(column)]
    if len(places) > 1:
        numbers = " and ".join(str(index + 1) for index in places)
        return Finding(
            code="csv/heading-repeated",
            found=f"heading '{column}' over columns {numbers}",
            expected="one column of that heading",
            do="give the number of the column instead",
        )
    return places[0] if places else _no_such_heading(column, row)


def _no_such_number(column: int, width: int) -> Finding:
    return Finding(
        code="csv/column-missing",
        found=f"column {column} in a log of {width} columns",
        expected=f"a number from 1 to {width}",
        do="correct the number in the log format",
    )


def _no_such_heading(column: str, row: Sequence[str]) -> Finding:
    advice = nearest_advice(normalised(column), [" ".join(cell.split()) for cell in row])
    return Finding(
        code="csv/heading-unknown",
        found=f"no column '{column}'; the headings are {', '.join(_shown(row))}",
        expected="a heading of this log",
        do=f"{advice} Correct the heading in the log format, or name the right file".strip(),
    )


def _shown(row: Sequence[str]) -> Iterator[str]:
    for index, cell in enumerate(row):
        yield f"'{' '.join(cell.split())[:40]}'" if cell.strip() else f"(column {index + 1})"
