"""The logs and tracks of one walk, file by file, into tables."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from zoneinfo import ZoneInfo

import pandas as pd

from reportgen.errors import CampaignError, Where, number_of
from reportgen.model.walk import Walk
from reportgen.read.campaign_parts import log_parts
from reportgen.read.description_salvage import can_read_rows
from reportgen.read.description_schema import Description, LogFormatPart, LogPart
from reportgen.read.findings import Finding
from reportgen.read.gpx import read_track
from reportgen.read.intake import Intake
from reportgen.read.left_out import is_left_out, left_out_account
from reportgen.read.log_records import read_walk_log
from reportgen.read.read_ahead import NOTHING_AHEAD, ReadAhead, Reader
from reportgen.read.reading import CampaignFile, LogContext, Reading

PROBLEM_CODES = (
    ("folder/same-file-twice", "A walk names one file twice; it is read once."),
    ("log/not-json-lines", "A log that should be JSON Lines holds no JSON object."),
)


def walk_readers(
    walk: Walk, description: Description, are_rows_readable: bool = True
) -> Iterator[tuple[str, Reader]]:
    """Yield what reads each file of a walk, with the name of the file."""
    walk_part = description.walks[walk.key]
    for log in log_parts(walk_part):
        if are_rows_readable and can_read_rows(log, walk_part, description):
            yield log.file, partial(_log, log=log, walk=walk, description=description)
    for name in walk.tracks:
        yield name, partial(read_track, walk=walk.key)


def read_walk(
    walk: Walk,
    description: Description,
    intake: Intake,
    are_rows_readable: bool = True,
    ahead: ReadAhead = NOTHING_AHEAD,
) -> tuple[list[pd.DataFrame], list[pd.DataFrame]]:
    """Return the tables of a walk's logs and tracks; segments are numbered on through its files.

    A log whose rows can't be read by what was understood of the description is taken in and left.
    """
    logs: list[pd.DataFrame] = []
    tracks: list[pd.DataFrame] = []
    seen: set[str] = set()
    for index, log in enumerate(log_parts(description.walks[walk.key])):
        asked_at = intake.locate("walks", walk.key, "logs", index)
        file = _take_once(log.file, walk, description, asked_at, seen, intake)
        if file is None:
            continue
        if are_rows_readable and can_read_rows(log, description.walks[walk.key], description):
            reader = partial(_log, log=log, walk=walk, description=description)
            logs += _read(ahead.or_read(walk.key, file, reader), intake)
    segments = 0
    for index, name in enumerate(walk.tracks):
        asked_at = intake.locate("walks", walk.key, "tracks", index)
        file = _take_once(name, walk, description, asked_at, seen, intake)
        if file is not None:
            reader = partial(read_track, walk=walk.key)
            for table in _read(ahead.or_read(walk.key, file, reader), intake):
                tracks.append(table.assign(segment=table["segment"] + segments))
                segments += int(table["segment"].max()) + 1
    return logs, tracks


def _take_once(
    name: str,
    walk: Walk,
    description: Description,
    asked_at: Where,
    seen: set[str],
    intake: Intake,
) -> CampaignFile | None:
    if is_left_out(description, name):
        intake.accounts.append(left_out_account(name, walk.key))
        return None
    file = intake.take(name, asked_at)
    if file is None:
        return None
    if file.name in seen:
        intake.note(
            asked_at,
            "folder/same-file-twice",
            f"{file.name} again",
            "each file once in a walk",
            "delete the line; the file is read once",
        )
        return None
    seen.add(file.name)
    return file


def _read(reader: Callable[[], Reading], intake: Intake) -> list[pd.DataFrame]:
    """Return the table of a file in a list, or an empty list where there are no rows."""
    try:
        reading = reader()
    except CampaignError as error:
        intake.refuse(error)
        return []
    intake.problems += reading.problems
    intake.accounts.append(reading.account)
    intake.broken_frames += reading.broken_frames
    return [] if reading.table.empty else [reading.table]


def _log(file: CampaignFile, log: LogPart, walk: Walk, description: Description) -> Reading:
    log_format = format_of(log, description)
    nodes = {key: description.nodes[key] for key in walk.nodes}
    context = LogContext(
        walk=walk.key,
        node_of_id={identifier: key for key, node in nodes.items() for identifier in node.ids},
        only_node=walk.nodes[0] if len(walk.nodes) == 1 else None,
        time_zone=ZoneInfo(log_format.time_zone or description.time_zone),
        regional_plan=description.radio.regional_plan,
        clock_ahead_s=log.clock_ahead_s,
        start_utc=walk.start_utc,
        end_utc=walk.end_utc,
    )
    reading = read_walk_log(file, log_format, context)
    _refuse_another_kind(file, reading)
    return reading


def _refuse_another_kind(file: CampaignFile, reading: Reading) -> None:
    """Stop at a log of JSON Lines that holds none: row by row it would only be all faults."""
    codes = {item.code for item in reading.account.set_aside}
    if codes and not reading.account.used and codes <= {"json/not-json", "json/not-an-object"}:
        raise Finding(
            code="log/not-json-lines",
            found=f"{number_of(reading.account.read, 'line')}, none of them a JSON object",
            expected="JSON Lines: one whole JSON object on each line",
            do="correct 'kind' if it is a table; write each record of one long JSON text on a line "
            "of its own",
        ).error(file.where(line=reading.account.set_aside[0].where.line))


def format_of(log: LogPart, description: Description) -> LogFormatPart:
    """Return the format by name; the checks have made sure that a missing name leaves one."""
    name = log.format or next(iter(description.log_formats))
    return description.log_formats[name]
