"""Files that the author leaves out of the report: neither opened nor published, but counted."""

from __future__ import annotations

from pathlib import PurePosixPath

from reportgen.model.accounts import FileAccount, set_aside_from
from reportgen.read.description_schema import Description
from reportgen.read.intake import Intake
from reportgen.read.suggestion import nearest_advice

CODE = "publish/left-out"

PROBLEM_CODES = (
    (CODE, "A file was left out because the author asked for it; it was not opened."),
    ("publish/no-such-file", "The description leaves out a file that it does not name."),
)


def left_out_photos(description: Description, names: list[str]) -> frozenset[str]:
    """Return which photos are left out, by their own entry or by `publish.leave_out`."""
    folder = PurePosixPath(description.photos.folder)
    asked = {_plain(name) for name in description.publish.leave_out}
    excluded = {name for name, part in description.photos.files.items() if part.exclude}
    return frozenset(
        name for name in names if name in excluded | asked or _plain(str(folder / name)) in asked
    )


def is_left_out(description: Description, name: str) -> bool:
    """Whether a log or track is left out."""
    return _plain(name) in {_plain(asked) for asked in description.publish.leave_out}


def left_out_account(name: str, walk: str) -> FileAccount:
    """Return the account of a file that was not opened."""
    reasons = [(0, CODE, "left out by the author", False)]
    return FileAccount(
        path=_plain(name),
        walk=walk,
        unit="files",
        read=1,
        used=0,
        set_aside=set_aside_from(_plain(name), reasons),
    )


def note_unknown(description: Description, photos: list[str], intake: Intake) -> None:
    """Warn of a name in `publish.leave_out` that stands for nothing: a file would slip out."""
    folder = PurePosixPath(description.photos.folder)
    known = [_plain(account.path) for account in intake.accounts if account.unit == "files"]
    known += [*photos, *(_plain(str(folder / name)) for name in photos)]
    for index, name in enumerate(description.publish.leave_out):
        if _plain(name) not in known:
            intake.note(
                intake.locate("publish", "leave_out", index),
                "publish/no-such-file",
                f"the file {name}, which is no log, track or photo of the campaign",
                "the path of a log or track as a walk names it, or the name of a photo",
                nearest_advice(name, known) or "correct the name, or delete the line",
            )


def _plain(name: str) -> str:
    """Return a path as it is compared: written with slashes and without a leading ./."""
    return PurePosixPath(name).as_posix()
