"""What `begin` lays beside a description: its JSON Schema and its table of keys.

Both are made from `description_schema`, so that they can't disagree with what is read.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import cast

from reportgen.read.description_schema import Description

KEY = "<key>"
"""Stands for a name that the author chooses."""
ITEM = "<n>"
"""Stands for the position in a list."""

_INTRODUCTION = (
    f"`{KEY}` stands for a name you choose (lower-case letters, digits and hyphens, except file "
    f"names and names of factors), `{ITEM}` for an entry of a list. A dash under *left out* marks "
    "a key that must be there. Put identifiers made of digits in quotes."
)

_Json = Mapping[str, object]

_UNITS = {
    "dbm": "dBm",
    "dbi": "dBi",
    "db": "dB",
    "deg": "°",
    "mhz": "MHz",
    "khz": "kHz",
    "m": "m",
    "s": "s",
    "bytes": "bytes",
}
_UNIT_EXCEPTIONS = {
    "spreading_factors": "",
    "ids": "",
    "loss_per_100m_db": "dB per 100 m",
    "loss_per_100ft_db": "dB per 100 ft",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class DescribedKey:
    """One key of the description: where it stands and what a person needs to know of it."""

    path: tuple[str, ...]
    kind: str
    unit: str
    default: str
    meaning: str
    is_required: bool


def description_schema_text() -> str:
    """Return the JSON Schema (draft-07) of a campaign description, as text."""
    schema = _with_definitions(Description.model_json_schema())
    titled = {
        "$schema": "http://json-schema.org/draft-07/schema#",
        **cast("dict[str, object]", schema),
        "title": "Campaign description",
    }
    return json.dumps(titled, indent=2, ensure_ascii=False) + "\n"


def description_keys_text() -> str:
    """Return the table of all keys as Markdown."""
    lines = [
        "# Keys of campaign.yaml",
        "",
        _INTRODUCTION,
        "",
        "| key | value | unit | left out | meaning |",
        "|---|---|---|---|---|",
    ]
    lines += [
        f"| `{'.'.join(key.path)}` | {_cell(key.kind)} | {key.unit} | {_cell(key.default)} | "
        f"{_cell(key.meaning)} |"
        for key in described_keys()
    ]
    return "\n".join(lines) + "\n"


@cache
def described_keys() -> tuple[DescribedKey, ...]:
    """Return every key of the description, in its order."""
    schema = Description.model_json_schema()
    return tuple(_keys(schema, cast("_Json", schema["$defs"]), ()))


def known_keys(path: tuple[str | int, ...]) -> tuple[str, ...]:
    """Return the names that may stand directly under `path`; none where the author chooses."""
    return tuple(
        key.path[-1]
        for key in described_keys()
        if len(key.path) == len(path) + 1
        and key.path[-1] not in (KEY, ITEM)
        and _fits(key.path[:-1], path)
    )


def key_at(path: tuple[str | int, ...]) -> DescribedKey | None:
    """Return what is known of the key at `path`, None for a name that the author chose."""
    found = (key for key in described_keys() if len(key.path) == len(path))
    return next((key for key in found if _fits(key.path, path)), None)


def _fits(pattern: tuple[str, ...], path: tuple[str | int, ...]) -> bool:
    return all(
        wanted in (KEY, ITEM) or wanted == given
        for wanted, given in zip(pattern, path, strict=True)
    )


def _with_definitions(part: object) -> object:
    """Spell `$defs` in the way of draft-07, which editors understand."""
    if isinstance(part, Mapping):
        return {
            "definitions" if key == "$defs" else str(key): _with_definitions(value)
            for key, value in part.items()
        }
    if isinstance(part, list):
        return [_with_definitions(item) for item in part]
    if isinstance(part, str):
        return part.replace("#/$defs/", "#/definitions/")
    return part


def _keys(schema: _Json, parts: _Json, above: tuple[str, ...]) -> Iterator[DescribedKey]:
    required = cast("list[str]", schema.get("required", []))
    for name, value in cast("Mapping[str, _Json]", schema.get("properties", {})).items():
        path = (*above, name)
        yield DescribedKey(
            path=path,
            kind=_kind(value, parts),
            unit=_unit(name),
            default="—" if name in required else _default(value),
            meaning=str(value.get("description") or _meaning_of_part(value, parts)),
            is_required=name in required,
        )
        yield from _inner(value, parts, path)


def _inner(schema: _Json, parts: _Json, path: tuple[str, ...]) -> Iterator[DescribedKey]:
    """Yield the keys below a value: of a part, of the entries of a list or of a table."""
    for option in _options(schema):
        if "$ref" in option:
            yield from _keys(_part(option, parts), parts, path)
        elif option.get("type") == "array":
            yield from _inner(cast("_Json", option["items"]), parts, (*path, ITEM))
        elif option.get("type") == "object":
            for entry in _entries(option):
                yield from _inner(entry, parts, (*path, KEY))


def _entries(schema: _Json) -> list[_Json]:
    """Return what a table's entries may be: by any name, or by names that fit a pattern."""
    entries = list(cast("Mapping[str, _Json]", schema.get("patternProperties", {})).values())
    further = schema.get("additionalProperties")
    return [*entries, cast("_Json", further)] if isinstance(further, Mapping) else entries


def _options(schema: _Json) -> list[_Json]:
    return cast("list[_Json]", schema.get("anyOf", [schema]))


def _part(schema: _Json, parts: _Json) -> _Json:
    return cast("_Json", parts[str(schema["$ref"]).rsplit("/", 1)[1]])


def _meaning_of_part(schema: _Json, parts: _Json) -> str:
    """Return the part's own words, which the schema gives once where key and part agree."""
    return str(_part(schema, parts).get("description", "")) if "$ref" in schema else ""


def _kind(schema: _Json, parts: _Json) -> str:
    options = [option for option in _options(schema) if option.get("type") != "null"]
    return " or ".join(_kind_of_one(option, parts) for option in options)


def _kind_of_one(schema: _Json, parts: _Json) -> str:
    if "$ref" in schema:
        return "keys"
    if "enum" in schema:
        return ", ".join(f"`{value}`" for value in cast("list[str]", schema["enum"]) if value)
    kind = schema.get("type")
    if kind == "array":
        return f"list of {_kind(cast('_Json', schema['items']), parts)}"
    if kind == "object":
        inner = " or ".join(_kind(entry, parts) for entry in _entries(schema))
        return f"table of {inner}"
    words = {"string": "text", "number": "number", "integer": "whole number"}
    return words.get(str(kind), "true or false") + _limits(schema)


def _limits(schema: _Json) -> str:
    low = schema.get("minimum", schema.get("exclusiveMinimum"))
    high = schema.get("maximum", schema.get("exclusiveMaximum"))
    if low is not None and high is not None:
        return f" from {low} to {high}"
    if low is None:
        return ""
    return f" from {low}" if "minimum" in schema else f" above {low}"


def _unit(name: str) -> str:
    if name in _UNIT_EXCEPTIONS:
        return _UNIT_EXCEPTIONS[name]
    return _UNITS.get(name.rsplit("_", 1)[-1], "") if "_" in name else ""


def _default(schema: _Json) -> str:
    default = schema.get("default")
    if default is None or default in ("", [], {}):
        return "nothing"
    return json.dumps(default) if isinstance(default, bool) else f"{default}"


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("\n", " ")
