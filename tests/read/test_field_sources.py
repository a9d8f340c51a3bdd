"""The mapping of a format: every mistake in it is named before a row is read."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from reportgen.errors import CampaignError
from tests.read.log_files import FIELDS, LEVELS, only_problem, read_log, set_aside

TABLE = """\
time,node,station,rssi,snr,rate
2026-03-03T10:00:00Z,A1,gw,-71.5,0,DR8
2026-03-03T10:00:10Z,A1,gw,-72,0.0,DR0
2026-03-03T10:00:20Z,A1,gw,127,5,dr8
"""


@pytest.mark.parametrize(
    ("part", "said"),
    [
        ({}, "no place"),
        ({"columns": []}, "no place"),
        ({"column": "rssi", "value": -7}, "column and value"),
        ({"column": 1, "columns": [1, 2]}, "column and columns"),
        ("/rssi", "pointer"),
    ],
)
def test_field_with_no_or_two_places_is_an_error(tmp_path: Path, part: object, said: str) -> None:
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, TABLE, {**FIELDS, "rssi_dbm": part})

    problem = only_problem(caught.value)
    assert problem.code == "log/field-source"
    assert problem.found == f"field rssi_dbm with {said}"


def test_column_in_json_lines_is_an_error(tmp_path: Path) -> None:
    """A pointer without its slash is the likeliest slip."""
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, "{}", {"time": "/at", "station": "gw"}, kind="json lines")

    problem = only_problem(caught.value)
    assert problem.found == "field station with column"
    assert problem.expected.endswith("a pointer begins with /")


def test_pattern_that_is_no_regular_expression_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, TABLE, {**FIELDS, "counter": {"column": 1, "pattern": "(["}})

    problem = only_problem(caught.value)
    assert problem.code == "log/field-pattern"
    assert "([" in problem.found


@pytest.mark.parametrize(
    "keys",
    [
        {"keep_when": {"data_rate": ["DR0"]}},
        {"rssi": {"column": "rssi", "not_measured": [0], "not_measured_when": {"data_rate": []}}},
    ],
    ids=["keep_when", "not_measured_when"],
)
def test_condition_on_a_field_that_is_not_mapped_is_an_error(
    tmp_path: Path, keys: dict[str, object]
) -> None:
    """It would silently hold for no row at all."""
    rssi = keys.pop("rssi", "rssi")
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, TABLE, {**FIELDS, "rssi_dbm": rssi}, None, **keys)

    problem = only_problem(caught.value)
    assert problem.code == "log/field-unmapped"
    assert "data_rate, a field that the format does not map" in problem.found


def test_all_mistakes_are_reported_together(tmp_path: Path) -> None:
    fields = {**FIELDS, "rssi_dbm": {}, "snr_db": {"column": 1, "pattern": "("}}
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, TABLE, fields, keep_when={"counter": ["1"]})

    assert len(caught.value.problems) == 3


@pytest.mark.parametrize(
    ("pattern", "counter"),
    [("([0-9]+)#", 17), ("[0-9]+", 17), ("x([0-9]+)", None), ("(x)?17", None)],
)
def test_pattern_gives_its_first_group_or_the_whole_match(
    tmp_path: Path, pattern: str, counter: int | None
) -> None:
    """Counters stand at the beginning of payloads; a payload without one is an empty field."""
    text = "time,station,data\n2026-03-03T10:00:00Z,gw,17####\n"
    fields = {
        "time": "time",
        "station": "station",
        "counter": {"column": "data", "pattern": pattern},
    }
    found = read_log(tmp_path, text, fields).table["counter"]

    assert [None if number is pd.NA else number for number in found] == [counter]


@pytest.mark.parametrize("listed", [127, "127", 127.0, "127.0", "1.27e2"])
def test_listed_values_are_not_measured(tmp_path: Path, listed: object) -> None:
    """Compared as text and as number: loggers write 127, descriptions 127.0, or the reverse."""
    fields = {**LEVELS, "rssi_dbm": {"column": "rssi", "not_measured": [listed]}}
    rssi = read_log(tmp_path, TABLE, fields).table["rssi_dbm"]

    assert rssi.isna().tolist() == [False, False, True]


def test_not_measured_may_depend_on_another_field(tmp_path: Path) -> None:
    """SNR 0 means 'none' for some modulations, and 0 dB for the others."""
    snr = {"column": "snr", "not_measured": [0], "not_measured_when": {"data_rate": ["DR8"]}}
    fields = {**FIELDS, "snr_db": snr, "data_rate": "rate"}
    found = read_log(tmp_path, TABLE, fields).table["snr_db"]

    assert found.isna().tolist() == [True, False, False]
    assert found.tolist()[1:] == [0.0, 5.0]


def test_rows_not_asked_for_are_set_aside_by_request(tmp_path: Path) -> None:
    fields = {**FIELDS, "data_rate": "rate"}
    reading = read_log(tmp_path, TABLE, fields, keep_when={"data_rate": ["DR8"]})

    assert set_aside(reading) == {"log/not-kept": (3,)}
    assert reading.account.fault_count == 0
    assert reading.account.set_aside[0].reason == "kept are rows whose data_rate is one of DR8"
    assert reading.problems == ()


def test_constant_stands_for_every_row(tmp_path: Path) -> None:
    """A number of the description has a point even where the log has commas."""
    text = TABLE.replace(",", ";").replace(".", ",").replace("127", "-12,7")
    fields = {**LEVELS, "frequency_mhz": {"value": 868.1}, "node": {"value": "a1 "}}
    table = read_log(tmp_path, text, fields, decimal=",").table

    assert table["frequency_hz"].tolist() == [868_100_000.0] * 3
    assert table["node"].tolist() == ["n1"] * 3


def test_bare_number_is_a_column_and_bare_text_a_heading(tmp_path: Path) -> None:
    """Headings may be digits: the third column is headed 1 here."""
    text = "time,gw,1\n2026-03-03T10:00:00Z,2,-7\n"
    table = read_log(tmp_path, text, {"time": 1, "station": "gw", "rssi_dbm": "1"}).table

    assert table["rssi_dbm"].tolist() == [-7.0]
    assert table["station_id"].tolist() == ["2"]
