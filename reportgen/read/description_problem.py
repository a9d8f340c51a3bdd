"""How a fault of the description is reported: by key, found, expected, next step."""

from __future__ import annotations

from collections.abc import Callable

from reportgen.errors import Problem, Severity, Where
from reportgen.read.suggestion import nearest_advice
from reportgen.read.yaml_text import KeyPath

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


def unknown_name(path: KeyPath, name: str, known: list[str], what: str, locate: Locate) -> Problem:
    """Return the problem of a name that is not described."""
    return description_problem(
        locate(*path),
        f"unknown-{what}",
        f"the {what} {name}, which is not described",
        "one of " + ", ".join(known) if known else f"a {what} that is described",
        nearest_advice(name, known) or f"correct the name, or describe that {what}",
    )
