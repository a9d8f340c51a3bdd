"""What is gathered while the files of a campaign are read: problems, checksums, accounts."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

from reportgen.errors import CampaignError, Problem, Severity, Where
from reportgen.model.accounts import BrokenFrame, FileAccount
from reportgen.read.description_problem import Locate
from reportgen.read.reading import CampaignFile, campaign_file, unreadable
from reportgen.read.text_files import LARGEST_BYTES, refuse_too_large

PROBLEM_CODES = (
    ("path/outside", "A path leads out of the campaign folder."),
    ("path/missing", "A file that the description names is not there."),
    ("path/not-a-file", "A folder, a named pipe or a device stands where a file should."),
    ("path/unreadable", "A file is there but can't be opened."),
    ("path/changed", "A file changed while it was read."),
)


FileState = tuple[int, int]


class Intake:
    """Opens the files of one campaign folder and remembers everything said about them.

    A file that can't be used is noted and does not hide the next; `stop_if_unusable` raises once
    all have been tried. `is_unusable` says whether it will.
    """

    def __init__(
        self, root: Path, locate: Locate, progress: Callable[[str], None] | None = None
    ) -> None:
        self.root = root
        self.locate = locate
        self.problems: list[Problem] = []
        self.accounts: list[FileAccount] = []
        self.broken_frames: list[BrokenFrame] = []
        self._progress = progress
        self._checksums: dict[str, str] = {}
        self._states: dict[str, tuple[CampaignFile, FileState]] = {}
        self.is_unusable = False

    @property
    def checksums(self) -> tuple[tuple[str, str], ...]:
        """(path, SHA-256) of every file taken in, sorted by path."""
        return tuple(sorted(self._checksums.items()))

    def take(self, name: str, asked_at: Where) -> CampaignFile | None:
        """Return the file; None with a noted error where it is none that can be read."""
        try:
            file = campaign_file(self.root, name, asked_at=asked_at)
            if self._progress is not None:
                self._progress(f"reading {file.name}")
            if file.name not in self._checksums:
                # Before the checksum: a file of absurd size takes hours to read.
                refuse_too_large(file, LARGEST_BYTES)
                self._states[file.name] = (file, file_state(file))
                with file.path.open("rb") as stream:
                    self._checksums[file.name] = hashlib.file_digest(stream, "sha256").hexdigest()
        except CampaignError as error:
            self.refuse(error)
            return None
        except OSError as error:
            self.refuse(CampaignError([unreadable(name, asked_at, error)]))
            return None
        return file

    def note_changed(self) -> None:
        """Note files that are no longer what they were when they were taken in."""
        for file, before in self._states.values():
            try:
                is_same = file_state(file) == before
            except OSError:
                is_same = False
            if not is_same:
                self.note(
                    file.where(),
                    "path/changed",
                    "a file that changed, or went, while it was read",
                    "files that stay as they are",
                    "let the program that writes it finish, then run this again",
                )

    def refuse(self, error: CampaignError) -> None:
        """Note that the campaign can't be used, and why."""
        self.problems += error.problems
        self.is_unusable = True

    def note(
        self,
        where: Where,
        code: str,
        found: str,
        expected: str,
        do: str,
        severity: Severity = Severity.WARNING,
        count: int = 1,
    ) -> None:
        """Note a problem that does not stop the work."""
        self.problems.append(
            Problem(
                where=where,
                code=code,
                severity=severity,
                found=found,
                expected=expected,
                do=do,
                count=count,
            )
        )

    def stop_if_unusable(self) -> None:
        """Raise everything noted where any file was refused.

        Raises
        ------
        CampaignError
            With all problems, not the first alone.
        """
        if self.is_unusable:
            raise CampaignError(self.problems)


def file_state(file: CampaignFile) -> FileState:
    """Return what tells that a file changed: size and time of change.

    Raises
    ------
    OSError
    """
    found = file.path.stat()
    return found.st_size, found.st_mtime_ns
