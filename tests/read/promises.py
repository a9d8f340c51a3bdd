"""What every reader promises for any input: an account that adds up, or an error spelt out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from reportgen.errors import LONGEST_FOUND, CampaignError, Problem
from reportgen.model.accounts import FileAccount
from reportgen.model.columns import Table
from reportgen.read.description_schema import LogFormatPart
from reportgen.read.reading import Reading
from tests.read.log_files import log_format

HEADINGS = ("time", "node", "station", "rssi", "n", "rate", "lat", "lon")
FIELDS = {
    "time": "time",
    "node": "node",
    "station": "station",
    "rssi_dbm": "rssi",
    "counter": {"column": "n", "pattern": "[^#]*"},
    "data_rate": "rate",
    "latitude_deg": "lat",
    "longitude_deg": "lon",
}
NUMBERED = {name: number for number, name in enumerate(FIELDS, start=1)}
POINTERS = {
    "time": {"pointer": "/time", "from_record": True},
    "node": {"pointer": "/node", "from_record": True},
    "station": "/station",
    "rssi_dbm": {"pointer": "/rssi", "not_measured": [0, "NaN"]},
    "counter": "/n",
    "data_rate": "/rate",
    "latitude_deg": "/lat",
    "longitude_deg": "/lon",
}
TABLE_FORMATS: tuple[LogFormatPart, ...] = (
    log_format(FIELDS),
    log_format(FIELDS, decimal=",", time_format="epoch_s", comment="#"),
    log_format(FIELDS, separator=";", time_format="%d.%m.%Y %H:%M:%S", encoding="cp1252"),
    log_format(NUMBERED, header=False, time_format="epoch_ms"),
    log_format(NUMBERED, header=False, separator=" "),
)
JSON_FORMATS: tuple[LogFormatPart, ...] = (
    log_format(POINTERS, kind="json lines"),
    log_format(POINTERS, kind="json lines", receptions="/rx", decimal=",", comment="#"),
)


def must_be_spelt_out(problems: Sequence[Problem]) -> None:
    """Check that there are problems, all parts filled in, and that any file could hold them."""
    assert problems
    for problem in problems:
        assert problem.where.path
        assert problem.found
        assert len(problem.found) <= LONGEST_FOUND
        assert problem.expected
        assert problem.do
        str(problem).encode("utf-8")


def must_add_up(accounts: Iterable[FileAccount]) -> None:
    """Check that every row read is used or set aside, each with its line."""
    for account in accounts:
        assert account.used + account.set_aside_count == account.read
        first = 0 if account.unit == "photos" else 1
        assert all(line >= first for item in account.set_aside for line in item.lines)


def reads_or_explains(read: Callable[[], Reading], table: Table) -> None:
    """Check what a reader of rows promises."""
    try:
        reading = read()
    except CampaignError as error:
        must_be_spelt_out(error.problems)
        return
    assert reading.account.used == len(reading.table)
    must_add_up([reading.account])
    assert table.of(reading.table).equals(reading.table)
    if reading.problems:
        must_be_spelt_out(reading.problems)
