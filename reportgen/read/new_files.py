"""Writes files that are not there yet: all of them or none, and never over anything."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path


def write_new_files(root: Path, files: Iterable[tuple[str, bytes]]) -> tuple[Path, ...]:
    """Write (path in the folder, content); make folders that are missing, the root too.

    Raises
    ------
    OSError
        If one of them exists or can't be written, a full disk included. What was written till
        then, and only that, is gone again.
    """
    made: list[Path] = []
    written: list[Path] = []
    try:
        for name, content in files:
            path = root / name
            _make_folders(path.parent, made)
            # "x": not even a file that came to be in the meantime is written over.
            with path.open("xb") as stream:
                written.append(path)
                stream.write(content)
    except BaseException:
        _take_away(written, made)
        raise
    return tuple(written)


def _make_folders(folder: Path, made: list[Path]) -> None:
    for missing in reversed([place for place in (folder, *folder.parents) if not place.exists()]):
        missing.mkdir()
        made.append(missing)


def _take_away(written: list[Path], made: list[Path]) -> None:
    for path in written:
        with suppress(OSError):
            path.unlink()
    for folder in reversed(made):
        with suppress(OSError):
            folder.rmdir()  # only if nobody put something there
