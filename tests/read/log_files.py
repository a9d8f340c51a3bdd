"""Small logs and tracks for the tests of the readers."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from zoneinfo import ZoneInfo

from reportgen.errors import CampaignError, Problem
from reportgen.read.description_schema import LogFormatPart
from reportgen.read.gpx import read_track
from reportgen.read.log_records import read_walk_log
from reportgen.read.reading import CampaignFile, LogContext, Reading

FIELDS: Mapping[str, object] = {"time": "time", "node": "node", "station": "station"}
"""The fewest columns of a text table."""

LEVELS: Mapping[str, object] = {**FIELDS, "rssi_dbm": "rssi"}


def written(folder: Path, content: str | bytes, name: str = "walk.csv") -> CampaignFile:
    """Write a file and return it as one of the campaign."""
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return CampaignFile(path=path, name=name)


def log_format(fields: Mapping[str, object] = LEVELS, **keys: object) -> LogFormatPart:
    """Return a log format as a description would state it."""
    return LogFormatPart.model_validate({**keys, "fields": dict(fields)})


def context(
    *,
    zone: str = "Europe/Lisbon",
    only_node: str | None = "n1",
    plan: str | None = "EU868",
    ahead_s: float = 0.0,
    start_utc: dt.datetime | None = None,
    end_utc: dt.datetime | None = None,
) -> LogContext:
    """Return a context with the node n1, whose identifier is A1."""
    return LogContext(
        walk="loop",
        node_of_id={"A1": "n1"},
        only_node=only_node,
        time_zone=ZoneInfo(zone),
        regional_plan=plan,
        clock_ahead_s=ahead_s,
        start_utc=start_utc,
        end_utc=end_utc,
    )


def read_log(
    folder: Path,
    content: str | bytes,
    fields: Mapping[str, object] = LEVELS,
    with_context: LogContext | None = None,
    **keys: object,
) -> Reading:
    """Write and read a log."""
    return read_walk_log(
        written(folder, content), log_format(fields, **keys), with_context or context()
    )


def read_gpx(folder: Path, content: str | bytes) -> Reading:
    """Write and read a track."""
    return read_track(written(folder, content, "walk.gpx"), "loop")


def only_problem(error: CampaignError) -> Problem:
    """Return the one problem that an error carries."""
    (problem,) = error.problems
    return problem


def set_aside(reading: Reading) -> dict[str, tuple[int, ...]]:
    """Return the lines set aside, by code."""
    lines: dict[str, tuple[int, ...]] = {}
    for item in reading.account.set_aside:
        lines[item.code] = (*lines.get(item.code, ()), *item.lines)
    return lines


def codes(reading: Reading) -> list[str]:
    """Return the codes of the problems."""
    return [problem.code for problem in reading.problems]
