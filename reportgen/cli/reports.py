"""What the commands come to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from reportgen.errors import Problem

Step = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildReport:
    """What a build came to; `index` is None where strictness stopped it.

    `remark` is what its author should know though nothing is wrong.
    """

    index: Path | None
    problems: tuple[Problem, ...]
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckReport:
    """What was understood, line by line, and every problem."""

    lines: tuple[str, ...]
    problems: tuple[Problem, ...]
