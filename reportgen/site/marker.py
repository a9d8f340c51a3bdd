"""What in a site's folder is ours: the marker lists it, file by file."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

from reportgen import __version__

MARKER = ".reportgen-site"
"""File by which a folder is known as a site of ours, and so may be replaced."""


def write_marker(site: Path) -> None:
    """Mark a finished site and list its files."""
    files = sorted(name for name, is_folder in _entries(site) if not is_folder and name != MARKER)
    marker = {"tool": "reportgen", "version": __version__, "files": files}
    (site / MARKER).write_text(json.dumps(marker, sort_keys=True) + "\n", encoding="utf-8")


def is_marked(folder: Path) -> bool:
    """Tell whether a folder is a site of ours."""
    return (folder / MARKER).is_file()


def strangers(folder: Path) -> list[str]:
    """Return what the marker does not account for, folders with a stroke at their end."""
    listed = _files_listed(folder)
    known = listed | _folders_of(listed)
    return sorted(
        f"{name}/" if is_folder else name
        for name, is_folder in _entries(folder)
        if name not in known and name != MARKER
    )


def remove_ours(folder: Path) -> bool:
    """Delete from a site what its marker lists and nothing else; say whether the folder is gone.

    The marker goes last, so that whoever is stopped on the way can go on later. Names come from
    looking into the folder, never from the list, which may say anything.
    """
    listed = _files_listed(folder)
    folders = _folders_of(listed)
    emptied = []
    for name, is_folder in _entries(folder):
        if is_folder and name in folders:
            emptied.append(name)
        elif not is_folder and name in listed:
            (folder / name).unlink()
    for name in sorted(emptied, key=len, reverse=True):
        _remove_if_empty(folder / name)
    if any(name != MARKER for name, _ in _entries(folder)):
        return False
    (folder / MARKER).unlink(missing_ok=True)
    folder.rmdir()
    return True


def _remove_if_empty(folder: Path) -> None:
    if not any(folder.iterdir()):
        folder.rmdir()


def _entries(folder: Path) -> Iterator[tuple[str, bool]]:
    """Yield (path in the folder, whether it is a folder); links are entries and never followed."""
    for place, folders, files in os.walk(folder):
        for name in (*folders, *files):
            path = Path(place, name)
            is_folder = name in folders and not path.is_symlink()
            yield path.relative_to(folder).as_posix(), is_folder


def _folders_of(files: set[str]) -> set[str]:
    return {str(folder) for name in files for folder in PurePosixPath(name).parents}


def _files_listed(folder: Path) -> set[str]:
    """Return what a marker lists; nothing where there is none, or none that makes sense."""
    try:
        return set(json.loads((folder / MARKER).read_text(encoding="utf-8"))["files"])
    except (FileNotFoundError, ValueError, KeyError, TypeError):
        return set()
