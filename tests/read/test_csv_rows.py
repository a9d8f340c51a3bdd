"""Text tables: separators, headings, quotes, and the line of each row."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from reportgen.errors import LONGEST_FOUND, CampaignError, Severity
from tests.read.log_files import LEVELS, codes, only_problem, read_log, set_aside

TABLE = """\
time,node,station,rssi
2026-03-03T10:00:00Z,A1,gw,-71.5
2026-03-03T10:00:10Z,A1,gw,-72
"""


def levels(rssi: pd.Series) -> list[float]:
    return [float(value) for value in rssi]


@pytest.mark.parametrize(
    "separator", [",", ";", "\t", "|", " ", "   "], ids=["comma", "semi", "tab", "bar", "1", "3"]
)
def test_separator_is_found_from_the_first_lines(tmp_path: Path, separator: str) -> None:
    """Nobody knows offhand what a logger writes; runs of blanks count as one separator."""
    reading = read_log(tmp_path, TABLE.replace(",", separator))

    assert levels(reading.table["rssi_dbm"]) == [-71.5, -72.0]
    assert list(reading.table["line"]) == [2, 3]
    assert reading.problems == ()


@pytest.mark.parametrize("separator", [",", ";", "\t", "|", " "])
def test_declared_separator_is_used(tmp_path: Path, separator: str) -> None:
    """The author's word goes before what the first lines look like."""
    reading = read_log(tmp_path, TABLE.replace(",", separator), separator=separator)

    assert levels(reading.table["rssi_dbm"]) == [-71.5, -72.0]


def test_decimal_comma_with_semicolons(tmp_path: Path) -> None:
    """The usual spreadsheet export of half of Europe."""
    text = TABLE.replace(",", ";").replace("-71.5", "-71,5")

    assert levels(read_log(tmp_path, text, decimal=",").table["rssi_dbm"]) == [-71.5, -72.0]


def test_decimal_commas_do_not_pass_for_separators(tmp_path: Path) -> None:
    """As many commas as one could wish for, in every row; the format says what they are."""
    rows = "".join(f"2026-03-03T10:00:0{second}Z;gw;-71,5;7,5;38,7\n" for second in range(3))
    fields = {"time": 1, "station": 2}

    assert read_log(tmp_path, rows, fields, header=False, decimal=",").account.used == 3


def test_decimal_comma_in_quoted_cells_of_a_comma_table(tmp_path: Path) -> None:
    """Legal, if unwise; the comma is still found as the separator."""
    text = TABLE.replace("-71.5", '"-71,5"')

    assert levels(read_log(tmp_path, text, decimal=",").table["rssi_dbm"]) == [-71.5, -72.0]


def test_semicolon_inside_of_quoted_cells_is_not_taken_for_the_separator(tmp_path: Path) -> None:
    """Every row holds one semicolon, as if there were two columns."""
    text = TABLE.replace("A1", '"A1;x"')
    fields = {**LEVELS, "node": {"value": "A1"}}

    assert read_log(tmp_path, text, fields).account.used == 2


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_line_ends_and_marks_do_not_matter(tmp_path: Path, ending: str, encoding: str) -> None:
    """Loggers, spreadsheets and editors disagree on both."""
    content = TABLE.replace("\n", ending).encode(encoding)
    reading = read_log(tmp_path, content)

    assert list(reading.table["line"]) == [2, 3]
    assert reading.problems == ()


def test_log_without_last_line_end_keeps_its_last_row(tmp_path: Path) -> None:
    assert read_log(tmp_path, TABLE.rstrip("\n")).account.used == 2


@pytest.mark.parametrize("content", ["", "\n\n", "\ufeff", "  \r\n"])
def test_empty_log_is_a_warning_and_an_account_of_nothing(tmp_path: Path, content: str) -> None:
    """A walk on which nothing was heard must still build."""
    reading = read_log(tmp_path, content)

    assert (reading.account.read, reading.account.used, len(reading.table)) == (0, 0, 0)
    assert [(problem.code, problem.severity) for problem in reading.problems] == [
        ("file/empty", Severity.WARNING)
    ]


def test_log_with_headings_only_is_a_warning(tmp_path: Path) -> None:
    reading = read_log(tmp_path, "time,node,station,rssi\n")

    assert (reading.account.read, codes(reading)) == (0, ["log/no-rows"])


def test_missing_column_names_the_nearest_and_all_headings(tmp_path: Path) -> None:
    """The message must be enough to correct the format without opening the log."""
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, TABLE.replace("rssi", " RSSI (dBm)"), {**LEVELS, "rssi_dbm": "rssi dbm"})

    problem = only_problem(caught.value)
    assert problem.code == "csv/heading-unknown"
    assert str(problem.where) == "walk.csv:1"
    assert problem.found == (
        "no column 'rssi dbm'; the headings are 'time', 'node', 'station', 'RSSI (dBm)'"
    )
    assert "RSSI (dBm)" in problem.do


