"""Builds a campaign's site for its author alone, again and again as the campaign changes."""

from __future__ import annotations

import os
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from reportgen.site.preview_server import Preview, PreviewServer, preview_server

LOOK_EVERY_S = 0.5
SETTLED_BY_S = 5.0
"""A log that a logger goes on writing to never settles."""
MESSAGE_LETTERS = 1500

Build = Callable[[Path], str]
"""Builds the site into a folder and returns what stopped it, nothing if all went well."""
_State = dict[str, tuple[int, int]]


def keep_previewing(
    campaign: Path, build: Build, *, first_port: int, ready: Callable[[PreviewServer], None]
) -> None:
    """Build, serve, and build again after every change of the campaign, until interrupted.

    Parameters
    ----------
    campaign : Path
        Folder that is watched and never written to.
    build : callable
        Called in this thread; a build that fails leaves the last good site served.
    first_port : int
        The first port to try.
    ready : callable
        Called with the server once the first build was tried.

    Raises
    ------
    KeyboardInterrupt
        The only end there is; the private folder is gone by then.
    """
    with tempfile.TemporaryDirectory(prefix="reportgen-preview-") as private:
        preview = Preview(site=Path(private).resolve() / "site")
        with _serving(preview, first_port) as server:
            seen = state_of(campaign)
            _rebuild(preview, build)
            ready(server)
            while True:
                time.sleep(LOOK_EVERY_S)
                if state_of(campaign) != seen:
                    seen = settled(campaign)
                    _rebuild(preview, build)


def state_of(campaign: Path) -> _State:
    """Return size and time of change of every file that isn't hidden; links are not followed."""
    found: _State = {}
    for folder, folders, names in os.walk(campaign):
        folders[:] = [name for name in folders if not name.startswith(".")]
        for name in names:
            if name.startswith("."):
                continue  # such as an editor's own beside the file it has open
            path = os.path.join(folder, name)  # noqa: PTH118 - half the time, twice a second
            try:
                state = os.lstat(path)
            except OSError:
                continue  # gone since it was listed
            found[path] = (state.st_size, state.st_mtime_ns)
    return found


def settled(campaign: Path, *, wait_s: float = LOOK_EVERY_S / 2) -> _State:
    """Return the state once it has stopped changing: a file may take a while to be saved."""
    state, by = state_of(campaign), time.monotonic() + SETTLED_BY_S
    while time.monotonic() < by:
        time.sleep(wait_s)
        later = state_of(campaign)
        if later == state:
            break
        state = later
    return state


def _rebuild(preview: Preview, build: Build) -> None:
    message = build(preview.site)
    preview.message = _shortened(message)
    if not message:
        preview.builds += 1


def _shortened(message: str) -> str:
    """Return the whole lines that an open page has room for; the terminal shows all of them."""
    if len(message) <= MESSAGE_LETTERS:
        return message
    shown = message[:MESSAGE_LETTERS].rpartition("\n")[0] or message[:MESSAGE_LETTERS]
    return f"{shown}\n… the rest is in the terminal"


@contextmanager
def _serving(preview: Preview, first_port: int) -> Iterator[PreviewServer]:
    with preview_server(preview, first_port) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        try:
            yield server
        finally:
            server.shutdown()
