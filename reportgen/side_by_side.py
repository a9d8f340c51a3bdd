"""Work on all cores, where that pays: in processes that are copies of this one.

Copies have everything in memory already, so that nothing has to be handed to them. There are such
on Linux only, and not while other threads run, whose locks a copy would keep for ever: then the
work is done one after the other, or by threads.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack, contextmanager
from typing import BinaryIO, TypeVar, cast

from reportgen.errors import ReportgenError

T = TypeVar("T")
R = TypeVar("R")

LEAST = 3
"""Fewer are done sooner than other processes have begun."""
MOST_FILES = 16
"""Systems let a process open some hundred."""
LOOK_EVERY_S = 1.0
GIVES_WAY = 5
"""The original's work is what all else waits for."""

_work: Callable[[int], object] | None = None
"""What the copies do, found in their memory."""


def each(work: Callable[[T], R], items: Sequence[T]) -> list[R]:
    """Return what `work` makes of things, in their order, whatever the number of cores.

    What goes wrong in a copy goes wrong here.

    Raises
    ------
    ReportgenError
        If the system ends a copy.
    """
    if len(items) < LEAST or not can_copy():
        return [work(item) for item in items]
    global _work  # noqa: PLW0603 - what a copied process finds in its memory
    _work = lambda index: work(items[index])  # noqa: E731
    try:
        with _copies(len(items)) as pool:
            return cast("list[R]", list(pool.map(_one, range(len(items)))))
    finally:
        _work = None


def each_text(works: Sequence[Callable[[], Iterable[str]]]) -> list[bytes]:
    """Return the text that each work yields piece by piece, in UTF-8.

    Copies write the first of them, which should be the longest, to files without names: a pipe
    would hold a long one several times over.

    Raises
    ------
    OSError
        If there is no room for these files.
    """
    with ExitStack() as stack:
        files = [stack.enter_context(tempfile.TemporaryFile()) for _ in works[:MOST_FILES]]

        def text(number: int) -> bytes | None:
            pieces = (piece.encode("utf-8") for piece in works[number]())
            if number >= len(files):
                return b"".join(pieces)
            files[number].writelines(pieces)
            files[number].flush()
            return None

        found = each(text, range(len(works)))
        return [
            _from_start(files[number]) if content is None else content
            for number, content in enumerate(found)
        ]


def _from_start(file: BinaryIO) -> bytes:
    # By its number: the file as it is known here has not heard of what a copy wrote.
    os.lseek(file.fileno(), 0, os.SEEK_SET)
    with open(file.fileno(), "rb", closefd=False) as again:
        return again.read()


def _one(index: int) -> object:
    assert _work is not None
    return _work(index)


@contextmanager
def helpers() -> Iterator[Executor]:
    """Yield what does work beside this process: copies of it, or threads.

    What is handed to it is sent to the copies, and so is what comes back. Work not begun is left
    when the caller leaves.

    Raises
    ------
    ReportgenError
        If the system ends a copy.
    """
    with _copies() if can_copy() else ThreadPoolExecutor() as pool:
        try:
            yield pool
        finally:
            pool.shutdown(cancel_futures=True)


def can_copy() -> bool:
    """Whether there can be copies of this process, and cores for them."""
    return sys.platform == "linux" and _cores() > 1 and threading.active_count() == 1


def _cores() -> int:
    return len(os.sched_getaffinity(0)) if sys.platform == "linux" else 1


@contextmanager
def _copies(most: int | None = None) -> Iterator[ProcessPoolExecutor]:
    count = _cores() if most is None else min(most, _cores())
    try:
        with ProcessPoolExecutor(
            count,
            mp_context=multiprocessing.get_context("fork"),
            initializer=_begin,
            initargs=(os.getpid(),),
        ) as pool:
            yield pool
    except BrokenProcessPool as error:
        raise ReportgenError(
            "the system ended a process that did a part of the work, as it does where memory is "
            "short; nothing was written: close other programs and run this again"
        ) from error


def _begin(original: int) -> None:
    """Make a copy give way to its original, and end with it and by it alone."""
    os.nice(GIVES_WAY)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with, args=(original,), daemon=True).start()


def _end_with(original: int) -> None:
    while os.getppid() == original:
        time.sleep(LOOK_EVERY_S)
    os._exit(1)
