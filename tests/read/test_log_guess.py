"""Guesses about logs, which the author is asked to confirm."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.read.column_words import LogGuess
from reportgen.read.log_guess import guess_log
from tests.read.log_files import written


def guess(folder: Path, content: str, name: str = "log.csv") -> LogGuess:
    return guess_log(written(folder, content, name))


def test_common_headings_are_recognised_whatever_their_spelling(tmp_path: Path) -> None:
    found = guess(
        tmp_path,
        "Timestamp;Device ID;Gateway;FCnt;RSSI (dBm);SNR;Lat;Lon;Battery\n"
        "03.03.2026 10:00:00;0012;gw-b;1;-71,5;3,2;38,7;-9,1;99\n"
        "03.03.2026 10:00:10;0012;gw-a;2;-72,5;3,1;38,7;-9,1;99\n"
        "03.03.2026 10:00:20;0012;gw-a;3;-72,5;3,1;38,7;-9,1;99\n",
    )

    assert dict(found.fields) == {
        "time": ("Timestamp",),
        "node": ("Device ID",),
        "station": ("Gateway",),
        "counter": ("FCnt",),
        "rssi_dbm": ("RSSI (dBm)",),
        "snr_db": ("SNR",),
        "latitude_deg": ("Lat",),
        "longitude_deg": ("Lon",),
    }
    assert (found.decimal, found.time_format) == (",", "%d.%m.%Y %H:%M:%S")
    assert (found.node_ids, found.station_ids) == (("0012",), ("gw-a", "gw-b"))
    assert found.others == ("Battery",)


def test_date_and_time_in_two_columns_are_one_time(tmp_path: Path) -> None:
    found = guess(tmp_path, "date,time,rssi\n2026-03-03,10:00:00,-80\n")

    assert dict(found.fields)["time"] == ("date", "time")
    assert found.time_format == "iso"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2026-03-03T10:00:00Z", "iso"),
        ("1772532000", "epoch_s"),
        ("1772532000123", "epoch_ms"),
        ("03/04/2026 10:00:00", None),
    ],
)
def test_how_times_are_written(text: str, expected: str | None, tmp_path: Path) -> None:
    """Whether 03/04 is March or April nobody can tell: not guessed."""
    assert guess(tmp_path, f"time,rssi\n{text},-80\n").time_format == expected


def test_a_column_in_another_unit_is_not_taken(tmp_path: Path) -> None:
    """Hertz read as megahertz would move the radio to gamma rays."""
    found = guess(tmp_path, "time,freq,rssi\n2026-03-03T10:00:00Z,868100000,-80\n")

    assert "frequency_mhz" not in dict(found.fields)
    assert found.others == ("freq",)


def test_a_log_without_headings_shows_its_first_cells(tmp_path: Path) -> None:
    found = guess(tmp_path, "n1,DR0,2026-03-03 10:00:00,-80\nn1,DR0,2026-03-03 10:00:10,-81\n")

    assert (found.has_header, found.fields) == (False, (("time", (3,)),))
    assert found.others == ("1 (n1)", "2 (DR0)", "4 (-80)")


def test_json_lines_with_a_list_of_receptions(tmp_path: Path) -> None:
    found = guess(
        tmp_path,
        '{"received_at": "2026-03-03T10:00:00Z", "device": {"device_id": "n1"},'
        ' "up": {"f_cnt": 3, "rx": [{"gateway_id": "gw-a", "rssi": -100, "snr": -3.5}]}}\n'
        "cut off {\n",
        "log.jsonl",
    )

    assert (found.kind, found.receptions, found.time_format) == ("json lines", "/up/rx", "iso")
    assert dict(found.fields) == {
        "time": ("/received_at",),
        "node": ("/device/device_id",),
        "counter": ("/up/f_cnt",),
        "station": ("/gateway_id",),
        "rssi_dbm": ("/rssi",),
        "snr_db": ("/snr",),
    }
    assert found.from_record == ("time", "node", "counter")


@pytest.mark.parametrize("content", ["", "\n\n", "# only\n", "one word\n", "[1, 2]\n", '{"a": \n'])
def test_of_what_is_no_log_nothing_is_claimed(content: str, tmp_path: Path) -> None:
    assert guess(tmp_path, content).fields == ()
