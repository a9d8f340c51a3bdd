"""How a fault of the description is reported: by key, found, expected, next step."""

from __future__ import annotations

from collections.abc import Callable

from reportgen.errors import Problem, Severity, Where

Locate = Callable[..., Where]
"""Gives the place of a key by its path: ``locate("walks", "north-loop", "logs", 0)``."""


def description_problem(
    where: Where,
    code: str,
    found: str,
    expected: str,
    do: str,
    severity: Severity = Severity.ERROR,
) -> Problem:
    """Return a problem of the description; `code` is the last part of its slug."""
    return Problem(
        where=where,
        code=f"description/{code}",
        severity=severity,
        found=found,
        expected=expected,
        do=do,
    )
