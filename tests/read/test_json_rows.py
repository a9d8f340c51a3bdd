"""JSON Lines: records, their receptions, and lines that are none."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from reportgen.errors import CampaignError, Where
from reportgen.read.field_sources import pointer_tokens
from reportgen.read.json_rows import resolve
from reportgen.read.reading import Reading
from tests.read.log_files import codes, only_problem, read_log, set_aside

FIELDS = {
    "time": {"pointer": "/at", "from_record": True},
    "node": {"pointer": "/dev/id", "from_record": True},
    "counter": {"pointer": "/n", "from_record": True},
    "station": "/gw",
    "rssi_dbm": "/rssi",
}
HEARD_BY_TWO = (
    '{"at": "2026-03-03T10:00:00Z", "dev": {"id": "A1"}, "n": 7,'
    ' "rx": [{"gw": "g1", "rssi": -71.5}, {"gw": "g2", "rssi": -101}]}\n'
)


def read_json(folder: Path, content: str | bytes, **keys: object) -> Reading:
    settings: dict[str, object] = {"receptions": "/rx", **keys}
    return read_log(folder, content, FIELDS, None, kind="json lines", **settings)


def flat(folder: Path, lines: str, **keys: object) -> Reading:
    """Read records that are one reception each."""
    fields = {"time": "/at", "station": {"value": "g"}, "rssi_dbm": "/rssi"}
    return read_log(folder, lines, fields, None, kind="json lines", **keys)


def test_receptions_of_one_frame_come_out_as_records_of_one_line(tmp_path: Path) -> None:
    """Two stations heard the same frame: two receptions, told apart by station only."""
    reading = read_json(tmp_path, "\n" + HEARD_BY_TWO)

    table = reading.table
    assert list(table["line"]) == [2, 2]
    assert list(table["station_id"]) == ["g1", "g2"]
    assert list(table["rssi_dbm"]) == [-71.5, -101.0]
    assert list(table["counter"]) == [7, 7]
    assert (reading.account.unit, reading.account.read) == ("records", 2)


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_marks_and_line_ends_do_not_matter(tmp_path: Path, ending: str, encoding: str) -> None:
    reading = read_json(tmp_path, (HEARD_BY_TWO * 2).replace("\n", ending).encode(encoding))

    assert reading.account.read == 4
    assert set_aside(reading) == {"log/repeated-row": (2, 2)}


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ('{"at": "2026-03-03T10:00:00Z", "dev": {"id"', "json/not-json"),
        ("time,node", "json/not-json"),
        ("\0\0\0\0", "json/not-json"),
        ("[1, 2]", "json/not-an-object"),
        ("17", "json/not-an-object"),
        ('{"n": 1, "n": 2}', "json/repeated-name"),
        ('{"dev": {"id": "A1", "id": "B2"}, "rx": []}', "json/repeated-name"),
        ("[" * 100_000, "json/too-deep"),
        ('{"a":' * 100_000, "json/too-deep"),
        ("{}", "json/no-receptions"),
        ('{"rx": []}', "json/no-receptions"),
        ('{"rx": null}', "json/no-receptions"),
        ('{"rx": {"gw": "g1"}}', "json/no-receptions"),
        ('{"rx": "g1"}', "json/no-receptions"),
        (f'{{"rx": [{"{}, " * 1000}{{}}]}}', "json/too-many-receptions"),
        ('{"rx": [{"gw": ["g1"]}]}', "json/not-a-value"),
        ('{"at": {}, "rx": [{"gw": "g1"}]}', "json/not-a-value"),
    ],
)
def test_record_that_cannot_be_read_is_one_row_set_aside(
    tmp_path: Path, line: str, code: str
) -> None:
    """A record hides none of its neighbours, and is counted once."""
    reading = read_json(tmp_path, HEARD_BY_TWO + line + "\n" + HEARD_BY_TWO.replace("7", "8"))

    assert set_aside(reading) == {code: (2,)}
    assert (reading.account.read, reading.account.used) == (5, 4)
    assert codes(reading) == [code]
    assert reading.account.fault_count == 1


def test_a_record_may_hold_as_many_receptions_as_stations_can_have_made(tmp_path: Path) -> None:
    received = ", ".join(f'{{"gw": "g{n}", "dbm": -90}}' for n in range(1000))
    line = '{"at": "2026-03-03T10:00:00Z", "dev": {"id": "A1"}, "n": 7, "rx": [' + received + "]}"

    assert read_json(tmp_path, line).account.read == 1000


def test_last_line_that_was_cut_off_costs_itself_only(tmp_path: Path) -> None:
    reading = read_json(tmp_path, HEARD_BY_TWO + HEARD_BY_TWO[:60])

    assert reading.account.used == 2
    assert set_aside(reading) == {"json/not-json": (2,)}


@pytest.mark.parametrize("number", ["NaN", "-Infinity", "1e999", "-" + "9" * 5000])
def test_numbers_that_are_none_are_faults_of_their_field(tmp_path: Path, number: str) -> None:
    """Python's own reader would let NaN in, and raise for thousands of digits."""
    reading = flat(tmp_path, f'{{"at": "2026-03-03T10:00:00Z", "rssi": {number}}}')

    assert list(set_aside(reading)) in [["log/number"], ["log/range"]]


