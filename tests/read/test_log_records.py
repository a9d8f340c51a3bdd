"""Walk logs: rows become records or are set aside with a reason, and none vanishes."""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Mapping
from pathlib import Path

import pandas as pd
import pytest

from reportgen.errors import CampaignError, Severity
from reportgen.model.columns import RECORDS
from reportgen.read.reading import Reading
from tests.read.log_files import FIELDS, LEVELS, codes, context, only_problem, read_log, set_aside

FULL = {
    **LEVELS,
    "snr_db": "snr",
    "counter": "n",
    "frequency_mhz": "mhz",
    "latitude_deg": "lat",
    "longitude_deg": "lon",
    "height_m": "height",
}
HEADINGS = "time;node;station;rssi;snr;n;mhz;lat;lon;height\n"
GOOD = {
    "time": "2026-03-03T10:00:00Z",
    "node": "A1",
    "station": "gw",
    "rssi": "-71",
    "snr": "7.5",
    "n": "12",
    "mhz": "868.1",
    "lat": "38.7",
    "lon": "-9.2",
    "height": "20",
}


def read_rows(folder: Path, *rows: dict[str, str], **keys: object) -> Reading:
    """Read rows that are like GOOD but for what is given."""
    lines = [";".join({**GOOD, **row}.values()) for row in rows]
    return read_log(folder, HEADINGS + "\n".join(lines) + "\n", FULL, None, **keys)


def test_row_becomes_a_record_in_si_units(tmp_path: Path) -> None:
    reading = read_rows(tmp_path, {})
    unknown = {"spreading_factor": None, "bandwidth_hz": None, "transmit_power_dbm": None}
    unknown["position_error_m"] = None

    assert reading.table.columns.tolist() == RECORDS.names
    assert reading.table.iloc[0].to_dict() | unknown == {
        "walk": "loop",
        "file": "walk.csv",
        "line": 2,
        "time_utc": dt.datetime(2026, 3, 3, 10, tzinfo=dt.UTC),
        "node": "n1",
        "station_id": "gw",
        "measured_at": "station",
        "counter": 12,
        "data_rate": "",
        "spreading_factor": None,
        "bandwidth_hz": None,
        "frequency_hz": 868_100_000.0,
        "rssi_dbm": -71.0,
        "snr_db": 7.5,
        "transmit_power_dbm": None,
        "latitude_deg": 38.7,
        "longitude_deg": -9.2,
        "height_msl_m": 20.0,
        "position_error_m": None,
    }
    assert (reading.account.unit, reading.account.path, reading.account.walk) == (
        "rows",
        "walk.csv",
        "loop",
    )
    assert reading.problems == ()


def test_levels_measured_at_the_node_are_marked_so(tmp_path: Path) -> None:
    reading = read_rows(tmp_path, {}, levels_measured_at="node")

    assert reading.table["measured_at"].tolist() == ["node"]


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("-71 dBm", -71.0),
        ("-71dbm", -71.0),
        ("\u221271", -71.0),
        ("-7.1e1", -71.0),
        ("-.5", -0.5),
        ("0", 0.0),
        ("-150", -150.0),
    ],
)
def test_numbers_are_read_as_loggers_write_them(tmp_path: Path, written: str, value: float) -> None:
    """With units, with the typographic minus (U+2212), to the edges of the range."""
    assert read_rows(tmp_path, {"rssi": written}).table["rssi_dbm"].tolist() == [value]


@pytest.mark.parametrize(
    ("column", "written", "code"),
    [
        ("rssi", "NaN", "log/number"),
        ("rssi", "inf", "log/number"),
        ("rssi", "-71,5", "log/number"),
        ("rssi", "-7_1", "log/number"),
        ("rssi", "-71 mW", "log/number"),
        ("rssi", "weak", "log/number"),
        ("rssi", "71", "log/range"),
        ("rssi", "-151", "log/range"),
        ("snr", "61", "log/range"),
        ("n", "-1", "log/range"),
        ("n", "1.5", "log/number"),
        ("n", "0x1A", "log/number"),
        ("n", "1e300", "log/range"),
        ("n", "1e999", "log/number"),
        ("mhz", "868100000", "log/range"),
        ("mhz", "868100 kHz", "log/number"),
        ("lat", "91", "log/range"),
        ("lon", "-180.5", "log/range"),
        ("height", "-20000", "log/range"),
    ],
)
def test_number_that_cannot_be_is_a_fault(
    tmp_path: Path, column: str, written: str, code: str
) -> None:
    reading = read_rows(tmp_path, {"n": "1"}, {column: written})

    assert set_aside(reading) == {code: (3,)}
    assert reading.account.fault_count == 1
    problem = reading.problems[0]
    assert problem.severity is Severity.WARNING
    assert problem.where.line == 3
    assert written in problem.found