def test_every_missing_column_is_named_at_once(tmp_path: Path) -> None:
    """One run, all errors."""
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, TABLE, {**LEVELS, "snr_db": "snr", "counter": 9, "height_m": 0})

    assert [problem.found.partition(";")[0] for problem in caught.value.problems] == [
        "no column 'snr'",
        "column 9 in a log of 4 columns",
        "column 0 in a log of 4 columns",
    ]


def test_headings_are_compared_without_case_and_surplus_blanks(tmp_path: Path) -> None:
    text = TABLE.replace("rssi", "  RSSI   (dBm) ")

    assert read_log(tmp_path, text, {**LEVELS, "rssi_dbm": "rssi (dbm)"}).account.used == 2


def test_heading_that_stands_twice_is_an_error_if_it_is_asked_for(tmp_path: Path) -> None:
    """Taking either would be a guess."""
    text = "rssi,time,node,station,RSSI\n-1,2026-03-03T10:00:00Z,A1,gw,-71\n"

    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, text)
    assert only_problem(caught.value).found == "heading 'rssi' over columns 1 and 5"

    by_number = read_log(tmp_path, text, {**LEVELS, "rssi_dbm": 5})
    assert levels(by_number.table["rssi_dbm"]) == [-71.0]


def test_columns_by_number_need_no_headings(tmp_path: Path) -> None:
    rows = TABLE.partition("\n")[2]
    fields = {"time": 1, "node": 2, "station": 3, "rssi_dbm": 4}
    reading = read_log(tmp_path, rows, fields, header=False)

    assert list(reading.table["line"]) == [1, 2]
    assert levels(reading.table["rssi_dbm"]) == [-71.5, -72.0]


def test_heading_in_a_format_without_headings_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, TABLE, header=False)

    assert {problem.code for problem in caught.value.problems} == {"csv/heading-missing"}


def test_column_that_no_row_has_is_a_warning_without_headings(tmp_path: Path) -> None:
    """One format may serve loggers that write more and fewer columns."""
    rows = TABLE.partition("\n")[2]
    fields = {"time": 1, "node": 2, "station": 3, "rssi_dbm": 4, "snr_db": 7}
    reading = read_log(tmp_path, rows, fields, header=False)

    assert reading.account.used == 2
    assert [problem.found for problem in reading.problems] == [
        "no row has the column 7 of snr_db; the longest has 4"
    ]


def test_columns_are_joined_by_a_blank(tmp_path: Path) -> None:
    text = "date,clock,station\n2026-03-03,10:00:00,gw\n,,gw\n"
    fields = {"time": {"columns": ["date", "clock"]}, "station": "station"}
    reading = read_log(tmp_path, text, fields, time_zone="UTC")

    assert [str(time) for time in reading.table["time_utc"]] == ["2026-03-03 10:00:00+00:00"]
    assert set_aside(reading) == {"log/no-time": (3,)}


def test_wrong_declared_separator_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, TABLE, separator=";")

    problem = only_problem(caught.value)
    assert problem.code == "csv/separator-wrong"
    assert problem.found == "no semicolon in: time,node,station,rssi"


@pytest.mark.parametrize("separator", ['"', "a", "7", "\n", "."])
def test_separator_that_can_separate_nothing_is_an_error(tmp_path: Path, separator: str) -> None:
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, TABLE, separator=separator)

    assert only_problem(caught.value).code == "csv/separator-unusable"


def test_log_without_columns_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, "nothing\nbut\nwords\n")

    assert only_problem(caught.value).code == "csv/separator-unknown"


def test_comments_and_blank_lines_are_no_rows_but_count_as_lines(tmp_path: Path) -> None:
    """Line numbers must lead an editor to the right place."""
    text = "# logger 3\n" + TABLE.replace("\n2026", "\n\n# pause\n2026")
    reading = read_log(tmp_path, text, comment="#")

    assert list(reading.table["line"]) == [5, 8]
    assert reading.account.read == 2


def test_quoted_cells_may_hold_separators_quotes_and_line_breaks(tmp_path: Path) -> None:
    """RFC 4180, section 2, rules 5 to 7; the row after a line break keeps its own line."""
    text = TABLE.replace("A1", '"A1"').replace("rssi\n", "rssi,note\n")
    text = text.replace("-71.5\n", '-71.5,"tree, ""old""\n# no comment"\n').replace("-72", "-72,")
    reading = read_log(tmp_path, text, comment="#")

    assert list(reading.table["line"]) == [2, 4]
    assert reading.account.read == 2


