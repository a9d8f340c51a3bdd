"""First files for a campaign folder: what can be worked out, with the gaps marked."""

from __future__ import annotations

from collections import Counter
from pathlib import Path, PurePosixPath

from reportgen.errors import CampaignError, Problem, Severity, Where
from reportgen.read.column_words import LogGuess
from reportgen.read.description import DESCRIPTION_NAME
from reportgen.read.leftovers import SCHEMA_NAME, folder_files, kind_of
from reportgen.read.log_guess import guess_log
from reportgen.read.new_files import write_new_files
from reportgen.read.photos import read_photo
from reportgen.read.reading import CampaignFile
from reportgen.read.schema_files import description_keys_text, description_schema_text
from reportgen.read.starter_text import FolderContents, conclusions_text, description_text

KEYS_NAME = "campaign-keys.md"
CONCLUSIONS_NAME = "conclusions.md"

PROBLEM_CODES = (
    ("begin/not-empty", "The folder for a copy of the example has files in it."),
    ("begin/file-exists", "A file that `begin` would write is there already."),
    ("begin/not-possible", "The folder can't be made or written to."),
)

_SURE_LOG_ENDINGS = (".csv", ".tsv", ".log", ".data", ".jsonl", ".ndjson")
"""Files of other endings are taken for logs only where a column is recognised."""


def starter_files(root: Path) -> tuple[tuple[str, str], ...]:
    """Return (name, text) of the files that begin a campaign in a folder, which may be empty.

    The description names every log, track and photo found there. It is sound YAML, and complete
    once the places marked FILL IN are filled.
    """
    return (
        (DESCRIPTION_NAME, description_text(_contents(root))),
        (SCHEMA_NAME, description_schema_text()),
        (KEYS_NAME, description_keys_text()),
        (CONCLUSIONS_NAME, conclusions_text()),
    )


def write_starter(root: Path) -> tuple[Path, ...]:
    """Write the files that begin a campaign; make the folder if there is none.

    Raises
    ------
    CampaignError
        If any of the files exists, or the folder can't be written to. Then nothing is changed.
    """
    names = (DESCRIPTION_NAME, SCHEMA_NAME, KEYS_NAME, CONCLUSIONS_NAME)
    existing = [name for name in names if (root / name).exists()]
    if existing:
        raise CampaignError([_exists(name) for name in existing])
    try:
        texts = starter_files(root)
        return write_new_files(root, [(name, text.encode("utf-8")) for name, text in texts])
    except OSError as error:
        raise CampaignError([_not_possible(root, error)]) from error


def copy_campaign(source: Path, root: Path) -> tuple[Path, ...]:
    """Copy a campaign folder into one that is new or empty; return the files of the copy.

    Raises
    ------
    CampaignError
        If the folder has anything in it, or can't be written to. Then nothing is changed.
    """
    if root.exists() and any(root.iterdir()):
        raise CampaignError([_not_empty(root)])
    names = sorted(path.relative_to(source) for path in source.rglob("*") if path.is_file())
    files = ((name.as_posix(), (source / name).read_bytes()) for name in names)
    try:
        return write_new_files(root, files)
    except OSError as error:
        raise CampaignError([_not_possible(root, error)]) from error


def _not_empty(root: Path) -> Problem:
    return Problem(
        where=Where(path=root.name),
        code="begin/not-empty",
        severity=Severity.ERROR,
        found="a folder with files in it",
        expected="a folder that does not exist yet, or is empty",
        do="name another folder for the copy of the example",
    )


def _exists(name: str) -> Problem:
    return Problem(
        where=Where(path=name),
        code="begin/file-exists",
        severity=Severity.ERROR,
        found=f"a file {name} in the folder",
        expected="a folder without it: nothing of yours is written over",
        do="go on with that file, move it away, or begin in another folder",
    )


def _not_possible(root: Path, error: OSError) -> Problem:
    return Problem(
        where=Where(path=root.name or str(root)),
        code="begin/not-possible",
        severity=Severity.ERROR,
        found=f"a folder that can't be made or written to ({error.strerror})",
        expected="a folder that you may write to",
        do="choose another folder, or change its rights",
    )


def _contents(root: Path) -> FolderContents:
    by_kind: dict[str, list[str]] = {}
    for name in filter(str.isprintable, folder_files(root)):
        by_kind.setdefault(kind_of(name), []).append(name)
    folder, photos = _photo_folder(by_kind.get("photos", []))
    return FolderContents(
        logs=tuple(_logs(root, by_kind.get("logs", []))),
        tracks=tuple(by_kind.get("tracks", [])),
        photo_folder=folder,
        photos=tuple(PurePosixPath(name).name for name in photos),
        cameras=_cameras(root, photos),
    )


def _logs(root: Path, names: list[str]) -> list[LogGuess]:
    # A pipe would wait for ever, and a link may lead out of the folder.
    regular = [name for name in names if (root / name).is_file() and not (root / name).is_symlink()]
    guesses = [guess_log(CampaignFile(path=root / name, name=name)) for name in regular]
    return [
        guess
        for guess in guesses
        if guess.fields or PurePosixPath(guess.path).suffix.lower() in _SURE_LOG_ENDINGS
    ]


def _photo_folder(names: list[str]) -> tuple[str, list[str]]:
    """Return the folder with the most photos, and its photos."""
    folders = Counter(str(PurePosixPath(name).parent) for name in names)
    if not folders:
        return "photos", []
    folder = folders.most_common(1)[0][0]
    return folder, [name for name in names if str(PurePosixPath(name).parent) == folder]


def _cameras(root: Path, names: list[str]) -> tuple[str, ...]:
    """Return the cameras that took the photos, by name."""
    cameras = set()
    for name in names:
        if not (root / name).is_file() or (root / name).is_symlink():
            continue
        metadata, _ = read_photo(CampaignFile(path=root / name, name=name))
        if metadata is not None and metadata.camera:
            cameras.add(metadata.camera)
    return tuple(sorted(cameras))
