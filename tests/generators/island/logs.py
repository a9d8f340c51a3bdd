"""Log files as three loggers and a node wrote them, and for each row what has to become of it."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Literal

import numpy as np

from tests.generators.island.chance import stream
from tests.generators.island.frames import Heard
from tests.generators.island.ground import surface_m, to_degrees
from tests.generators.island.scenario import (
    HARBOUR,
    HILL,
    NODE_IDS,
    STRANGER_ID,
    ZONE,
    Walk,
)
from tests.generators.island.walks import Walked, position_error_m

Fate = Literal["used", "by request", "fault"]

_EXPORT_HEADINGS = "Time;Device;Frame;Station;RSSI;SNR;Rate;MHz;Latitude;Longitude;Altitude"
_TABLE_HEADINGS = "utc,node,fcnt,gateway,sf,bw_khz,freq_mhz,rssi,snr"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row, or one reception of a JSON record; numbers rounded as written.

    `why` says what is wrong with it, or why it does not count.
    """

    text: str
    time_s: float
    heard: Heard | None
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    fate: Fate = "used"
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LogFile:
    """A log with its rows; `is_uplink` tells what stations heard from what a node heard."""

    path: str
    walk: str
    text: str
    rows: tuple[Row, ...]
    is_uplink: bool = True


def network_export(path: Walked, heard: tuple[Heard, ...]) -> LogFile:
    """Return a text table with semicolons, decimal commas, local times and positions."""
    walk = path.walk
    rows = [_export_row(item, *_fix(path, item)) for item in heard]
    rows, tail = _EXPORT_MISHAPS[walk.key](walk, rows)
    lines = [_EXPORT_HEADINGS, *(row.text for row in rows)]
    return LogFile(path=walk.log, walk=walk.key, text="\r\n".join(lines) + tail, rows=tuple(rows))


def _fix(path: Walked, item: Heard) -> tuple[float, float, int]:
    """Return the position that the node's own receiver states."""
    second = int(item.frame.since_start_s)
    error = position_error_m(f"node {path.walk.key}", path.duration_s)[second]
    x_m, y_m = np.array([item.frame.x_m]), np.array([item.frame.y_m])
    latitude, longitude = to_degrees(x_m + error[0], y_m + error[1])
    height = surface_m(x_m, y_m)[0] + error.sum()
    return round(float(latitude[0]), 6), round(float(longitude[0]), 6), round(float(height))


def _export_row(item: Heard, latitude: float, longitude: float, height: int) -> Row:
    time_s = round(item.frame.time_s)
    cells = [
        _clock(time_s), NODE_IDS[item.frame.node], str(item.frame.counter),
        item.station.identifier, str(item.rssi_dbm), _comma(item.snr_db, 1),
        f"SF{item.frame.spreading_factor}BW125", _comma(item.frame.frequency_mhz, 1),
        _comma(latitude, 6), _comma(longitude, 6), str(height),
    ]  # fmt: skip
    return Row(
        text=";".join(cells),
        time_s=time_s,
        heard=item,
        latitude_deg=latitude,
        longitude_deg=longitude,
    )


def _clock(time_s: float) -> str:
    return dt.datetime.fromtimestamp(time_s, ZONE).strftime("%d.%m.%Y %H:%M:%S")


def _comma(value: float, digits: int) -> str:
    return f"{value:.{digits}f}".replace(".", ",")


def _spoiled(row: Row, why: str, column: int, text: str, separator: str = ";") -> Row:
    """Return a row with one broken cell, which is to be set aside as a fault."""
    cells = row.text.split(separator)
    cells[column] = text
    return replace(row, text=separator.join(cells), fate="fault", why=why)


def _first_mishaps(_: Walk, rows: list[Row]) -> tuple[list[Row], str]:
    rows[61] = _spoiled(rows[61], "RSSI is a word", 4, "weak")
    rows[150] = _spoiled(rows[150], "RSSI is a word", 4, "weak")
    rows[233] = _spoiled(rows[233], "latitude beyond a pole", 8, "491,953820")
    last = rows[-1]
    cut = ";".join(last.text.split(";")[:4]) + ";-"
    rows[-1] = replace(last, text=cut, fate="fault", why="cut off in the RSSI")
    return rows, ""


def _again_mishaps(walk: Walk, rows: list[Row]) -> tuple[list[Row], str]:
    repeated = replace(rows[90], fate="fault", why="repeats the row before it")
    headings = Row(
        text=_EXPORT_HEADINGS, time_s=0.0, heard=None, fate="fault", why="the headings once more"
    )
    rows = [*rows[:91], repeated, *rows[91:200], headings, *rows[200:]]
    gauge = _stranger_rows(walk)
    for row in gauge:
        place = next((i for i, other in enumerate(rows) if other.time_s > row.time_s), len(rows))
        rows.insert(place, row)
    return rows, "\r\n"


