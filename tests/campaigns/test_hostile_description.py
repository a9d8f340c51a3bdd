"""Every text from outside is shown as text, which a browser test sees to, or refused.

What is taken away is text as well, for a spreadsheet and for a program.
"""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import get_args

import pytest

from reportgen.cli.building import build_report
from reportgen.errors import CampaignError, Severity
from reportgen.read.description import read_description
from reportgen.read.description_schema import FieldName
from reportgen.read.folder import read_campaign
from tests.campaigns.hostile import FORMULA, LOG_FIELDS, WORD, Payloads, hostile_campaign
from tests.campaigns.schema_texts import free_texts, texts_of

Path_ = tuple[str | int, ...]
REFUSED: dict[str, tuple[Path_, str]] = {
    "CameraPart.time_zone": (("photos", "cameras", 0, "time_zone"), "time-zone"),
    "Description.time_zone": (("time_zone",), "time-zone"),
    "LogFormatPart.comment": (("log_formats", "table", "comment"), "value"),
    "LogFormatPart.encoding": (("log_formats", "table", "encoding"), "encoding"),
    "LogFormatPart.separator": (("log_formats", "table", "separator"), "value"),
    "LogFormatPart.time_zone": (("log_formats", "table", "time_zone"), "time-zone"),
    "TilesPart.address": (("tiles", "address"), "tiles-address"),
    "WalkPart.end": (("walks", "loop", "end"), "time"),
    "WalkPart.start": (("walks", "loop", "start"), "time"),
}
"""Texts that must be something particular: where one stands, and the problem that refuses it."""
ALIKE = {"WalkPart.logs"}
"""A bare path, read as LogPart.file; with two formats it can't stand."""


def test_every_free_text_of_the_schema_carries_a_payload(tmp_path: Path) -> None:
    """A key that is added later must not be forgotten: this fails until it has one."""
    description, _ = read_description(hostile_campaign(tmp_path).folder)

    filled = {place for place, text in texts_of(description) if WORD in text}

    assert len(free_texts()) > 40
    assert free_texts() - filled == set(REFUSED) | ALIKE


@pytest.mark.parametrize(("path", "code"), REFUSED.values(), ids=list(REFUSED))
def test_a_text_that_must_be_something_particular_refuses_a_payload(
    tmp_path: Path, path: Path_, code: str
) -> None:
    folder = hostile_campaign(tmp_path).folder
    description = json.loads((folder / "campaign.yaml").read_text("utf-8"))
    part = description
    for key in path[:-1]:
        part = part[key]
    part[path[-1]] = Payloads().text("here")
    (folder / "campaign.yaml").write_text(json.dumps(description), encoding="utf-8")

    with pytest.raises(CampaignError) as caught:
        read_campaign(folder)

    errors = [found for found in caught.value.problems if found.severity is Severity.ERROR]
    assert [found.code for found in errors] == [f"description/{code}"]


def test_every_field_of_a_log_has_a_cell_with_a_payload() -> None:
    assert set(LOG_FIELDS) == set(get_args(FieldName))


@pytest.mark.slow
def test_nothing_that_is_taken_away_holds_a_cell_that_runs(tmp_path: Path) -> None:
    """The names of data rates stand in the tables as a stranger wrote them."""
    campaign = hostile_campaign(tmp_path)
    report = build_report(campaign.folder, tmp_path / "site", lambda _: None, strict=False)
    assert report.index is not None
    cells: set[str] = set()
    for path in sorted((report.index.parent / "data").iterdir()):
        text = path.read_bytes().decode()
        if path.suffix == ".csv":
            cells.update(cell for row in csv.reader(text.splitlines(keepends=True)) for cell in row)
        elif path.suffix in (".json", ".geojson"):
            json.loads(text)

    assert f"'{FORMULA}" in cells
    assert any(cell.startswith(WORD) for cell in cells)
    assert [cell for cell in cells if cell[:1] in "=+@-" and cell and not _is_number(cell)] == []


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True
