"""The same work on many things, on all cores where that pays."""

from __future__ import annotations

import multiprocessing
import os
import sys
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from typing import TypeVar

T = TypeVar("T")

LEAST = 3
"""Fewer are done sooner than other processes have begun."""

_work: Callable[[int], str] | None = None
"""What the processes do: they are copies of this one, so that nothing has to be handed to them."""


def each(work: Callable[[T], str], items: Sequence[T]) -> list[str]:
    """Return the texts that `work` makes of things, in their order, whatever the number of cores.

    In processes that are copies of this one, where the system makes such (Linux); one after the
    other elsewhere, and where other threads run, whose locks a copy would keep for ever. What goes
    wrong in one goes wrong here.
    """
    cores = len(os.sched_getaffinity(0)) if sys.platform == "linux" else 1
    if cores < 2 or len(items) < LEAST or threading.active_count() > 1:
        return [work(item) for item in items]
    global _work  # noqa: PLW0603 - what a copied process finds in its memory
    _work = lambda index: work(items[index])  # noqa: E731
    context = multiprocessing.get_context("fork")
    try:
        with ProcessPoolExecutor(min(cores, len(items)), mp_context=context) as pool:
            return list(pool.map(_one, range(len(items))))
    finally:
        _work = None


def _one(index: int) -> str:
    assert _work is not None
    return _work(index)