def _stranger_rows(walk: Walk) -> list[Row]:
    """Return rows of somebody's tide gauge, which happened to be in the same export."""
    chance = stream("tide gauge")
    rows = []
    for minute in range(2, 60, 5):
        time_s = round(walk.start_s) + 60 * minute + 17
        for station, level in ((HARBOUR, -58), (HILL, -93)):
            rssi = level + int(chance.randint(-2, 3))
            cells = [
                _clock(time_s), STRANGER_ID, str(20_400 + minute // 5), station.identifier,
                str(rssi), "9,5", "SF9BW125", "868,1", "", "", "",
            ]  # fmt: skip
            rows.append(
                Row(
                    text=";".join(cells),
                    time_s=time_s,
                    heard=None,
                    fate="by request",
                    why="a device that nobody carried",
                )
            )
    return rows


def _stub_mishaps(_: Walk, rows: list[Row]) -> tuple[list[Row], str]:
    rows[44] = replace(
        rows[44], text=rows[44].text + ";7;7", fate="fault", why="more cells than headings"
    )
    # The node's receiver had no fix for one frame and wrote zeros.
    frame = rows[120].heard.frame if rows[120].heard else None
    for index, row in enumerate(rows):
        if row.heard and row.heard.frame is frame:
            cells = row.text.split(";")
            cells[8:] = ["0,000000", "0,000000", "0"]
            rows[index] = replace(row, text=";".join(cells), latitude_deg=None, longitude_deg=None)
    return rows, "\r\n"


_EXPORT_MISHAPS: dict[str, Callable[[Walk, list[Row]], tuple[list[Row], str]]] = {
    "quay-first": _first_mishaps,
    "quay-again": _again_mishaps,
    "quay-stub": _stub_mishaps,
}


def broker_messages(path: Walked, heard: tuple[Heard, ...]) -> LogFile:
    """Return JSON Lines, one record per frame with an array of those who heard it."""
    lines, rows = [], []
    for number, (_, group) in enumerate(groupby(heard, key=lambda item: item.frame)):
        items = list(group)
        elements: list[dict[str, object]] = [
            {"station": item.station.identifier, "rssi": item.rssi_dbm, "snr": item.snr_db}
            for item in items
        ]
        made = [Row(text="", time_s=item.frame.time_s, heard=item) for item in items]
        if number == 77:
            elements[0]["rssi"] = "overload"
            made[0] = replace(made[0], fate="fault", why="RSSI is a word")
        lines.append(_message(items[0], elements))
        rows += made
    last = lines[-1]
    whole = [row for row in rows if row.heard and row.heard.frame is not heard[-1].frame]
    broken = Row(
        text="", time_s=heard[-1].frame.time_s, heard=None, fate="fault",
        why="cut off within the record",
    )  # fmt: skip
    lines[-1] = last[: len(last) // 2]
    return LogFile(
        path=path.walk.log,
        walk=path.walk.key,
        text="\n".join(lines),
        rows=(*whole, broken),
    )


def _message(item: Heard, elements: list[dict[str, object]]) -> str:
    frame = item.frame
    record = {
        "received_at": _utc(frame.time_s, "milliseconds"),
        "device": {"eui": NODE_IDS[frame.node]},
        "uplink": {
            "counter": frame.counter,
            "rate": f"SF{frame.spreading_factor}BW125",
            "mhz": frame.frequency_mhz,
        },
        "heard_by": elements,
    }
    return json.dumps(record, separators=(",", ":"))


def _utc(time_s: float, precision: str) -> str:
    moment = dt.datetime.fromtimestamp(time_s, dt.UTC)
    return moment.isoformat(timespec=precision).replace("+00:00", "Z")


def station_table(path: Walked, heard: tuple[Heard, ...]) -> LogFile:
    """Return a text table with commas and UTC, without positions."""
    walk = path.walk
    rows = [_table_row(item) for item in heard]
    if walk.key == "hill-sf7":
        rows[58] = _spoiled(rows[58], "no station", 3, "", ",")
        rows[140] = _spoiled(rows[140], "no such spreading factor", 4, "77", ",")
    else:
        level = rows[66].text.split(",")[7]
        rows[66] = _spoiled(rows[66], "RSSI without its sign", 7, level.lstrip("-"), ",")
        rows[201] = _spoiled(rows[201], "no such time of day", 0, "2026-06-12T25:61:00Z", ",")
    lines = [_TABLE_HEADINGS, *(row.text for row in rows)]
    return LogFile(path=walk.log, walk=walk.key, text="\n".join(lines) + "\n", rows=tuple(rows))


def _table_row(item: Heard) -> Row:
    frame = item.frame
    time_s = round(frame.time_s)
    text = (
        f"{_utc(time_s, 'seconds')},{NODE_IDS[frame.node]},{frame.counter},"
        f"{item.station.identifier},{frame.spreading_factor},125,{frame.frequency_mhz:.1f},"
        f"{item.rssi_dbm},{item.snr_db:.2f}"
    )
    return Row(text=text, time_s=time_s, heard=item)


def node_notes(path: Walked, heard: tuple[Heard, ...]) -> LogFile:
    """Return what the node wrote of the acknowledgements it heard: tabs, epoch, no headings."""
    rows = []
    for number, item in enumerate(heard):
        # The acknowledgement comes one second after the frame.
        time_s = round(item.frame.time_s) + 1
        text = f"{time_s}\t{item.rssi_dbm}\t{item.snr_db:.0f}\tack"
        row = Row(text=text, time_s=time_s, heard=item)
        if number == 9:
            row = _spoiled(row, "RSSI is a word", 1, "ovf", "\t")
        rows.append(row)
    head = ["# drift, acknowledgements heard", "# epoch s, RSSI dBm, SNR dB"]
    assert path.walk.node_log is not None
    return LogFile(
        path=path.walk.node_log,
        walk=path.walk.key,
        text="\n".join([*head, *(row.text for row in rows)]) + "\n",
        rows=tuple(rows),
        is_uplink=False,
    )
