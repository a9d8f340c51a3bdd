"""Where a site may be put, and how it gets there in one step."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from reportgen import __version__
from reportgen.errors import SiteError

MARKER = ".reportgen-site"
"""File by which a folder is known as a site of ours, and so may be replaced."""


def checked_target(target: Path, *, forbidden_inside: Path | None = None) -> Path:
    """Return the resolved target folder, if a site may be put there.

    Parameters
    ----------
    target : Path
        Absent, empty, or a site of ours.
    forbidden_inside : Path, optional
        The campaign folder: the site lies neither in it nor around it.

    Raises
    ------
    SiteError
        If the target is a file, holds something else, or touches the campaign folder.
    """
    resolved = target.resolve()
    if forbidden_inside is not None:
        _check_apart(resolved, forbidden_inside.resolve())
    if resolved.exists() and not resolved.is_dir():
        raise SiteError(f"{target} is a file: name a folder for the site")
    if resolved.is_dir() and any(resolved.iterdir()):
        _check_ours(resolved)
    return resolved


def _check_ours(folder: Path) -> None:
    """Refuse a folder that holds anything this program did not put there."""
    if not (folder / MARKER).is_file():
        raise SiteError(
            f"{folder} is not empty and was not made by this program, so nothing was changed: "
            "name another folder, or empty that one yourself"
        )
    strangers = sorted(set(_files(folder)) - _files_made(folder / MARKER))
    if strangers:
        raise SiteError(
            f"{folder} holds files that this program did not put there, so nothing was changed: "
            f"{', '.join(strangers[:3])}{', ...' if len(strangers) > 3 else ''}; move them out, or "
            "name another folder"
        )


def _files(folder: Path) -> list[str]:
    return sorted(
        path.relative_to(folder).as_posix()
        for path in folder.rglob("*")
        if not path.is_dir() and path.relative_to(folder).as_posix() != MARKER
    )


def _files_made(marker: Path) -> set[str]:
    """Return what a marker lists; nothing where it can't be read."""
    try:
        return set(json.loads(marker.read_text(encoding="utf-8"))["files"])
    except (OSError, ValueError, KeyError, TypeError):
        return set()


def _check_apart(target: Path, campaign: Path) -> None:
    if target == campaign or campaign in target.parents:
        raise SiteError(f"{target} lies in the campaign folder: name a folder beside it")
    if target in campaign.parents:
        raise SiteError(f"{target} holds the campaign folder: name a folder beside the campaign")


@contextmanager
def building_folder(target: Path) -> Iterator[Path]:
    """Lend a hidden folder beside the target, on the same file system; it is gone afterwards.

    Folders above the target that had to be made are taken away again if the work fails.
    """
    made = [folder for folder in target.parents if not folder.exists()]
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(
            prefix=f".{target.name}.building-", dir=target.parent, ignore_cleanup_errors=True
        ) as lent:
            yield Path(lent)
    except BaseException:
        for folder in made:
            if folder.is_dir() and not any(folder.iterdir()):
                folder.rmdir()
        raise


def put_in_place(site: Path, target: Path) -> None:
    """Mark a finished site and move it to its target in one step, replacing an older one.

    The older site stays whole until the new one stands, and comes back if that fails.
    """
    marker = {"tool": "reportgen", "version": __version__, "files": _files(site)}
    (site / MARKER).write_text(json.dumps(marker, sort_keys=True) + "\n", encoding="utf-8")
    if not target.exists():
        site.rename(target)
        return
    checked_target(target)
    holder = Path(tempfile.mkdtemp(prefix=f".{target.name}.old-", dir=target.parent))
    old = holder / target.name
    try:
        target.rename(old)
        site.rename(target)
    except BaseException:
        if old.exists() and not target.exists():
            old.rename(target)
        raise
    finally:
        # Where even the way back failed, the older site is still in the hidden folder: keep it.
        if target.exists():
            shutil.rmtree(holder, ignore_errors=True)
