"""The hidden folder beside a target in which its site is built: one, owned by a living build."""

from __future__ import annotations

import errno
import hashlib
import os
import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from reportgen.errors import SiteError
from reportgen.site.marker import MARKER, remove_ours

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

OWNER = ".reportgen-building"
"""File by which the folder is known as ours; the build that works there holds a lock on it."""
READY = "ready"
"""A finished site on its way to the target; after the two changed places, the older site."""
OLD = "old"
"""The older site, while a system without exchange renames twice."""
DOCS = "docs"
SITE = "site"

_NAME_BYTES = 255
_TRIES = 20
# What a file system says that knows no locks; anything else than that means: somebody has it.
_NO_LOCKS = (errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP, errno.EINVAL)

Kept = Callable[[Path], None]
"""Called with the folder in which files that are not ours were kept."""


def beside(target: Path, ending: str, *, hidden: bool = False) -> Path:
    """Return a path beside the target, named after it; by a digest where its name is too long."""
    name = f"{'.' if hidden else ''}{target.name}{ending}"
    if len(os.fsencode(name)) > _NAME_BYTES:
        digest = hashlib.sha256(os.fsencode(target.name)).hexdigest()[:32]
        name = f"{'.' if hidden else ''}{digest}{ending}"
    return target.with_name(name)


@contextmanager
def building_folder(target: Path, *, kept: Kept = lambda _: None) -> Iterator[Path]:
    """Lend the hidden folder beside the target, on the same file system; it is gone afterwards.

    What a killed build left there is cleared first; an older site that it had taken away comes
    back. Folders above the target that had to be made are taken away again if the work fails.

    Raises
    ------
    SiteError
        If another build for this target is under way, or somebody else's folder has the name.
    """
    made = [folder for folder in target.parents if not folder.exists()]
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with _owned(beside(target, ".building", hidden=True)) as folder:
            _clear(folder, target, kept)
            try:
                yield folder
            finally:
                # What can't be cleared now, such as a file that is open, is the next build's.
                with suppress(OSError):
                    _clear(folder, target, kept)
    except BaseException:
        for folder in made:
            if folder.is_dir() and not any(folder.iterdir()):
                folder.rmdir()
        raise


def _clear(folder: Path, target: Path, kept: Kept) -> None:
    """Put back an older site that is nowhere else; delete what builds made."""
    if (folder / OLD).is_dir() and not target.exists():
        (folder / OLD).rename(target)
    for name in (OLD, READY):
        clear_away(folder / name, target, kept)
    for name in (DOCS, SITE):
        if (folder / name).is_dir():
            shutil.rmtree(folder / name)


def clear_away(site: Path, target: Path, kept: Kept) -> None:
    """Delete a site that was replaced; what somebody else put into it is kept beside the target."""
    if not site.is_dir() or remove_ours(site):
        return
    number = 1
    while (place := beside(target, f".kept-{number}")).exists():
        number += 1
    site.rename(place)
    (place / MARKER).unlink(missing_ok=True)
    kept(place)


@contextmanager
def _owned(folder: Path) -> Iterator[Path]:
    """Make the folder or take over a dead build's, and hold its lock."""
    lock = _locked(folder)
    try:
        yield folder
    finally:
        if sys.platform == "win32":  # which deletes no file that is open
            os.close(lock)
            _give_up(folder)
        else:
            _give_up(folder)
            os.close(lock)


def _locked(folder: Path) -> int:
    for _ in range(_TRIES):
        is_new = _made(folder)
        try:
            lock = os.open(folder / OWNER, os.O_RDWR | os.O_CREAT, 0o600)
        except FileNotFoundError:
            continue  # its owner took it away in the meantime
        except OSError:
            with suppress(OSError):
                folder.rmdir()  # only if it is empty: the disk is full
            raise
        try:
            _lock(lock, folder, is_new=is_new)
        except BaseException:
            os.close(lock)
            raise
        if _is_same(lock, folder / OWNER):
            return lock
        os.close(lock)  # that of a file which its owner has just deleted
    raise SiteError(f"{folder} comes and goes: other builds of this site are under way; try again")


def _made(folder: Path) -> bool:
    try:
        folder.mkdir(mode=0o700)
    except FileExistsError:
        is_ours = folder.is_dir() and not folder.is_symlink()
        names = {path.name for path in folder.iterdir()} if is_ours else set()
        if not is_ours or (names and OWNER not in names):
            raise SiteError(
                f"{folder} was not made by this program, so it was not touched: the site would be "
                "built there; rename it, or name another folder for the site"
            ) from None
        return False
    return True


def _lock(lock: int, folder: Path, *, is_new: bool) -> None:
    """Take the lock, which the system takes back when its owner ends, however that ends."""
    try:
        if sys.platform == "win32":
            msvcrt.locking(lock, msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        if error.errno not in _NO_LOCKS:
            raise SiteError(
                f"another build of this site is under way in {folder}; wait until it is done"
            ) from None
        if not is_new:
            raise SiteError(
                f"{folder} was left by a build that may still be under way: this file system "
                "can't tell; if none is, delete that folder and build again"
            ) from None


def _is_same(lock: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(lock), path.stat())
    except FileNotFoundError:
        return False


def _give_up(folder: Path) -> None:
    """Take the folder away; where something is left in it, it stays ours."""
    with suppress(OSError):
        if [path.name for path in folder.iterdir()] == [OWNER]:
            (folder / OWNER).unlink()
            folder.rmdir()
