"""Where a site may be put, and how it gets there in one step."""

from __future__ import annotations

from pathlib import Path

from reportgen.errors import SiteError
from reportgen.site.building_folder import OLD, READY
from reportgen.site.exchange import exchanged
from reportgen.site.marker import is_marked, strangers, write_marker


def checked_target(target: Path, *, forbidden_inside: Path | None = None) -> Path:
    """Return the resolved target folder, if a site may be put there.

    Parameters
    ----------
    target : Path
        Absent, empty, or a site of ours. A link is followed: what it leads to is replaced.
    forbidden_inside : Path, optional
        The campaign folder: the site lies neither in it nor around it.

    Raises
    ------
    SiteError
        If the target is a file, holds something else, touches the campaign folder, or is a
        file system of its own, which can't be renamed.
    """
    resolved = target.resolve()
    if forbidden_inside is not None:
        _check_apart(resolved, forbidden_inside.resolve())
    if resolved.exists() and not resolved.is_dir():
        raise SiteError(f"{target} is a file: name a folder for the site")
    if resolved.is_mount():
        raise SiteError(
            f"{target} is where a file system is mounted, which can't be replaced in one step: "
            "name a folder inside it"
        )
    if resolved.is_dir() and any(resolved.iterdir()):
        _check_ours(resolved)
    return resolved


def _check_ours(folder: Path) -> None:
    """Refuse a folder that holds anything this program did not put there."""
    if not is_marked(folder):
        raise SiteError(
            f"{folder} is not empty and was not made by this program, so nothing was changed: "
            "name another folder, or empty that one yourself"
        )
    strange = strangers(folder)
    if strange:
        raise SiteError(
            f"{folder} holds files that this program did not put there, so nothing was changed: "
            f"{', '.join(strange[:3])}{', ...' if len(strange) > 3 else ''}; move them out, or "
            "name another folder"
        )


def _check_apart(target: Path, campaign: Path) -> None:
    if target == campaign or campaign in target.parents:
        raise SiteError(f"{target} lies in the campaign folder: name a folder beside it")
    if target in campaign.parents:
        raise SiteError(f"{target} holds the campaign folder: name a folder beside the campaign")


def put_in_place(site: Path, target: Path) -> None:
    """Mark a finished site and give it its place in one step, whatever is there staying whole.

    The two folders change places where the system can do that; else the older site waits in the
    building folder for the moment between two renames. The building folder clears it away, or
    puts it back, even if that is another build's, after this one was killed. Nothing is forced
    out to the disk (fsync): what a power failure takes can be built again.

    Parameters
    ----------
    site : Path
        Lies in the building folder of the target.
    target : Path
        As `checked_target` returned it.
    """
    write_marker(site)
    ready = site.rename(site.with_name(READY))
    if not target.exists():
        ready.rename(target)
        return
    checked_target(target)
    if not exchanged(ready, target):
        target.rename(ready.with_name(OLD))
        ready.rename(target)
