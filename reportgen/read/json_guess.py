"""What a log of JSON Lines seems to hold, judged by its first lines."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from reportgen.read.column_words import (
    LogGuess,
    fields_by_words,
    identifiers,
    is_level_word,
    time_format_of,
)
from reportgen.read.description_schema import FieldName

_OTHERS_SHOWN = 20
_SHOWN = 120


@dataclass(frozen=True, slots=True)
class _Found:
    """A field, its pointer, and the first texts at it."""

    pointer: str
    texts: list[str]


def json_guess(path: str, lines: Sequence[str]) -> LogGuess:
    """Return the guess about a log of one JSON object per line."""
    records = list(_records(lines))
    receptions = next((at for record in records if (at := _receptions(record, ""))), None)
    outer = _leaves_of(records)
    inner = _leaves_of(item for record in records for item in _items(record, receptions))
    in_reception = _fields(inner)
    found = {**_fields(outer), **in_reception}
    used = {field.pointer for field in found.values()}
    nothing = _Found("", [])
    return LogGuess(
        path=path,
        kind="json lines",
        receptions=receptions,
        fields=tuple((name, (field.pointer,)) for name, field in found.items()),
        from_record=tuple(name for name in found if receptions and name not in in_reception),
        time_format=time_format_of(found.get("time", nothing).texts),
        others=tuple(name for name in (*inner, *outer) if name not in used)[:_OTHERS_SHOWN],
        node_ids=identifiers(found.get("node", nothing).texts),
        station_ids=identifiers(found.get("station", nothing).texts),
        sample=lines[0][:_SHOWN],
    )


def _records(lines: Sequence[str]) -> Iterator[dict[str, object]]:
    for line in lines:
        try:
            record = json.loads(line)
        except (ValueError, RecursionError):
            continue
        if isinstance(record, dict):
            yield record


def _receptions(value: object, above: str) -> str | None:
    """Return the pointer to the first list of objects that have an RSSI."""
    for name, inner in value.items() if isinstance(value, dict) else ():
        pointer = f"{above}/{_escaped(name)}"
        if isinstance(inner, list) and inner and isinstance(inner[0], dict):
            if any(is_level_word(key) for key in inner[0]):
                return pointer
        elif deeper := _receptions(inner, pointer):
            return deeper
    return None


def _items(record: dict[str, object], pointer: str | None) -> list[object]:
    """Return the receptions of a record, none where there is no such list."""
    if pointer is None:
        return []
    value: object = record
    for name in pointer.split("/")[1:]:
        plain = name.replace("~1", "/").replace("~0", "~")
        value = value.get(plain) if isinstance(value, dict) else None
    return value if isinstance(value, list) else []


def _leaves_of(values: Iterable[object]) -> dict[str, list[str]]:
    """Return the texts at every pointer to a plain value."""
    leaves: dict[str, list[str]] = {}
    for value in values:
        for pointer, text in _leaves(value, ""):
            leaves.setdefault(pointer, []).append(text)
    return leaves


def _leaves(value: object, above: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from _leaves(inner, f"{above}/{_escaped(name)}")
    elif value is not None and not isinstance(value, list):
        yield above, str(value)


def _escaped(name: str) -> str:
    return name.replace("~", "~0").replace("/", "~1")


def _fields(leaves: dict[str, list[str]]) -> dict[FieldName, _Found]:
    """Match pointers by their last name, the shortest pointer first."""
    by_name: dict[str | int, _Found] = {}
    for pointer in sorted(leaves, key=lambda text: text.count("/")):
        by_name.setdefault(pointer.rsplit("/", 1)[-1], _Found(pointer, leaves[pointer]))
    cells = {name: found.texts for name, found in by_name.items()}
    return {field: by_name[places[-1]] for field, places in fields_by_words(cells, ".")}
