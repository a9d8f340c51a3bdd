"""Times in logs: formats, zones, clock changes, clocks that were never set."""

from __future__ import annotations

import datetime as dt
import locale
import math
from pathlib import Path

import pytest

from reportgen.errors import CampaignError
from reportgen.read.times import parse_iso
from tests.read.log_files import context, only_problem, read_log, set_aside

FIELDS = {"time": "time", "station": {"value": "gw"}, "rssi_dbm": {"value": -70}}


def times(folder: Path, text: str, zone: str = "Europe/Paris", **keys: object) -> list[str]:
    """Return the time of a one-row log, as ISO text in UTC; empty if it was set aside."""
    reading = read_log(folder, f"time\n{text}\n", FIELDS, context(zone=zone), separator=";", **keys)
    return [time.isoformat() for time in reading.table["time_utc"]]


@pytest.mark.parametrize(
    "text",
    [
        "2026-03-03T10:00:05Z",
        "2026-03-03t10:00:05z",
        "2026-03-03T11:00:05+01:00",
        "2026-03-03 11:00:05 +01:00",
        "2026-03-03T03:00:05-0700",
        "2026-03-03 11:00:05",
        "2026-03-03T11:00:05",
        "20260303T110005",
        "2026-03-03T10:00:05.000Z",
        "2026-03-03T10:00:05,000000000Z",
    ],
)
def test_iso_times_are_read_however_they_are_spelt(tmp_path: Path, text: str) -> None:
    """Without an offset they are local times of the campaign's zone (here one hour ahead)."""
    assert times(tmp_path, text) == ["2026-03-03T10:00:05+00:00"]


@pytest.mark.parametrize(
    "text", ["2026-03-03", "10:00:05", "03.03.2026 10:00:05", "now", "2026-02-30T10:00:00Z", "1772"]
)
def test_what_is_no_iso_time_is_none(text: str) -> None:
    """A date alone would silently mean midnight."""
    assert parse_iso(text) is None


def test_fraction_with_a_comma_is_kept() -> None:
    """ISO 8601 prefers the comma."""
    assert parse_iso("2026-03-03T10:00:05,25Z") == dt.datetime(
        2026, 3, 3, 10, 0, 5, 250_000, tzinfo=dt.UTC
    )


@pytest.mark.parametrize(
    ("text", "time_format", "decimal"),
    [
        ("1605520800", "epoch_s", "."),
        ("1605520800.0", "epoch_s", "."),
        ("1605520800,0", "epoch_s", ","),
        ("1.6055208E9", "epoch_s", "."),
        ("1605520800000", "epoch_ms", "."),
    ],
)
def test_epoch_times(tmp_path: Path, text: str, time_format: str, decimal: str) -> None:
    """1605520800 is 2020-11-16T10:00:00Z (README of the real inputs, hourly LoRa series)."""
    assert times(tmp_path, text, time_format=time_format, decimal=decimal) == [
        "2020-11-16T10:00:00+00:00"
    ]


def test_epoch_fraction_keeps_its_microseconds(tmp_path: Path) -> None:
    assert times(tmp_path, "1605520800.123457", time_format="epoch_s") == [
        "2020-11-16T10:00:00.123457+00:00"
    ]


@pytest.mark.parametrize(
    ("text", "pattern"),
    [
        ("03.03.2026 11:00:05", "%d.%m.%Y %H:%M:%S"),
        ("3/3/26 11:00:05 AM", "%m/%d/%y %I:%M:%S %p"),
        ("Tue, 3 Mar 2026 10:00:05 +0000", "%a, %d %b %Y %H:%M:%S %z"),
        ("Tuesday 03-MARCH-2026 11:00:05", "%A %d-%B-%Y %H:%M:%S"),
        ("2026Mar03T110005", "%Y%b%dT%H%M%S"),
    ],
)
def test_patterns(tmp_path: Path, text: str, pattern: str) -> None:
    assert times(tmp_path, text, time_format=pattern) == ["2026-03-03T10:00:05+00:00"]


