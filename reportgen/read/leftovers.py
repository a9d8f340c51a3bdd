"""Files of the campaign folder that nothing refers to: perhaps forgotten."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from reportgen.errors import Problem, Severity, Where
from reportgen.read.photo_folder import PHOTO_ENDINGS, printable

LOG_ENDINGS = (".csv", ".tsv", ".txt", ".log", ".data", ".jsonl", ".ndjson", ".json")
TRACK_ENDINGS = (".gpx",)
SCHEMA_NAME = "campaign.schema.json"

PROBLEM_CODES = (
    ("folder/unused-file", "A file of the campaign folder that the description does not name."),
)

_OTHER_PICTURES = (".png", ".webp", ".tif", ".tiff", ".avif", ".dng")
_KINDS = (
    ("logs", LOG_ENDINGS),
    ("tracks", TRACK_ENDINGS),
    ("photos", PHOTO_ENDINGS),
    ("pictures that are neither JPEG nor HEIC", _OTHER_PICTURES),
    ("overlays", (".geojson",)),
)
_NAMES_SHOWN = 3


def leftover_notes(root: Path, used: Iterable[str]) -> tuple[Problem, ...]:
    """Return one note per folder and kind of file that nothing refers to.

    Parameters
    ----------
    root : Path
    used : iterable of str
        Paths that were read or excluded, relative to `root`.
    """
    known = set(used)
    found: dict[tuple[str, str], list[str]] = {}
    for name in folder_files(root):
        kind = kind_of(name)
        if kind and printable(name) not in known:
            found.setdefault((name.rpartition("/")[0], kind), []).append(name)
    return tuple(_note(kind, names) for (_, kind), names in sorted(found.items()))


def folder_files(root: Path) -> list[str]:
    """Return paths of all files; links and hidden folders are not followed."""
    found = []
    for folder, subfolders, names in os.walk(root, followlinks=False):
        subfolders[:] = [name for name in subfolders if not name.startswith(".")]
        found += [
            (Path(folder) / name).relative_to(root).as_posix()
            for name in names
            if not name.startswith(".")
        ]
    return sorted(found)


def kind_of(name: str) -> str:
    """Return what a file seems to be by its ending, blank for what is no business of ours."""
    if name == SCHEMA_NAME:
        return ""
    ending = Path(name).suffix.lower()
    return next((kind for kind, endings in _KINDS if ending in endings), "")


def _note(kind: str, names: list[str]) -> Problem:
    first = [printable(name) for name in names[:_NAMES_SHOWN]]
    shown = ", ".join(first) + (" and others" if len(names) > _NAMES_SHOWN else "")
    return Problem(
        where=Where(path=first[0]),
        code="folder/unused-file",
        severity=Severity.NOTE,
        found=f"{kind} that nothing refers to: {shown}",
        expected="files that the description names",
        do="name them in the description if they belong to the campaign",
        count=len(names),
    )
