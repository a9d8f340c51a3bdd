"""Whether a campaign folder is as it was, but for the author's text."""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from reportgen.cli.kept import key_of
from reportgen.pages.shipped import shipped_folder

DESCRIPTION = "campaign.yaml"
SMALL_BYTES = 65_536
"""A smaller file goes by its content; a larger one by size, times and number on its disk: what
changes a file changes the time of its change, which nobody sets."""

_NAMED = re.compile(r"^conclusions:[ \t]*(.*)$", re.MULTILINE)
_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9_./-]*\.md")


@dataclass(frozen=True, slots=True, kw_only=True)
class CampaignState:
    """The key of everything in a folder but the author's text, and where that stands."""

    key: str
    conclusions: Path


def campaign_state(folder: Path) -> CampaignState | None:
    """Return a folder's state; None where it can't be told quickly.

    A link may lead anywhere, and the name of the author's file may be written in ways that only
    a reader of YAML understands: then everything is read anew.
    """
    try:
        folder = folder.resolve()
        description = (folder / DESCRIPTION).read_bytes()
        conclusions = _conclusions(folder, description.decode("utf-8"))
        if conclusions is None:
            return None
        parts = list(_files(folder, conclusions))
    except (OSError, ValueError):
        return None
    key = key_of(("site", folder.name, *_templates(), *parts))
    return CampaignState(key=key, conclusions=conclusions)


def _templates() -> Iterator[object]:
    """Yield the templates and wording that pages are made with: a group may restyle them."""
    template = shipped_folder("site_template")
    for path in sorted(template.rglob("*")):
        if path.is_file():
            yield path.relative_to(template).as_posix()
            yield path.read_bytes()


def _conclusions(folder: Path, description: str) -> Path | None:
    named = _NAMED.findall(description)
    if len(named) > 1 or "conclusions" in _NAMED.sub("", description):
        return None
    name = re.sub(r"\s+#.*$", "", named[0]).strip().strip("'\"") if named else "conclusions.md"
    path = folder / name
    is_plain = _PLAIN.fullmatch(name) is not None and ".." not in name
    return path if is_plain and path.is_file() and not path.is_symlink() else None


def _files(folder: Path, conclusions: Path) -> Iterator[object]:
    """Yield what each file is known by, in a fixed order.

    Raises
    ------
    ValueError
        If something in the folder is neither a file nor a folder.
    """
    for place, folders, names in os.walk(folder):
        folders.sort()
        for name in sorted((*folders, *names)):
            path = Path(place, name)
            seen = path.lstat()
            if stat.S_ISDIR(seen.st_mode):
                continue
            if not stat.S_ISREG(seen.st_mode):
                raise ValueError(name)
            yield path.relative_to(folder).as_posix()
            if path != conclusions:
                yield path.read_bytes() if seen.st_size <= SMALL_BYTES else _identity(seen)


def _identity(seen: os.stat_result) -> tuple[int, ...]:
    return seen.st_size, seen.st_mtime_ns, seen.st_ctime_ns, seen.st_ino, seen.st_mode
