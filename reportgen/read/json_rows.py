"""JSON Lines as raw rows: one per reception of a record, each with the record's line."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence

from reportgen.read.description_schema import FieldName, LogFormatPart
from reportgen.read.field_sources import FieldSource, pointer_tokens
from reportgen.read.findings import Findings
from reportgen.read.reading import RawRow

MOST_RECEPTIONS = 1000
"""Of one record. Each becomes a row, and a line of 20 MB has room for millions. (our choice)"""

PROBLEM_CODES = (
    ("json/not-json", "A line is not a whole JSON text."),
    ("json/not-an-object", "A line holds JSON, but not an object."),
    ("json/repeated-name", "An object says the same name twice."),
    ("json/too-deep", "A record is nested too deeply to be read."),
    ("json/no-receptions", "A record holds no reception where the format says they stand."),
    ("json/too-many-receptions", "A record holds more receptions than stations can have made."),
    ("json/not-a-value", "A pointer leads to an object or array instead of a value."),
)

ADVICE = {
    "json/not-json": (
        "one JSON object on each line",
        "nothing for a last line that was cut off; otherwise mend the line",
    ),
    "json/not-an-object": (
        "one JSON object on each line",
        "write each record on a line of its own",
    ),
    "json/repeated-name": ("each name once in an object", "mend the program that wrote the log"),
    "json/too-deep": ("a record of a few levels", "mend the line, or delete it"),
    "json/no-receptions": (
        "an array with at least one reception",
        "correct 'receptions' in the log format if no row has any",
    ),
    "json/too-many-receptions": (
        f"at most {MOST_RECEPTIONS} receptions of one frame",
        "let 'receptions' lead to those of one frame, or write each frame on a line of its own",
    ),
    "json/not-a-value": ("a text or number", "let the pointer lead to the value itself"),
}
"""By code of a faulty row: what is expected, and what to do."""

Json = str | bool | list["Json"] | dict[str, "Json"] | None
"""A parsed JSON value; numbers stay as they are written."""


class _RecordError(Exception):
    """A record can't be read; carries code and reason."""

    def __init__(self, code: str, reason: str) -> None:
        self.fault = (code, reason)
        super().__init__(reason)


def json_rows(
    lines: Sequence[str],
    log_format: LogFormatPart,
    sources: Sequence[FieldSource],
    findings: Findings,
) -> Iterator[RawRow]:
    """Yield one row per reception, and one for each record that has none or can't be read.

    Numbers come out as they are written, with the decimal mark of the format.

    Parameters
    ----------
    lines : sequence of str
        Physical lines with their ends; blank ones and comments are no rows.
    log_format : LogFormatPart
    sources : sequence of FieldSource
        Fields with their pointers; those without are left to the interpreter.
    findings : Findings
        Names the file.

    Raises
    ------
    CampaignError
        If the pointer to the receptions is malformed.
    """
    receptions = None
    if log_format.receptions is not None:
        receptions = pointer_tokens(log_format.receptions, findings.file.where())
    decoder = _decoder(log_format.decimal)
    for number, line in enumerate(lines, start=1):
        text = line.strip(" \t\r\n")
        if not text or (log_format.comment and line.startswith(log_format.comment)):
            continue
        try:
            record = _record(decoder, text)
            elements = [record] if receptions is None else _elements(record, receptions)
        except _RecordError as error:
            yield RawRow(number, fault=error.fault)
            continue
        for element in elements:
            yield _raw_row(number, record, element, sources)


def resolve(document: Json, tokens: Sequence[str]) -> Json:
    """Return what a JSON Pointer leads to (RFC 6901, section 4), None where it leads nowhere."""
    for token in tokens:
        if isinstance(document, dict):
            document = document.get(token)
        elif isinstance(document, list) and _is_index(token, len(document)):
            document = document[int(token)]
        else:
            return None
    return document


def _is_index(token: str, length: int) -> bool:
    # Short of the int conversion: a token of thousands of digits is no index either.
    is_digits = token.isascii() and token.isdigit() and len(token) <= len(str(length))
    return is_digits and str(int(token)) == token and int(token) < length


def _decoder(decimal: str) -> json.JSONDecoder:
    def as_written(number: str) -> str:
        return number.replace(".", decimal)

    # NaN and Infinity are no JSON, but loggers write them: they stay texts, which no number
    # field accepts unless the format lists them as "not measured".
    return json.JSONDecoder(
        object_pairs_hook=_object, parse_float=as_written, parse_int=str, parse_constant=str
    )


def _object(pairs: list[tuple[str, Json]]) -> dict[str, Json]:
    names = dict(pairs)
    if len(names) != len(pairs):
        raise _RecordError("json/repeated-name", "a name that stands twice in one object")
    return names


def _record(decoder: json.JSONDecoder, text: str) -> Json:
    try:
        record: Json = decoder.decode(text)
    except RecursionError as error:
        raise _RecordError("json/too-deep", "a record nested too deeply") from error
    except ValueError as error:
        raise _RecordError("json/not-json", "a line that is not a whole JSON text") from error
    if not isinstance(record, dict):
        raise _RecordError("json/not-an-object", "a line that is not a JSON object")
    return record


def _elements(record: Json, tokens: Sequence[str]) -> list[Json]:
    found = resolve(record, tokens)
    if isinstance(found, list) and len(found) > MOST_RECEPTIONS:
        raise _RecordError("json/too-many-receptions", f"a record of {len(found)} receptions")
    if isinstance(found, list) and found:
        return found
    if found is None or found == []:
        raise _RecordError("json/no-receptions", "a record without receptions")
    raise _RecordError("json/no-receptions", "something else than an array of receptions")


def _raw_row(number: int, record: Json, element: Json, sources: Sequence[FieldSource]) -> RawRow:
    texts: dict[FieldName, str | None] = {}
    for source in sources:
        if source.pointer is None:
            continue
        value = resolve(record if source.from_record else element, source.pointer)
        if isinstance(value, (dict, list)):
            reason = f"an object or array where {source.field} should be"
            return RawRow(number, fault=("json/not-a-value", reason))
        texts[source.field] = _text(value)
    return RawRow(number, texts)


def _text(value: str | bool | None) -> str | None:
    if isinstance(value, bool):
        return "true" if value else "false"
    if value is None or value.isascii():
        return (value or "").strip() or None
    # Escapes can spell half characters, which no output file could hold.
    return value.encode("utf-8", "replace").decode("utf-8").strip() or None
