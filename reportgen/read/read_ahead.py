"""Reads large files on all cores before they are asked for, one after the other, in their turn."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from reportgen.errors import CampaignError, Where
from reportgen.read.intake import FileState, file_state
from reportgen.read.reading import CampaignFile, Reading, campaign_file
from reportgen.read.text_files import LARGEST_BYTES
from reportgen.side_by_side import can_copy, helpers

Reader = Callable[[CampaignFile], Reading]

LEAST_FILES, LEAST_BYTES = 2, 2_000_000
"""Fewer and less are read sooner than other processes have begun."""


@dataclass(frozen=True, slots=True)
class ReadAhead:
    """Readings by walk and file, with the state that the file was in."""

    known: Mapping[tuple[str, str], tuple[FileState, Reading]] = field(default_factory=dict)

    def or_read(self, walk: str, file: CampaignFile, reader: Reader) -> Callable[[], Reading]:
        """Return what returns the reading, made anew where the file changed or was refused."""
        state, reading = self.known.get((walk, file.name), (None, None))
        if reading is None or _state(file) != state:
            return partial(reader, file)
        return lambda: reading


NOTHING_AHEAD = ReadAhead()


def read_ahead(root: Path, readers: Iterable[tuple[str, str, Reader]]) -> ReadAhead:
    """Read files in copies of this process, where they are large enough for that to pay.

    Parameters
    ----------
    root : Path
        The campaign folder.
    readers : iterable of (walk, name, reader)
        What reads each file. A file that can't be read is left to whoever asks for it in its
        turn, and says why.
    """
    if not can_copy():
        return NOTHING_AHEAD
    wanted: dict[tuple[str, str], tuple[CampaignFile, FileState, Reader]] = {}
    for walk, name, reader in readers:
        found = _file(root, name)
        if found is not None:
            # A walk that names a file twice reads it as it is named first.
            wanted.setdefault((walk, found[0].name), (*found, reader))
    sizes = [state[0] for _, state, _ in wanted.values()]
    if len(sizes) < LEAST_FILES or sum(sizes) < LEAST_BYTES:
        return NOTHING_AHEAD
    with helpers() as pool:
        waiting = {
            key: (state, pool.submit(_reading, reader, file))
            for key, (file, state, reader) in wanted.items()
        }
        made = {key: (state, future.result()) for key, (state, future) in waiting.items()}
    return ReadAhead(
        {key: (state, reading) for key, (state, reading) in made.items() if reading is not None}
    )


def _file(root: Path, name: str) -> tuple[CampaignFile, FileState] | None:
    try:
        file = campaign_file(root, name, asked_at=Where(path=name))
    except CampaignError:
        return None
    state = _state(file)
    return None if state is None or state[0] > LARGEST_BYTES else (file, state)


def _state(file: CampaignFile) -> FileState | None:
    try:
        return file_state(file)
    except OSError:
        return None


def _reading(reader: Reader, file: CampaignFile) -> Reading | None:
    try:
        return reader(file)
    except CampaignError:
        return None