def test_month_names_are_english_whatever_the_machine_speaks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same log must read the same on every machine: names never reach the library."""
    monkeypatch.setattr(locale, "getlocale", lambda *_: ("xx_XX", "UTF-8"))
    monkeypatch.setattr("calendar.month_abbr", [""] + [f"m{index}" for index in range(1, 13)])

    assert times(tmp_path, "03 Oct 2026 10:00 +0000", time_format="%d %b %Y %H:%M %z") == [
        "2026-10-03T10:00:00+00:00"
    ]


@pytest.mark.parametrize(
    ("pattern", "said"),
    [
        ("%Q", "no such directive"),
        ("%d.%m.%Y %", "no such directive"),
        ("%Y %Y", "a directive stands twice"),
        ("ISO", "no such format"),
        ("%Y-%m-%d %H:%M %Z", "%Z is not read"),
    ],
)
def test_unusable_time_format_is_an_error(tmp_path: Path, pattern: str, said: str) -> None:
    with pytest.raises(CampaignError) as caught:
        times(tmp_path, "x", time_format=pattern)

    problem = only_problem(caught.value)
    assert problem.code == "log/time-format"
    assert problem.found.startswith(f"time_format: {pattern} ({said}")


def test_zone_of_the_format_wins_over_that_of_the_campaign(tmp_path: Path) -> None:
    assert times(tmp_path, "2026-03-03 10:00:05", time_zone="UTC") == ["2026-03-03T10:00:05+00:00"]


@pytest.mark.parametrize("name", ["Europe/Nowhere", "../secret", "Europe"])
def test_unknown_zone_is_an_error(tmp_path: Path, name: str) -> None:
    with pytest.raises(CampaignError) as caught:
        times(tmp_path, "2026-03-03 10:00:05", time_zone=name)

    assert only_problem(caught.value).code == "log/time-zone"


@pytest.mark.parametrize(
    ("text", "kind"),
    [("2026-03-29 02:30:00", "does not exist"), ("2026-10-25 02:30:00", "exists twice")],
)
def test_local_time_in_a_clock_change_is_a_fault(tmp_path: Path, text: str, kind: str) -> None:
    """02:30 is skipped in spring and passed twice in autumn.

    Directive 2000/84/EC: last Sundays of March and October, at 01:00 UTC.
    """
    row = f"time\n{text}\n"
    reading = read_log(tmp_path, row, FIELDS, context(zone="Europe/Paris"), separator=";")

    (item,) = reading.account.set_aside
    assert (item.code, item.is_fault) == ("log/time-in-clock-change", True)
    assert item.reason == f"local time that {kind} because of the clock change in Europe/Paris"


def test_time_with_offset_is_safe_in_a_clock_change(tmp_path: Path) -> None:
    assert times(tmp_path, "2026-10-25 02:30:00+01:00") == ["2026-10-25T01:30:00+00:00"]


@pytest.mark.parametrize(
    ("text", "time_format"),
    [
        ("1980-01-06T00:00:00Z", "iso"),
        ("2150-01-01T00:00:00Z", "iso"),
        ("0001-01-01T00:00:00", "iso"),
        ("9999-12-31T23:59:59-12:00", "iso"),
        ("1605520800000", "epoch_s"),
        ("1e300", "epoch_s"),
        ("-99999999999999999999", "epoch_ms"),
        ("0", "epoch_s"),
        ("03.03. 10:00", "%d.%m. %H:%M"),
    ],
)
@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_time_of_a_clock_never_set_is_a_fault(tmp_path: Path, text: str, time_format: str) -> None:
    """Receivers without a fix write their epoch; milliseconds read as seconds go astray."""
    reading = read_log(tmp_path, f"time\n{text}\n", FIELDS, separator=";", time_format=time_format)

    assert set_aside(reading) == {"log/time-absurd": (2,)}
    assert reading.account.fault_count == 1


def test_clock_error_is_taken_off(tmp_path: Path) -> None:
    """A clock that ran 90 s ahead showed 10:01:30 at 10:00."""
    reading = read_log(
        tmp_path, "time\n2026-03-03T10:01:30Z\n", FIELDS, context(ahead_s=90.0), separator=";"
    )

    assert str(reading.table["time_utc"][0]) == "2026-03-03 10:00:00+00:00"


@pytest.mark.parametrize("ahead_s", [math.inf, math.nan, 1e300])
def test_clock_error_beyond_reason_is_an_error(tmp_path: Path, ahead_s: float) -> None:
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, "time\nx\n", FIELDS, context(ahead_s=ahead_s))

    assert only_problem(caught.value).code == "log/clock"


def test_time_and_clock_error_that_leave_the_calendar_are_a_fault(tmp_path: Path) -> None:
    row = "time\n2026-03-03T10:00:00Z\n"
    reading = read_log(tmp_path, row, FIELDS, context(ahead_s=1e11), separator=";")

    assert set_aside(reading) == {"log/time-absurd": (2,)}
