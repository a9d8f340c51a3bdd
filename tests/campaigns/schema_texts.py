"""Every free text of the description's schema, and what of it a description fills."""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import BaseModel

from reportgen.read.description_schema import Description

Json = dict[str, object]
_BOUND = {"pattern", "enum", "const"}


def free_texts() -> set[str]:
    """Return "Part.key" of every key that holds free text, "Part.key of" where its names do."""
    schema = Description.model_json_schema()
    parts: Json = {"Description": schema, **_object(schema["$defs"])}
    found: set[str] = set()
    for part, described in parts.items():
        for key, value in _object(_object(described)["properties"]).items():
            found |= {f"{part}.{key}"} if _is_text(value) else set()
            found |= {f"{part}.{key} of"} if _is_named_freely(value) else set()
    return found


def _object(value: object) -> Json:
    assert isinstance(value, dict)
    return value


def _is_text(value: object) -> bool:
    if not isinstance(value, dict):
        return False
    if value.get("type") == "string":
        return not _BOUND & set(value)
    return any(map(_is_text, (*value.get("anyOf", ()), value.get("items"), _named(value))))


def _named(value: Json) -> object:
    """Return what a table of named things holds."""
    return value.get("additionalProperties")


def _is_named_freely(value: object) -> bool:
    if not isinstance(value, dict):
        return False
    is_bound = bool(_BOUND & set(_object(value.get("propertyNames", {}))))
    return isinstance(_named(value), dict) and not is_bound


def texts_of(part: BaseModel) -> Iterator[tuple[str, str]]:
    """Yield ("Part.key", text) of every text in a description, names of things included."""
    for key in type(part).model_fields:
        yield from _texts(f"{type(part).__name__}.{key}", getattr(part, key))


def _texts(place: str, value: object) -> Iterator[tuple[str, str]]:
    if isinstance(value, str):
        yield place, value
    elif isinstance(value, BaseModel):
        yield from texts_of(value)
    elif isinstance(value, dict):
        for name, inner in value.items():
            yield f"{place} of", str(name)
            yield from _texts(place, inner)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from _texts(place, inner)
