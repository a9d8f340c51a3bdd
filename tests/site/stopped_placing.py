"""Puts a small site in place and is stopped at the n-th change it makes to the file system.

Run as: python -m tests.site.stopped_placing TARGET TEXT exchange|renames exit|raise NUMBER
"""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Iterator
from pathlib import Path

from reportgen.errors import SiteError
from reportgen.site import placing
from reportgen.site.building_folder import building_folder
from reportgen.site.placing import checked_target, put_in_place

DONE, FAILED, DONE_ALL_THE_SAME, STOPPED = 0, 1, 2, 9
"""How it ends; a failure in clearing up, which the next build can mend, is none of the build."""
_CHANGES = {"os.mkdir", "os.rename", "os.remove", "os.rmdir"}


def stop_at(number: int, how: str, place: str) -> list[int]:
    """Have audit events count the changes; the n-th is not made. Return a list that then has it."""
    changes: Iterator[int] = iter(range(1, sys.maxsize))
    reached = []

    def audit(event: str, arguments: tuple[object, ...]) -> None:
        is_opened = event == "open" and str(arguments[0]).startswith(place)
        if (event in _CHANGES or is_opened) and next(changes) == number:
            reached.append(number)
            if how == "exit":
                os._exit(STOPPED)  # as by a kill: no clean-up of any kind
            raise OSError(errno.ENOSPC, "No space left on device", str(arguments[0]))

    sys.addaudithook(audit)
    return reached


def small_site(folder: Path, text: str) -> Path:
    """Write two pages, one in a folder."""
    (folder / "walks").mkdir(parents=True)
    for name in ("index.html", f"walks/{text}.html"):
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def main(target: Path, text: str, system: str, how: str, number: int) -> int:
    """Do what a build does with the file system, less the building."""
    if system == "renames":
        setattr(placing, "exchanged", lambda *_: False)  # noqa: B010 - no name of that module's own
    reached = stop_at(number, how, str(target.parent))
    place = checked_target(target)
    with building_folder(place) as folder:
        (folder / "docs").mkdir()
        put_in_place(small_site(folder / "site", text), place)
    return DONE_ALL_THE_SAME if reached else DONE


if __name__ == "__main__":
    try:
        code = main(Path(sys.argv[1]), sys.argv[2], sys.argv[3], sys.argv[4], int(sys.argv[5]))
    except (OSError, SiteError) as error:
        sys.stderr.write(str(error))
        code = FAILED
    sys.exit(code)