def test_long_notes_may_run_over_several_lines(tmp_path: Path) -> None:
    note = '"' + "\n".join(f"remark {number}" for number in range(40)) + '"'
    reading = read_log(tmp_path, TABLE.replace("A1", note), {**LEVELS, "node": {"value": "A1"}})

    assert list(reading.table["line"]) == [2, 42]


def test_quote_that_never_closes_costs_its_own_row_only(tmp_path: Path) -> None:
    """Read naively it would swallow the rest of the walk."""
    text = TABLE + '2026-03-03T10:00:20Z,"A1,gw,-73\n2026-03-03T10:00:30Z,A1,gw,-74\n'
    reading = read_log(tmp_path, text)

    assert list(reading.table["line"]) == [2, 3, 5]
    assert set_aside(reading) == {"csv/quote": (4,)}
    assert reading.account.set_aside[0].is_fault


def test_two_stray_quotes_do_not_hide_the_rows_between_them(tmp_path: Path) -> None:
    broken = '2026-03-03T10:00:20Z,"A1,gw,-73\n'
    text = TABLE + broken + "2026-03-03T10:00:30Z,A1,gw,-74\n" + broken
    reading = read_log(tmp_path, text)

    assert list(reading.table["line"]) == [2, 3, 5]
    assert set_aside(reading) == {"csv/quote": (4, 6)}


def test_many_stray_quotes_are_read_in_reasonable_time(tmp_path: Path) -> None:
    """Each one looks ahead; without a limit the work would grow with the square."""
    row = '2026-03-03T10:00:20Z,"A1,gw\n'
    reading = read_log(tmp_path, TABLE + row.replace('"', "").replace("gw", "gw,-1,x") + row * 3000)

    assert reading.account.read == 3003
    assert len(set_aside(reading)["csv/quote"]) == 3000


def test_cell_beyond_any_length_is_a_fault(tmp_path: Path) -> None:
    reading = read_log(tmp_path, TABLE + "x" * 200_000 + ",A1,gw,-73\n" + TABLE.split("\n")[1][:-5])

    assert set_aside(reading)["csv/quote"] == (4,)
    assert reading.account.set_aside[0].reason == "a cell of more than 131072 characters"


def test_nul_block_of_a_power_cut_is_a_fault(tmp_path: Path) -> None:
    text = TABLE.replace("2026-03-03T10:00:10Z", "\0" * 512 + "2026-03-03T10:00:10Z")

    assert set_aside(read_log(tmp_path, text)) == {"csv/nul-bytes": (3,)}


def test_headings_that_cannot_be_read_are_an_error(tmp_path: Path) -> None:
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, "\0" * 9 + TABLE, separator=",")

    assert {problem.code for problem in caught.value.problems} <= {
        "csv/headings-unreadable",
        "csv/separator-wrong",
    }


def test_short_row_has_empty_cells_at_its_end(tmp_path: Path) -> None:
    reading = read_log(tmp_path, TABLE + "2026-03-03T10:00:20Z,A1,gw\n")

    assert reading.account.used == 3
    assert reading.table["rssi_dbm"].isna().tolist() == [False, False, True]


def test_row_with_more_cells_than_headings_is_a_fault(tmp_path: Path) -> None:
    """Very likely a decimal comma; its cells stand in the wrong columns."""
    reading = read_log(tmp_path, TABLE + "2026-03-03T10:00:20Z,A1,gw,-73,5\n")

    assert set_aside(reading) == {"csv/long-row": (4,)}


def test_separator_at_the_end_of_rows_is_no_fault(tmp_path: Path) -> None:
    reading = read_log(tmp_path, TABLE.replace("-71.5", "-71.5,").replace("-72", "-72, ,"))

    assert reading.account.used == 2


def test_headings_repeated_by_a_restart_are_set_aside(tmp_path: Path) -> None:
    reading = read_log(tmp_path, TABLE + "Time,node,station,RSSI\n" + TABLE.split("\n")[1][:-4])

    assert set_aside(reading)["csv/headings-repeated"] == (4,)


def test_identifiers_stay_as_they_are_written(tmp_path: Path) -> None:
    """0012, 1E5 and NA are names here, not numbers or gaps."""
    text = "time,station\n" + "".join(
        f"2026-03-03T10:00:0{index}Z,{name}\n" for index, name in enumerate(["0012", "1E5", "NA"])
    )
    reading = read_log(tmp_path, text, {"time": "time", "station": "station"})

    assert list(reading.table["station_id"]) == ["0012", "1E5", "NA"]


def test_a_thousand_headings_are_not_all_told(tmp_path: Path) -> None:
    """Found by the fuzzer: what is said of a column that is missing grew with the file."""
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, ",".join(f"heading {n}" for n in range(1000)) + "\n")

    assert all(len(problem.found) <= LONGEST_FOUND for problem in caught.value.problems)
    assert caught.value.problems[0].found.endswith("...")
