"""The schema and the table of keys say what the reader accepts."""

from __future__ import annotations

import json
from typing import cast

import pytest
from jsonschema import Draft7Validator  # type: ignore[import-untyped]  # ships no types

from reportgen.read.description_schema import Description
from reportgen.read.schema_files import (
    described_keys,
    description_keys_text,
    description_schema_text,
    key_at,
    known_keys,
)
from reportgen.read.yaml_text import parse_yaml
from tests.read.description_text import DESCRIPTION


@pytest.fixture(scope="module")
def validator() -> Draft7Validator:
    schema = json.loads(description_schema_text())
    Draft7Validator.check_schema(schema)
    return Draft7Validator(schema)


def test_the_schema_accepts_what_the_reader_accepts(validator: Draft7Validator) -> None:
    assert list(validator.iter_errors(parse_yaml(DESCRIPTION, "c.yaml").value)) == []


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("titel: x", "titel"),
        ("overlays: [{file: a, colour: red}]", "colour"),
        ("matching: {photo_radius_m: -1}", "-1"),
        ("publish: {identifiers: yes}", "yes"),
    ],
)
def test_the_schema_rejects_what_the_reader_rejects(
    validator: Draft7Validator, line: str, said: str
) -> None:
    """An editor marks the fault while it is being written."""
    document = parse_yaml(DESCRIPTION + line + "\n", "c.yaml").value

    assert any(said in error.message for error in validator.iter_errors(document))


def test_the_schema_speaks_the_draft_that_editors_know() -> None:
    text = description_schema_text()

    assert json.loads(text)["$schema"] == "http://json-schema.org/draft-07/schema#"
    assert "$defs" not in text


def test_every_key_of_the_description_stands_in_the_table_with_a_meaning() -> None:
    keys = described_keys()

    assert {key.path[0] for key in keys} == set(Description.model_fields)
    assert [key.path for key in keys if not key.meaning] == []
    assert all(f"| `{'.'.join(key.path)}` |" in description_keys_text() for key in keys)


@pytest.mark.parametrize(
    ("path", "kind", "unit", "default"),
    [
        ("time_zone", "text", "", "—"),
        ("radio.frequency_mhz", "number from 1 to 100000", "MHz", "nothing"),
        (
            "stations.<key>.feeder.loss_per_100m_db",
            "number from 0 to 1000",
            "dB per 100 m",
            "nothing",
        ),
        ("stations.<key>.own", "true or false", "", "false"),
        (
            "walks.<key>.logs.<n>.clock_ahead_s",
            "number from -100000000 to 100000000",
            "s",
            "0.0",
        ),
        ("photos.files.<key>.sight_line", "`clear`, `partly blocked`, `blocked`", "", "nothing"),
        ("log_formats.<key>.fields.<key>.column", "text or whole number", "", "nothing"),
    ],
)
def test_the_table_states_kind_unit_and_default(
    path: str, kind: str, unit: str, default: str
) -> None:
    (key,) = (key for key in described_keys() if ".".join(key.path) == path)

    assert (key.kind, key.unit, key.default) == (kind, unit, default)


def test_a_bar_in_a_meaning_does_not_break_the_table() -> None:
    rows = [line for line in description_keys_text().splitlines() if line.startswith("| `")]

    assert {row.replace("\\|", "").count("|") for row in rows} == {6}


def test_keys_are_found_below_names_that_the_author_chose() -> None:
    found = key_at(("photos", "files", "IMG 1.jpg", "caption"))

    assert found is not None
    assert found.meaning == "What it shows."
    assert known_keys(("walks", "north", "logs", 0)) == ("file", "format", "clock_ahead_s")
    assert known_keys(("stations",)) == cast("tuple[str, ...]", ())
