from __future__ import annotations

import csv
import io
import json

import numpy as np
import pandas as pd
import pytest

from reportgen.pages.table_text import ROWS_AT_ONCE, csv_text, geojson_text

TABLE = pd.DataFrame(
    {
        "walk": ["a, b", '=1+1 "x"', None, "plain"],
        "time_utc": pd.to_datetime(
            ["2026-03-01T10:00:00.5Z", None, "2026-03-01T10:00:01Z", "2026-03-01T10:00:02Z"],
            format="ISO8601",
        ),
        "counter": pd.array([1, None, 65535, 0], dtype="Int64"),
        "is_own": [True, False, True, False],
        "rssi_dbm": [-101.0, np.nan, -87.25, -0.001],
        "frequency_hz": [868_100_000.0, np.nan, 868_300_000.0, 1.0],
        "exponent": [2.0, 3.25, np.nan, -1.5],
        "latitude_deg": [47.123456789, 1.0, 2.0, 3.0],
        "longitude_deg": [-31.25, 1.0, 2.0, 3.0],
    }
)


def cells(table: pd.DataFrame) -> list[list[str]]:
    return list(csv.reader(io.StringIO("".join(csv_text(table, tuple(table.columns))), newline="")))


def test_each_kind_of_cell_is_written_as_it_is_meant() -> None:
    assert cells(TABLE)[1:] == [
        ["a, b", "2026-03-01T10:00:00.500Z", "1", "true", "-101.0", "868100000", "2", "47.1234568",
         "-31.25"],
        ["'=1+1 \"x\"", "", "", "false", "", "", "3.25", "1.0", "1.0"],
        ["", "2026-03-01T10:00:01.000Z", "65535", "true", "-87.25", "868300000", "", "2.0", "2.0"],
        ["plain", "2026-03-01T10:00:02.000Z", "0", "false", "0.0", "1", "-1.5", "3.0", "3.0"],
    ]  # fmt: skip


def test_no_row_is_lost_or_doubled_where_a_part_of_the_table_ends() -> None:
    count = 2 * ROWS_AT_ONCE + 3
    table = pd.DataFrame({"frame": np.arange(count)})

    assert [int(row[0]) for row in cells(table)[1:]] == list(range(count))


def test_the_geojson_holds_what_the_table_holds() -> None:
    document = json.loads("".join(geojson_text(TABLE, ("walk", "counter", "rssi_dbm", "is_own"))))

    assert [item["properties"] for item in document["features"]] == [
        {"walk": "a, b", "counter": 1, "rssi_dbm": -101.0, "is_own": True},
        {"walk": '=1+1 "x"', "counter": None, "rssi_dbm": None, "is_own": False},
        {"walk": None, "counter": 65535, "rssi_dbm": -87.25, "is_own": True},
        {"walk": "plain", "counter": 0, "rssi_dbm": 0.0, "is_own": False},
    ]
    assert document["features"][0]["geometry"]["coordinates"] == pytest.approx([-31.25, 47.1234568])


def test_no_receptions_are_a_whole_file_all_the_same() -> None:
    assert json.loads("".join(geojson_text(TABLE.iloc[:0], ("walk",))))["features"] == []
    assert cells(TABLE.iloc[:0]) == [list(TABLE.columns)]
