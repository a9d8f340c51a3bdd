"""What a log seems to hold, judged by its first lines."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence

from reportgen.errors import CampaignError
from reportgen.read.column_words import (
    Cells,
    LogGuess,
    Places,
    fields_by_words,
    identifiers,
    joined_cells,
    time_format_of,
)
from reportgen.read.csv_layout import SAMPLE_ROWS, find_separator
from reportgen.read.description_schema import FieldName, LogFormatPart
from reportgen.read.json_guess import json_guess
from reportgen.read.reading import CampaignFile
from reportgen.read.text_files import read_text

SAMPLE_LINES = 200
_SHOWN = 120


def guess_log(file: CampaignFile) -> LogGuess:
    """Return the guess about a log; one without fields where nothing can be made of it."""
    try:
        lines = [line.strip("\r\n") for line in read_text(file).lines()[:SAMPLE_LINES]]
        lines = [line for line in lines if line.strip() and not line.startswith("#")]
        if not lines:
            return LogGuess(path=file.name)
        if lines[0].lstrip().startswith("{"):
            return json_guess(file.name, lines)
        return _csv_guess(file, lines)
    except (CampaignError, csv.Error):
        return LogGuess(path=file.name)


def _csv_guess(file: CampaignFile, lines: Sequence[str]) -> LogGuess:
    any_format = LogFormatPart(fields={})
    separator = find_separator(lines[:SAMPLE_ROWS], any_format, (), file.where())
    rows = list(csv.reader(lines, delimiter=separator, skipinitialspace=True))
    has_header = not any(_is_value(cell) for cell in rows[0])
    columns = _columns(rows, has_header=has_header)
    decimal = "," if separator == ";" and _has_decimal_commas(columns) else "."
    found = dict(fields_by_words(columns, decimal)) if has_header else _time_alone(columns)
    used = {name for places in found.values() for name in places}
    return LogGuess(
        path=file.name,
        has_header=has_header,
        decimal=decimal,
        fields=tuple(found.items()),
        time_format=time_format_of(joined_cells(found.get("time", ()), columns)),
        others=tuple(
            str(name) if has_header else f"{name} ({(cells or [''])[0]})"
            for name, cells in columns.items()
            if name not in used
        ),
        node_ids=identifiers(joined_cells(found.get("node", ()), columns)),
        station_ids=identifiers(joined_cells(found.get("station", ()), columns)),
        sample=lines[1 if has_header and len(lines) > 1 else 0][:_SHOWN],
    )


def _columns(rows: Sequence[Sequence[str]], *, has_header: bool) -> Cells:
    names: list[str | int] = [
        cell.strip() if has_header else index + 1 for index, cell in enumerate(rows[0])
    ]
    body = rows[1:] if has_header else rows
    return {
        name: [row[index].strip() for row in body if index < len(row)]
        for index, name in enumerate(names)
        if name != ""
    }


def _is_value(cell: str) -> bool:
    return bool(re.fullmatch(r"[-+]?\d+([.,]\d+)?|\d{4}-\d\d-\d\d.*", cell.strip()))


def _has_decimal_commas(columns: Cells) -> bool:
    return any(
        re.fullmatch(r"[-+]?\d+,\d+", cell) for cells in columns.values() for cell in cells[:5]
    )


def _time_alone(columns: Cells) -> dict[FieldName, Places]:
    """Return the first column that looks like a time: all that a log without headings shows."""
    for name, cells in columns.items():
        if time_format_of(cells[:1]) is not None:
            return {"time": (name,)}
    return {}
