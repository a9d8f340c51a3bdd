"""A way for costly work to be kept from one build to the next, without knowing where."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Protocol, TypeVar

T = TypeVar("T")


class Memo(Protocol):
    """Returns what `work` returns, perhaps without doing it again.

    `kind` is the type of the result, a dataclass of plain values; `arguments` are everything that
    it depends on, besides the program itself.
    """

    def __call__(self, kind: type[T], arguments: Mapping[str, object], work: Callable[[], T]) -> T:
        """Return the result."""


def work_anew(kind: type[T], arguments: Mapping[str, object], work: Callable[[], T]) -> T:  # noqa: ARG001 - a memo's signature
    """Do the work, as a memo that keeps nothing."""
    return work()