def test_message_of_a_number_out_of_range_says_what_to_do(tmp_path: Path) -> None:
    """A person must be able to act on it without the manual."""
    assert str(read_rows(tmp_path, {"rssi": "12"}).problems[0]) == (
        "walk.csv:2  warning  log/range\n"
        "  found     rssi_dbm = 12\n"
        "  expected  a number from -150 to 0 dBm\n"
        "  do        check the logger's units and sign; list values that mean 'none' under "
        "'not_measured'"
    )


def test_whole_number_may_be_written_with_a_point(tmp_path: Path) -> None:
    assert read_rows(tmp_path, {"n": "12.0"}).table["counter"].tolist() == [12]


def test_problems_are_counted_by_code_with_the_first_line(tmp_path: Path) -> None:
    """A thousand bad rows are one message."""
    reading = read_rows(tmp_path, {}, {"rssi": "x"}, {"n": "2"}, {"rssi": "y"})

    (problem,) = reading.problems
    assert (problem.code, problem.count, problem.where.line) == ("log/number", 2, 3)
    assert problem.found == "rssi_dbm = x"
    assert reading.account.set_aside[0].lines == (3, 5)


@pytest.mark.parametrize("node", ["A1", "a1", " A1 "])
def test_node_is_known_by_its_identifier_in_any_case(tmp_path: Path, node: str) -> None:
    assert read_rows(tmp_path, {"node": node}).table["node"].tolist() == ["n1"]


@pytest.mark.parametrize("node", ["A2", "A11", "A", "0xA1"])
def test_other_devices_are_left_out_by_request(tmp_path: Path, node: str) -> None:
    """Neighbours' sensors are no fault; identifiers are compared whole; their rows not examined."""
    reading = read_rows(tmp_path, {}, {"node": node, "rssi": "garbage"})

    assert set_aside(reading) == {"log/another-device": (3,)}
    assert reading.account.fault_count == 0
    assert reading.problems == ()


def test_log_of_other_devices_only_is_a_warning(tmp_path: Path) -> None:
    """Most likely the identifier in the description is wrong."""
    assert codes(read_rows(tmp_path, {"node": "B7"})) == ["log/none-used"]


def test_row_without_node_or_station_is_a_fault(tmp_path: Path) -> None:
    reading = read_rows(tmp_path, {"node": ""}, {"station": " "})

    assert set_aside(reading) == {"log/no-node": (2,), "log/no-station": (3,)}
    assert reading.account.fault_count == 2


def test_log_without_node_field_is_that_of_the_only_node(tmp_path: Path) -> None:
    text = "time,station\n2026-03-03T10:00:00Z,gw\n"
    fields = {"time": "time", "station": "station"}

    assert read_log(tmp_path, text, fields).table["node"].tolist() == ["n1"]
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, text, fields, context(only_node=None))
    problem = only_problem(caught.value)
    assert problem.code == "log/node-unmapped"
    assert "map 'node'" in problem.do


def test_format_must_say_which_station(tmp_path: Path) -> None:
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, "time\n", {"time": "time"})

    problem = only_problem(caught.value)
    assert problem.code == "log/station-unmapped"
    assert "station: {value: ...}" in problem.do


def test_format_must_map_both_coordinates(tmp_path: Path) -> None:
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, "time\n", {**FIELDS, "latitude_deg": "lat"})

    assert only_problem(caught.value).code == "log/position-half-mapped"


def test_format_must_map_time_or_position(tmp_path: Path) -> None:
    """Without either no row could ever be placed."""
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, "node\n", {"node": "node", "station": {"value": "gw"}})

    assert only_problem(caught.value).code == "log/nothing-to-place"


def test_position_before_the_first_fix_is_not_measured(tmp_path: Path) -> None:
    """Receivers write 0, 0 until they know better; a place off Africa would be a false record."""
    reading = read_rows(tmp_path, {"lat": "0.0", "lon": "0", "height": "0"}, {"lat": "0", "n": "2"})

    assert reading.table["latitude_deg"].isna().tolist() == [True, False]
    assert reading.table["longitude_deg"].isna().tolist() == [True, False]
    assert reading.table["height_msl_m"].isna().tolist() == [True, False]
    assert [(problem.code, problem.severity, problem.count) for problem in reading.problems] == [
        ("log/zero-position", Severity.NOTE, 1)
    ]


