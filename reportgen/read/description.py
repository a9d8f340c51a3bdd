"""The campaign description: YAML in, checked description out, every fault with its line."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pydantic import ValidationError

from reportgen.errors import CampaignError, Problem, Severity, Where
from reportgen.read.description_checks import check_description
from reportgen.read.description_problem import Locate
from reportgen.read.description_salvage import salvaged
from reportgen.read.description_schema import Description
from reportgen.read.reading import campaign_file
from reportgen.read.schema_files import key_at, known_keys
from reportgen.read.suggestion import nearest_advice
from reportgen.read.yaml_text import KeyPath, YamlDocument, dotted, read_yaml

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

DESCRIPTION_NAME = "campaign.yaml"

PROBLEM_CODES = (
    ("description/missing", "The folder holds no campaign description."),
    ("description/empty", "The description holds no keys."),
    ("description/unknown-key", "A key that means nothing here, perhaps misspelt."),
    ("description/missing-key", "A key that must be there is not."),
    ("description/key-name", "A name chosen by the author does not fit."),
    ("description/value", "A value is of the wrong kind, or outside its limits."),
)

_KINDS = {
    "string_type": "text",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "bool_type": "true or false",
    "list_type": "a list: lines that begin with a hyphen",
    "dict_type": "keys, indented below it",
    "model_type": "keys, indented below it",
    "string_too_short": "some text",
    "too_short": "at least one entry",
}
_KEY_RULE = "lower-case letters, digits and single hyphens, such as north-loop"


@dataclass(frozen=True, slots=True, kw_only=True)
class DescriptionReading:
    """What was understood of a description, and everything that is wrong with it.

    `locate` gives the line and column of a key, of its nearest parent where it is absent. Where
    there are errors, `description` is what can still be understood: good for trying the files
    that it names, and for nothing else.
    """

    description: Description
    locate: Locate
    problems: tuple[Problem, ...]
    are_rows_readable: bool = True

    @property
    def errors(self) -> tuple[Problem, ...]:
        """What keeps the description from being used."""
        return tuple(item for item in self.problems if item.severity is Severity.ERROR)


def read_description(root: Path, name: str = DESCRIPTION_NAME) -> tuple[Description, Locate]:
    """Read and check the description of the campaign in folder `root`.

    Returns
    -------
    (description, locate)
        `locate` as in `DescriptionReading`.

    Raises
    ------
    CampaignError
        With every error found at once: of the text, or of keys, values and what they say together.
    """
    reading = read_usable_description(root, name)
    if reading.errors:
        raise CampaignError(reading.errors)
    return reading.description, reading.locate


def read_usable_description(root: Path, name: str = DESCRIPTION_NAME) -> DescriptionReading:
    """Read the description as far as it can be understood.

    Raises
    ------
    CampaignError
        If nothing can: it is missing, no YAML, or nothing is left without its faults.
    """
    document = _document(root, name)
    try:
        # Strict, by way of JSON: the one mode that takes tables for parts and guesses no values.
        description = Description.model_validate_json(json.dumps(document.value), strict=True)
    except ValidationError as error:
        return _salvaged(error.errors(include_url=False), document)
    return DescriptionReading(
        description=description,
        locate=document.where,
        problems=check_description(description, document.where),
    )


def _document(root: Path, name: str) -> YamlDocument:
    # A link that leads nowhere is there, and another fault than none at all.
    if not os.path.lexists(root / name):
        raise CampaignError([_no_description(root, name)])
    document = read_yaml(campaign_file(root, name, asked_at=Where(path=name)))
    if not isinstance(document.value, dict) or not document.value:
        raise CampaignError([_empty(document)])
    return document


_TRUE_OF_ANY_PART = frozenset(
    (
        "description/gap",
        "description/same-id",
        "description/time-zone",
        "description/time",
        "description/encoding",
        "description/same-camera",
        "description/tiles-address",
    )
)
"""What is wrong whatever else of the description had to be left out."""


def _salvaged(details: list[ErrorDetails], document: YamlDocument) -> DescriptionReading:
    problems = _problems(details, document)
    salvage = salvaged(document, details)
    if salvage is None:
        raise CampaignError(problems)
    problems += [
        problem
        for problem in check_description(salvage.description, document.where)
        if problem.code in _TRUE_OF_ANY_PART
    ]
    return DescriptionReading(
        description=salvage.description,
        locate=document.where,
        problems=tuple(sorted(problems, key=lambda problem: problem.where)),
        are_rows_readable=salvage.are_rows_readable,
    )


def _no_description(root: Path, name: str) -> Problem:
    return Problem(
        where=Where(path=name),
        code="description/missing",
        severity=Severity.ERROR,
        found=f"no file {name} in the folder {root.name or root}",
        expected=f"a campaign folder, which holds {name}",
        do="name another folder, or let `reportgen begin` write a first description there",
    )


def _empty(document: YamlDocument) -> Problem:
    return Problem(
        where=Where(path=document.name),
        code="description/empty",
        severity=Severity.ERROR,
        found="no keys",
        expected="keys such as title, time_zone, stations, nodes and walks",
        do="write them; `reportgen begin` in an empty folder shows how they look",
    )


def _problems(details: list[ErrorDetails], document: YamlDocument) -> list[Problem]:
    """Return one problem per place, in the order of the file."""
    grouped: dict[tuple[KeyPath, str], list[ErrorDetails]] = {}
    for detail in _without_untried(details, document):
        path = document.part_of(detail["loc"])
        missing = str(detail["loc"][-1]) if detail["type"] == "missing" else ""
        grouped.setdefault((path, missing), []).append(detail)
    problems = [_problem(path, group, document) for (path, _), group in grouped.items()]
    return sorted(problems, key=lambda problem: problem.where)


def _without_untried(details: Iterable[ErrorDetails], document: YamlDocument) -> list[ErrorDetails]:
    """Drop complaints of "text would do as well" where the author wrote keys."""
    details = list(details)
    parts = {
        detail["loc"][:index]
        for detail in details
        for index, step in enumerate(detail["loc"])
        if str(step).endswith("Part") and not document.holds(*detail["loc"][: index + 1])
    }
    return [
        detail
        for detail in details
        if not (
            detail["loc"][:-1] in parts
            and detail["loc"][-1] in ("str", "int")
            and isinstance(detail["input"], dict)
        )
    ]


def _problem(path: KeyPath, group: list[ErrorDetails], document: YamlDocument) -> Problem:
    kind = group[0]["type"]
    if kind == "missing":
        return _missing(path, str(group[0]["loc"][-1]), document)
    if kind == "extra_forbidden":
        return _unknown(path, document)
    if group[0]["loc"][-1] == "[key]":
        return _bad_name(path, group[0], document)
    expected = " or ".join(dict.fromkeys(_expected(detail) for detail in group))
    described = key_at(path)
    meaning = f" ({described.meaning})" if described else ""
    return Problem(
        where=document.where_value(*path),
        code="description/value",
        severity=Severity.ERROR,
        found=f"{dotted(path)} = {_shown(path, group[0]['input'], document)}",
        expected=expected + meaning,
        do=_advice(path, group, document),
    )


def _missing(path: KeyPath, name: str, document: YamlDocument) -> Problem:
    described = key_at((*path, name))
    return Problem(
        where=document.where(*path),
        code="description/missing-key",
        severity=Severity.ERROR,
        found=f"no key {name}" + (f" in {dotted(path)}" if path else ""),
        expected=f"{name}: {described.meaning}" if described else name,
        do=f"add the key {name}",
    )


def _unknown(path: KeyPath, document: YamlDocument) -> Problem:
    known = known_keys(path[:-1])
    return Problem(
        where=document.where(*path),
        code="description/unknown-key",
        severity=Severity.ERROR,
        found=f"the key {path[-1]}" + (f" in {dotted(path[:-1])}" if path[:-1] else ""),
        expected="one of " + ", ".join(known),
        do=nearest_advice(str(path[-1]), known) or "delete the key, or see campaign-keys.md",
    )


def _bad_name(path: KeyPath, detail: ErrorDetails, document: YamlDocument) -> Problem:
    allowed = _alternatives(detail)
    return Problem(
        where=document.where(*path),
        code="description/key-name",
        severity=Severity.ERROR,
        found=f"the name {path[-1]!r} in {dotted(path[:-1])}",
        expected="one of " + ", ".join(allowed) if allowed else _KEY_RULE,
        do=nearest_advice(str(path[-1]), allowed) or "rename it here and wherever it is named",
    )


def _alternatives(detail: ErrorDetails) -> tuple[str, ...]:
    context: Mapping[str, object] = detail.get("ctx", {})
    found = re.findall(r"'([^']*)'", str(context.get("expected", "")))
    return tuple(text for text in found if text)


def _expected(detail: ErrorDetails) -> str:
    kind = detail["type"]
    if kind == "literal_error":
        return "one of " + ", ".join(_alternatives(detail))
    if kind == "string_pattern_mismatch":
        return _KEY_RULE
    if kind == "string_too_long":
        return f"text of at most {detail['ctx']['max_length']} characters"
    return _KINDS.get(kind) or detail["msg"].replace("Input should be ", "a number ")


def _shown(path: KeyPath, value: object, document: YamlDocument) -> str:
    if value is None or value == "":
        return "nothing"
    if isinstance(value, dict):
        return "keys" if value else "no keys"
    if isinstance(value, list):
        return "a list"
    text = document.text(*path) or str(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _advice(path: KeyPath, group: list[ErrorDetails], document: YamlDocument) -> str:
    value = group[0]["input"]
    kinds = {detail["type"] for detail in group}
    if "string_type" in kinds and isinstance(value, int | float):
        return f'put it in quotes: "{document.text(*path)}"'
    if value is None or value in ("", [], {}):
        described = key_at(path)
        is_needed = described is not None and described.is_required
        return "fill it in" if is_needed else "fill it in, or delete the line"
    if kinds & {"float_type", "int_type"} and isinstance(value, str):
        return "write a bare number, without unit and without quotes"
    if "bool_type" in kinds and isinstance(value, str):
        return "write true or false, without quotes"
    return nearest_advice(str(value), _alternatives(group[0])) or "correct the value"
