"""What the readers share: a file of the campaign, a raw row, and what a reader hands back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from zoneinfo import ZoneInfo

import pandas as pd

from reportgen.errors import CampaignError, Problem, Severity, Where
from reportgen.model.accounts import BrokenFrame, FileAccount
from reportgen.read.description_schema import FieldName


@dataclass(frozen=True, slots=True)
class CampaignFile:
    """A file inside the campaign folder: where it is, and how problems name it."""

    path: Path
    name: str

    def where(self, line: int = 0, column: int = 0) -> Where:
        """Return a place in this file."""
        return Where(path=self.name, line=line, column=column)


def campaign_file(root: Path, name: str, *, asked_at: Where) -> CampaignFile:
    """Return the file `name` of the campaign folder `root`.

    Raises
    ------
    CampaignError
        If the name leads out of the folder (absolute, .., or a link), or is no regular file.
    """
    resolved_root = root.resolve()
    try:
        path = (resolved_root / name).resolve()
    except (OSError, RuntimeError) as error:
        raise _refusal(
            asked_at,
            "path/missing",
            f"{name}: no path that can be followed ({type(error).__name__})",
            "a file of the campaign folder",
            "correct the path; a link must not lead to itself",
        ) from error
    if not path.is_relative_to(resolved_root):
        raise _refusal(
            asked_at,
            "path/outside",
            f"{name}, which leads out of the campaign folder",
            "a path inside the campaign folder",
            "copy the file into the folder and name it there",
        )
    if not path.is_file():
        raise _refusal(
            asked_at,
            "path/missing",
            f"{name}: no such file",
            "a file of the campaign folder",
            "correct the path, or add the file",
        )
    return CampaignFile(path=path, name=path.relative_to(resolved_root).as_posix())


def _refusal(where: Where, code: str, found: str, expected: str, do: str) -> CampaignError:
    problem = Problem(
        where=where, code=code, severity=Severity.ERROR, found=found, expected=expected, do=do
    )
    return CampaignError([problem])


@dataclass(frozen=True, slots=True)
class RawRow:
    """One row of a log before its texts are understood.

    `texts` holds the fields that the format maps, None where the cell is empty or absent;
    `fault` is a reason that makes the row unreadable as a whole (then `texts` is empty).
    """

    line: int
    texts: Mapping[FieldName, str | None] = field(default_factory=dict)
    fault: tuple[str, str] | None = None
    """(code, reason)"""


@dataclass(frozen=True, slots=True, kw_only=True)
class LogContext:
    """What a log is read against.

    Attributes
    ----------
    walk : str
        Key of the walk.
    node_of_id : Mapping[str, str]
        Identifier in the log to key, for the nodes of this walk.
    only_node : str or None
        Key of the node where the walk has just one: rows without a node field are its.
    time_zone : ZoneInfo
        Zone of times without offset.
    regional_plan : str or None
    clock_ahead_s : float
        Subtracted from every time.
    start_utc, end_utc : datetime or None
        Rows outside are set aside by request.
    """

    walk: str
    node_of_id: Mapping[str, str]
    only_node: str | None
    time_zone: ZoneInfo
    regional_plan: str | None = None
    clock_ahead_s: float = 0.0
    start_utc: dt.datetime | None = None
    end_utc: dt.datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A table, the account of its rows, and the problems met; the account always adds up."""

    table: pd.DataFrame
    account: FileAccount
    problems: tuple[Problem, ...] = ()
    broken_frames: tuple[BrokenFrame, ...] = ()
    """Frames of the uplink that rows set aside still name."""