def test_half_a_position_is_none(tmp_path: Path) -> None:
    reading = read_rows(tmp_path, {"lat": ""})

    assert reading.table["longitude_deg"].isna().tolist() == [True]
    assert codes(reading) == ["log/half-position"]


@pytest.mark.parametrize("time", ["", "yesterday"])
def test_row_without_time_needs_a_position(tmp_path: Path, time: str) -> None:
    """With a place it still tells where something was heard; with neither it tells nothing."""
    reading = read_rows(tmp_path, {"time": time}, {"time": time, "lat": "", "lon": ""})

    assert reading.table["time_utc"].isna().tolist() == [True]
    assert reading.table["line"].tolist() == [2]
    assert set_aside(reading) == {"log/no-time": (3,)}
    assert [(problem.code, problem.where.line) for problem in reading.problems] == [
        ("log/time-unknown", 2),
        ("log/no-time", 3),
    ]


def test_rows_outside_the_walk_are_left_out_by_request(tmp_path: Path) -> None:
    """The limits themselves belong to the walk."""
    rows = [f"2026-03-03T10:0{minute}:00Z,A1,gw,-70" for minute in range(5)]
    limits = context(
        start_utc=dt.datetime(2026, 3, 3, 10, 1, tzinfo=dt.UTC),
        end_utc=dt.datetime(2026, 3, 3, 10, 3, tzinfo=dt.UTC),
    )
    text = "time,node,station,rssi\n" + "\n".join(rows)
    reading = read_log(tmp_path, text, with_context=limits)

    assert reading.table["line"].tolist() == [3, 4, 5]
    assert set_aside(reading) == {"log/outside-walk": (2, 6)}
    assert reading.account.fault_count == 0


def test_row_that_repeats_another_is_set_aside(tmp_path: Path) -> None:
    """An upload that was tried twice must not count twice."""
    reading = read_rows(tmp_path, {}, {}, {"station": "GW"})

    assert set_aside(reading) == {"log/repeated-row": (3, 4)}
    assert reading.problems[0].found == "a row that says what line 2 said"


@pytest.mark.parametrize(
    "change",
    [
        {"station": "g2"},
        {"n": "13"},
        {"rssi": "-72"},
        {"snr": ""},
        {"time": "2026-03-03T10:00:01Z"},
    ],
)
def test_rows_that_differ_stay(tmp_path: Path, change: dict[str, str]) -> None:
    """One frame heard by two stations shares everything but the station."""
    assert read_rows(tmp_path, {}, change).account.used == 2


def test_repeated_timestamp_is_no_repeated_row(tmp_path: Path) -> None:
    """Two data rates can be sent within one second."""
    text = "time,node,station,rate\n" + "".join(
        f"2026-03-03T10:00:00Z,A1,gw,{rate}\n" for rate in ("DR0", "DR5", "DR0")
    )
    reading = read_log(tmp_path, text, {**FIELDS, "data_rate": "rate"})

    assert reading.table["data_rate"].tolist() == ["DR0", "DR5"]
    assert set_aside(reading) == {"log/repeated-row": (4,)}


def test_rows_without_time_are_told_apart_by_place(tmp_path: Path) -> None:
    rows = [{"time": "", "lat": lat} for lat in ("38.7", "38.8", "38.7")]

    assert set_aside(read_rows(tmp_path, *rows)) == {"log/repeated-row": (4,)}


def test_notes_of_rows_that_are_set_aside_are_not_counted(tmp_path: Path) -> None:
    """The count of a note is a count of used rows."""
    assert codes(read_rows(tmp_path, {"lat": "0", "lon": "0", "rssi": "x"})) == [
        "log/number",
        "log/none-used",
    ]


def test_every_row_is_used_or_set_aside(tmp_path: Path) -> None:
    """The promise of the whole tool, over one row of each kind."""
    reading = read_rows(
        tmp_path, {}, {"node": "B2"}, {"rssi": "x"}, {}, {"time": "1980-01-06T00:00:00Z"}
    )

    assert (reading.account.read, reading.account.used) == (5, 1)
    assert reading.account.set_aside_count == 4
    assert reading.account.fault_count == 3


