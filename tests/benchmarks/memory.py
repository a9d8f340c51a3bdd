"""How much memory a process and all that it started hold."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

SAMPLED_EACH_S = 0.5


@dataclass(slots=True)
class Held:
    """The most memory found so far. [MB]"""

    most_mb: float = 0.0


@contextmanager
def watched(process: int) -> Iterator[Held]:
    """Look every half second at what a process and its descendants hold."""
    held, over = Held(), threading.Event()

    def watch() -> None:
        while not over.wait(SAMPLED_EACH_S):
            held.most_mb = max(held.most_mb, held_by(process))

    thread = threading.Thread(target=watch)
    thread.start()
    try:
        yield held
    finally:
        over.set()
        thread.join()


def held_by(process: int) -> float:
    """Return what a process and its descendants hold together, shared pages once. [MB]

    Linux only: the proportional set sizes of ``/proc/*/smaps_rollup``, see proc(5). A process that
    ends meanwhile counts nothing.
    """
    return sum(_proportional_kb(each) for each in _with_descendants(process)) / 1024


def _with_descendants(process: int) -> list[int]:
    found = [process]
    for each in found:
        for children in Path(f"/proc/{each}/task").glob("*/children"):
            found.extend(map(int, _text(children).split()))
    return found


def _proportional_kb(process: int) -> int:
    for line in _text(Path(f"/proc/{process}/smaps_rollup")).splitlines():
        if line.startswith("Pss:"):
            return int(line.split()[1])
    return 0


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="ascii")
    except OSError:
        return ""
