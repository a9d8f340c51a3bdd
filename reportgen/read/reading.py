"""What the readers share: a file of the campaign, a raw row, and what a reader hands back."""

from __future__ import annotations

import datetime as dt
import stat
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
    """Return the file `name` of the campaign folder `root`; it is not opened.

    Raises
    ------
    CampaignError
        If the name leads out of the folder (absolute, .., or a link), or is no regular file.
    """
    resolved_root = root.resolve()
    try:
        path = (resolved_root / name).resolve()
        if not path.is_relative_to(resolved_root):
            raise _outside(name, asked_at)
        mode = path.stat().st_mode
    except RuntimeError as error:  # how pathlib says that a link leads to itself
        raise _missing(name, asked_at, "a link that leads to itself") from error
    except (FileNotFoundError, NotADirectoryError) as error:
        raise _missing(name, asked_at, "no such file") from error
    except OSError as error:
        raise CampaignError([unreadable(name, asked_at, error)]) from error
    if not stat.S_ISREG(mode):
        raise _not_a_file(name, asked_at, mode)
    return CampaignFile(path=path, name=path.relative_to(resolved_root).as_posix())


def unreadable(name: str, asked_at: Where, error: OSError) -> Problem:
    """Return the problem of a file or folder that the operating system refuses to open."""
    return Problem(
        where=asked_at,
        code="path/unreadable",
        severity=Severity.ERROR,
        found=f"{name}, which can't be opened ({error.strerror or type(error).__name__})",
        expected="a file that you may read",
        do="correct the path, or the rights of the file",
    )


def _outside(name: str, asked_at: Where) -> CampaignError:
    return _refusal(
        asked_at,
        "path/outside",
        f"{name}, which leads out of the campaign folder",
        "a path inside the campaign folder",
        "copy the file into the folder and name it there",
    )


def _missing(name: str, asked_at: Where, why: str) -> CampaignError:
    return _refusal(
        asked_at,
        "path/missing",
        f"{name}: {why}",
        "a file of the campaign folder",
        "correct the path, or add the file",
    )


_NO_FILES = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a named pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)


def _not_a_file(name: str, asked_at: Where, mode: int) -> CampaignError:
    kind = next((kind for is_kind, kind in _NO_FILES if is_kind(mode)), "something else")
    return _refusal(
        asked_at,
        "path/not-a-file",
        f"{name}, which is {kind}",
        "a file with content of its own",
        "name a file, or save what comes from there as one",
    )


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