def test_data_rate_of_the_plan_is_filled_in(tmp_path: Path) -> None:
    """The context's regional plan reaches the rows: EU868 DR5 is SF7 at 125 kHz (RP002-1.0.5)."""
    text = "time,node,station,rate\n2026-03-03T10:00:00Z,A1,gw,5\n"
    row = read_log(tmp_path, text, {**FIELDS, "data_rate": "rate"}).table.iloc[0]

    assert (row["data_rate"], row["spreading_factor"], row["bandwidth_hz"]) == ("DR5", 7, 125e3)


def test_a_pattern_that_finds_nothing_is_told_with_its_count(tmp_path: Path) -> None:
    """The levels would be missing from every page, and nobody would know why."""
    fields = {**FULL, "rssi_dbm": {"column": "rssi", "pattern": "RSSI=(.*)"}}
    lines = "\n".join(";".join({**GOOD, "n": str(number)}.values()) for number in range(3))

    reading = read_log(tmp_path, HEADINGS + lines + "\n", fields, None)

    (problem,) = reading.problems
    assert (problem.code, problem.count, problem.where.line) == ("log/pattern-no-match", 3, 2)
    assert problem.found == "rssi_dbm: the pattern RSSI=(.*) finds nothing in -71"
    assert reading.account.used == 3


SENT_FIELDS = {"time": "t", "counter": "n", "transmit_power_dbm": "p", "latitude_deg": "lat",
               "longitude_deg": "lon"}  # fmt: skip


def read_sent(folder: Path, *rows: str, fields: Mapping[str, object] = SENT_FIELDS) -> Reading:
    content = "\n".join(["t,n,p,lat,lon", *rows]) + "\n"
    return read_log(folder, content, fields, rows_are="frames sent")


def test_a_log_of_frames_sent_needs_no_station_and_has_no_levels(tmp_path: Path) -> None:
    reading = read_sent(tmp_path, "2026-03-03T10:00:00Z,7,14,38.7,-9.2")

    (record,) = reading.table.to_dict("records")
    assert (record["measured_at"], record["station_id"], record["node"]) == ("sent", "", "n1")
    assert (record["counter"], record["transmit_power_dbm"]) == (7, 14.0)
    assert (record["latitude_deg"], pd.isna(record["rssi_dbm"])) == (38.7, True)


def test_every_row_of_a_log_of_frames_sent_is_accounted_for(tmp_path: Path) -> None:
    """Faults are faults there, too; what they name was sent, not heard."""
    reading = read_sent(
        tmp_path,
        "2026-03-03T10:00:00Z,7,14,38.7,-9.2",
        "2026-03-03T10:00:00Z,7,14,38.7,-9.2",
        "2026-03-03T10:00:20Z,seven,14,38.7,-9.2",
        "never,9,14,,",
    )

    assert set_aside(reading) == {
        "log/repeated-row": (3,), "log/number": (4,), "log/no-time": (5,),
    }  # fmt: skip
    assert (reading.account.read, reading.account.used) == (4, 1)
    assert reading.broken_frames == ()


@pytest.mark.parametrize("field", ["station", "rssi_dbm", "snr_db"])
def test_a_format_of_frames_sent_that_maps_a_level_is_refused(tmp_path: Path, field: str) -> None:
    """Rows with a level are frames heard, and would be counted as sent alone."""
    with pytest.raises(CampaignError) as caught:
        read_sent(tmp_path, "2026-03-03T10:00:00Z,7,14,,", fields={**SENT_FIELDS, field: "p"})

    assert only_problem(caught.value).code == "log/sent-has-no-level"


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("time", "2026-03-03T10:00" + " " * 100_000 + "x"),
        ("rate", "SF7" + " " * 100_000 + "x"),
        ("rssi", "1" * 100_000 + " x"),
    ],
)
def test_a_cell_without_end_costs_no_time(tmp_path: Path, field: str, text: str) -> None:
    """Patterns that try every blank anew took minutes for one cell."""
    cells = {"time": "2026-03-03T10:00:00Z", "node": "A1", "station": "gw", "rssi": "-80"}
    cells = {**cells, "rate": "SF7", field: text}
    start = time.process_time()

    reading = read_log(
        tmp_path,
        ",".join(cells) + "\n" + ",".join(cells.values()) + "\n",
        {**LEVELS, "data_rate": "rate"},
    )

    assert reading.account.read == 1
    assert time.process_time() - start < 5
