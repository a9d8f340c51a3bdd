"""Text tables (comma, semicolon, tab, bar, blanks) as raw rows, each with its line."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reportgen.read.csv_layout import SAMPLE_ROWS, Layout, find_layout, find_separator, normalised
from reportgen.read.description_schema import FieldName, LogFormatPart
from reportgen.read.field_sources import FieldSource
from reportgen.read.findings import Finding, Findings
from reportgen.read.reading import RawRow

LONGEST_ROW_LINES = 100
"""A quoted cell may hold line breaks; one that goes on for longer was never closed."""

PROBLEM_CODES = (
    ("csv/headings-unreadable", "The first row of a log, with its headings, can't be read."),
    ("csv/nul-bytes", "A row holds NUL bytes, as a power cut leaves them."),
    ("csv/quote", "A quoted cell of a row does not end as it should."),
    ("csv/long-row", "A row has more cells than there are headings."),
    ("csv/headings-repeated", "The headings stand again in the middle of a log."),
    ("csv/column-never-there", "No row is long enough to have a column that the format names."),
)

ADVICE = {
    "csv/nul-bytes": ("text", "nothing; such a row is lost"),
    "csv/quote": ("quotes that are closed in the same cell", "mend the row, or delete the quote"),
    "csv/long-row": (
        "as many cells as headings",
        "quote cells that hold the separator, or state 'separator' and 'decimal'",
    ),
    "csv/headings-repeated": (
        "headings in the first row only",
        "nothing; a logger writes them again when it restarts",
    ),
}
"""By code of a faulty row: what is expected, and what to do."""


@dataclass(frozen=True, slots=True)
class _Cells:
    """One row as cells, or the reason why it has none."""

    line: int
    cells: Sequence[str]
    fault: tuple[str, str] | None = None


def csv_rows(
    lines: Sequence[str],
    log_format: LogFormatPart,
    sources: Sequence[FieldSource],
    findings: Findings,
) -> Iterator[RawRow]:
    """Yield the rows of a text table.

    Blank lines and comments are no rows. Cells are stripped of surrounding blanks.

    Parameters
    ----------
    lines : sequence of str
        Physical lines with their ends.
    log_format : LogFormatPart
    sources : sequence of FieldSource
        Fields with their columns; those without columns are left to the interpreter.
    findings : Findings
        Takes what concerns the table as a whole.

    Raises
    ------
    CampaignError
        If the separator or a column can't be found, or the headings can't be read.
    """
    where = findings.file.where()
    sample = _sample(lines, log_format.comment)
    if not sample:
        return
    separator = find_separator(sample, log_format, sources, where)
    rows = _table(lines, separator, log_format.comment)
    first = next(rows)
    if log_format.header and first.fault:
        raise Finding(
            code="csv/headings-unreadable",
            found=f"a first row with {first.fault[1]}",
            expected="the column headings",
            do="mend the first row; state 'encoding' if the whole file looks odd",
        ).error(findings.file.where(line=first.line))
    layout = find_layout(
        first.cells, separator, log_format, sources, findings.file.where(line=first.line)
    )
    widest = 0
    if not log_format.header:
        yield _raw_row(first, layout)
        widest = len(first.cells)
    for row in rows:
        yield _raw_row(row, layout)
        widest = max(widest, len(row.cells))
    _warn_of_absent_columns(layout, widest, findings)


def _sample(lines: Sequence[str], comment: str | None) -> list[str]:
    sample: list[str] = []
    for line in lines:
        if line.strip() and not (comment and line.startswith(comment)):
            sample.append(line)
            if len(sample) == SAMPLE_ROWS:
                break
    return sample


class _Feeder:
    """Hands lines to the csv module and remembers where the row began."""

    def __init__(self, lines: Sequence[str], index: int, separator: str, comment: str | None):
        self._lines = lines
        self._index = index
        self._packs_blanks = separator == " "
        self._comment = comment or None
        self.begin_row()

    def begin_row(self) -> None:
        """Forget the last row."""
        self.first = 0
        self.has_nul = False

    def __iter__(self) -> _Feeder:
        return self

    def __next__(self) -> str:
        if not self.first and self._comment:
            while self._index < len(self._lines) and self._lines[self._index].startswith(
                self._comment
            ):
                self._index += 1
        if self._index >= len(self._lines):
            raise StopIteration
        line = self._lines[self._index]
        self._index += 1
        self.first = self.first or self._index
        if self._index - self.first >= LONGEST_ROW_LINES:
            raise csv.Error("a quote is not closed")
        self.has_nul = self.has_nul or "\0" in line
        return " ".join(line.split()) + "\n" if self._packs_blanks else line


def _table(lines: Sequence[str], separator: str, comment: str | None) -> Iterator[_Cells]:
    """Yield all rows; after a row that can't be read, go on with the line below its first."""
    start = 0
    while start < len(lines):
        feeder = _Feeder(lines, start, separator, comment)
        rows = csv.reader(feeder, delimiter=separator, strict=True, skipinitialspace=True)
        try:
            for cells in rows:
                if feeder.has_nul:
                    yield _Cells(feeder.first, (), ("csv/nul-bytes", "NUL bytes"))
                elif len(cells) > 1 or (cells and cells[0].strip()):
                    yield _Cells(feeder.first, cells)
                feeder.begin_row()
        except csv.Error as error:
            reason = "a quoted cell that does not end as it should"
            if "limit" in str(error):
                reason = f"a cell of more than {csv.field_size_limit()} characters"
            yield _Cells(feeder.first, (), ("csv/quote", reason))
            start = feeder.first
        else:
            return


def _raw_row(row: _Cells, layout: Layout) -> RawRow:
    fault = row.fault or _shape_fault(row.cells, layout.headings)
    if fault:
        return RawRow(row.line, fault=fault)
    cells = row.cells
    texts: dict[FieldName, str | None] = {}
    for field, indices in layout.places.items():
        if len(indices) == 1:
            index = indices[0]
            texts[field] = (cells[index].strip() or None) if index < len(cells) else None
        elif indices:
            parts = [cells[index].strip() for index in indices if index < len(cells)]
            texts[field] = " ".join(part for part in parts if part) or None
    return RawRow(row.line, texts)


def _shape_fault(cells: Sequence[str], headings: tuple[str, ...]) -> tuple[str, str] | None:
    if not headings:
        return None
    # A separator at the end of every row adds an empty cell; that harms nobody.
    if len(cells) > len(headings) and any(cell.strip() for cell in cells[len(headings) :]):
        return ("csv/long-row", "more cells than there are headings")
    # Seldom does a cell of a row begin as its heading does.
    begins = headings[0].startswith(cells[0].lstrip()[:1].casefold())
    if begins and headings == tuple(map(normalised, cells)):
        return ("csv/headings-repeated", "the headings once more")
    return None


def _warn_of_absent_columns(layout: Layout, widest: int, findings: Findings) -> None:
    for field, indices in layout.places.items():
        absent = [index + 1 for index in indices if index >= widest]
        if widest and absent and not layout.headings:
            findings.warn(
                0,
                Finding(
                    code="csv/column-never-there",
                    found=f"no row has the column {absent[0]} of {field}; the longest has {widest}",
                    expected=f"a number from 1 to {widest}",
                    do="correct the number, or leave it so if this log has no such column",
                ),
            )
