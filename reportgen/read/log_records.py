"""A walk log as a table of records, with the account of its rows."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from reportgen.errors import Problem, Severity
from reportgen.model.accounts import BrokenFrame, FileAccount, Unit
from reportgen.model.columns import RECORDS
from reportgen.read import csv_rows, json_rows
from reportgen.read.description_schema import LogFormatPart
from reportgen.read.field_sources import field_sources
from reportgen.read.findings import Finding, Findings, RowFaultError, RowLeftOutError
from reportgen.read.log_rows import LogRecord, RowInterpreter
from reportgen.read.reading import CampaignFile, LogContext, RawRow, Reading
from reportgen.read.text_files import empty_file, read_text

PROBLEM_CODES = (
    ("log/no-rows", "A log has headings or comments, but no rows."),
    ("log/none-used", "A log has rows, but every one of them was set aside."),
)

_ADVICE = {**csv_rows.ADVICE, **json_rows.ADVICE}


def read_walk_log(file: CampaignFile, log_format: LogFormatPart, context: LogContext) -> Reading:
    """Read one log file of a walk.

    Parameters
    ----------
    file : CampaignFile
    log_format : LogFormatPart
        How its rows map to fields.
    context : LogContext
        Nodes, zone, clock and limits of the walk.

    Returns
    -------
    Reading
        The table follows `model.columns.RECORDS`. The account counts rows of a text table, and
        receptions of JSON Lines, where a record without readable receptions counts as one.

    Raises
    ------
    CampaignError
        If the file can't be read as a whole, or the format does not fit it.
    """
    findings = Findings(file)
    sources = field_sources(log_format, file.where())
    interpreter = RowInterpreter(log_format, sources, context, findings)
    text = read_text(file, log_format.encoding)
    rows = csv_rows.csv_rows if log_format.kind == "csv" else json_rows.json_rows
    records: list[LogRecord] = []
    broken: list[BrokenFrame] = []
    read = 0  # counted apart from what becomes of the rows, so that the account can be wrong
    for row in rows(text.lines(), log_format, sources, findings):
        read += 1
        records += _usable(row, interpreter, findings, broken)
    unit: Unit = "rows" if log_format.kind == "csv" else "records"
    is_sent = log_format.rows_are == "frames sent"
    measured_at = "sent" if is_sent else log_format.levels_measured_at
    return Reading(
        table=_table(records, context.walk, file.name, measured_at),
        account=FileAccount(
            path=file.name,
            walk=context.walk,
            unit=unit,
            read=read,
            used=len(records),
            set_aside=findings.set_aside(),
        ),
        problems=(
            *text.problems,
            *findings.problems(),
            *_emptiness(file, text.text, read, len(records)),
        ),
        broken_frames=tuple(broken) if measured_at == "station" else (),
    )


def _usable(
    row: RawRow, interpreter: RowInterpreter, findings: Findings, broken: list[BrokenFrame]
) -> list[LogRecord]:
    """Return the record of a row; an empty list where the row is set aside.

    The frame that a broken row still names is added to `broken`.
    """
    if row.fault:
        code, reason = row.fault
        expected, advice = _ADVICE[code]
        findings.fault(row.line, Finding(code=code, found=reason, expected=expected, do=advice))
        return []
    try:
        return [interpreter.record(row)]
    except RowFaultError as fault:
        findings.fault(row.line, fault.finding)
        frame = interpreter.broken_frame(row)
        broken += [] if frame is None else [frame]
    except RowLeftOutError as left_out:
        findings.leave_out(row.line, left_out)
    return []


def _emptiness(file: CampaignFile, text: str, read: int, used: int) -> tuple[Problem, ...]:
    if not text.strip():
        return (empty_file(file),)
    if used:
        return ()
    finding = _NONE_USED if read else _NO_ROWS
    return (finding.problem(file.where(), Severity.WARNING),)


_NO_ROWS = Finding(
    code="log/no-rows",
    found="no rows below the headings, or comments only",
    expected="at least one row",
    do="nothing if nothing was recorded; otherwise copy the file again",
)
_NONE_USED = Finding(
    code="log/none-used",
    found="rows, but every one of them was set aside",
    expected="rows of the nodes of this walk",
    do="see why the rows were set aside; check the 'ids' of the nodes, and start and end",
)


def _table(records: Sequence[LogRecord], walk: str, file: str, measured_at: str) -> pd.DataFrame:
    columns: dict[str, list[object]] = {
        "walk": [walk] * len(records),
        "file": [file] * len(records),
        "line": [record.line for record in records],
        "time_utc": [record.time_utc for record in records],
        "node": [record.node for record in records],
        "station_id": [record.station_id for record in records],
        "measured_at": [measured_at] * len(records),
        "counter": [record.counter for record in records],
        "data_rate": [record.rate.data_rate for record in records],
        "spreading_factor": [record.rate.spreading_factor for record in records],
        "bandwidth_hz": [record.rate.bandwidth_hz for record in records],
        "frequency_hz": [record.frequency_hz for record in records],
        "rssi_dbm": [record.rssi_dbm for record in records],
        "snr_db": [record.snr_db for record in records],
        "transmit_power_dbm": [record.transmit_power_dbm for record in records],
        "latitude_deg": [record.place.latitude_deg for record in records],
        "longitude_deg": [record.place.longitude_deg for record in records],
        "height_msl_m": [record.place.height_msl_m for record in records],
        "position_error_m": [record.place.error_m for record in records],
    }
    return RECORDS.of(pd.DataFrame(columns))