def test_nan_may_be_listed_as_not_measured(tmp_path: Path) -> None:
    """Loggers written in Python write it for 'nothing'."""
    fields = {
        "time": "/at",
        "station": {"value": "g"},
        "rssi_dbm": {"pointer": "/rssi", "not_measured": ["NaN"]},
    }
    line = '{"at": "2026-03-03T10:00:00Z", "rssi": NaN, "other": NaN}'
    reading = read_log(tmp_path, line, fields, kind="json lines")

    assert reading.table["rssi_dbm"].isna().tolist() == [True]


def test_numbers_follow_the_decimal_mark_of_texts(tmp_path: Path) -> None:
    """JSON numbers have a point, whatever mark the texts beside them have."""
    lines = (
        '{"at": "2026-03-03T10:00:00Z", "rssi": -71.5}\n'
        '{"at": "2026-03-03T10:00:01Z", "rssi": "-71,5"}\n'
    )

    assert list(flat(tmp_path, lines, decimal=",").table["rssi_dbm"]) == [-71.5, -71.5]


def test_missing_and_null_values_are_empty(tmp_path: Path) -> None:
    lines = '{"at": "2026-03-03T10:00:00Z"}\n{"at": "2026-03-03T10:00:01Z", "rssi": null}\n'

    assert flat(tmp_path, lines).table["rssi_dbm"].isna().tolist() == [True, True]


def test_identifiers_that_look_like_numbers_keep_every_digit(tmp_path: Path) -> None:
    line = '{"at": "2026-03-03T10:00:00Z", "gw": 12345678901234567890}'
    fields = {"time": "/at", "station": "/gw"}

    assert list(read_log(tmp_path, line, fields, kind="json lines").table["station_id"]) == [
        "12345678901234567890"
    ]


def test_half_characters_are_replaced(tmp_path: Path) -> None:
    """An escape can spell what no output file can hold."""
    line = '{"at": "2026-03-03T10:00:00Z", "gw": "a\\ud800"}'
    table = read_log(tmp_path, line, {"time": "/at", "station": "/gw"}, kind="json lines").table

    assert list(table["station_id"]) == ["a?"]


def test_comments_and_blank_lines_are_no_rows(tmp_path: Path) -> None:
    reading = read_json(tmp_path, "# begun\n\n" + HEARD_BY_TWO, comment="#")

    assert (reading.account.read, list(reading.table["line"])) == (2, [3, 3])


def test_empty_log_is_a_warning(tmp_path: Path) -> None:
    reading = read_json(tmp_path, "")

    assert (reading.account.read, codes(reading)) == (0, ["file/empty"])


RFC_DOCUMENT = json.loads(
    """{"foo": ["bar", "baz"], "": 0, "a/b": 1, "c%d": 2, "e^f": 3, "g|h": 4,
    "i\\\\j": 5, "k\\"l": 6, " ": 7, "m~n": 8}""",
    parse_int=str,
)


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("/foo", ["bar", "baz"]),
        ("/foo/0", "bar"),
        ("/", "0"),
        ("/a~1b", "1"),
        ("/c%d", "2"),
        ("/e^f", "3"),
        ("/g|h", "4"),
        ("/i\\j", "5"),
        ('/k"l', "6"),
        ("/ ", "7"),
        ("/m~0n", "8"),
    ],
)
def test_pointers_lead_where_the_standard_says(pointer: str, value: object) -> None:
    """RFC 6901 (2013), section 5: the standard's own example document and table."""
    assert resolve(RFC_DOCUMENT, pointer_tokens(pointer, Where(path="x"))) == value


@pytest.mark.parametrize("token", ["2", "-", "00", "01", "-1", "+1", "1e0", "²", "9" * 5000])
def test_pointer_to_no_element_leads_nowhere(token: str) -> None:
    """RFC 6901, section 4: an index has no leading zero and no sign."""
    assert resolve(["a", "b"], [token]) is None


def test_pointer_with_a_leading_zero_leads_nowhere_in_a_long_array_either() -> None:
    """RFC 6901, section 4."""
    assert resolve([str(number) for number in range(12)], ["01"]) is None
    assert resolve([str(number) for number in range(12)], ["11"]) == "11"


@pytest.mark.parametrize("pointer", ["rx", "rx/0", "/a~", "/a~2b"])
def test_malformed_pointer_is_an_error(tmp_path: Path, pointer: str) -> None:
    with pytest.raises(CampaignError) as caught:
        read_json(tmp_path, HEARD_BY_TWO, receptions=pointer)

    problem = only_problem(caught.value)
    assert problem.code == "json/pointer"
    assert problem.found == f"pointer {pointer}"


def test_whole_reception_may_be_the_value(tmp_path: Path) -> None:
    """The empty pointer means the element itself (RFC 6901, section 5)."""
    line = '{"at": "2026-03-03T10:00:00Z", "heard": ["g1", "g2"]}'
    fields = {"time": {"pointer": "/at", "from_record": True}, "station": {"pointer": ""}}
    reading = read_log(tmp_path, line, fields, kind="json lines", receptions="/heard")

    assert list(reading.table["station_id"]) == ["g1", "g2"]
