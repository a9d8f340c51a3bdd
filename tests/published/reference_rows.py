"""The table of reference values beside the checkout: rows, their inputs, and their tolerance."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferenceRow:
    """One expected value. `status` says whether it was seen, computed, or is from memory."""

    key: str
    inputs: dict[str, str]
    expected: str
    tolerance: str
    status: str

    def number(self, name: str) -> float:
        """Return one input as a number."""
        return float(self.inputs[name])

    def agrees_with(self, value: float) -> bool:
        """Tell whether a computed value is the expected one within the row's tolerance."""
        if self.expected in {"undefined", "error"}:
            return math.isnan(value)
        expected = float(self.expected)
        kind, _, size = self.tolerance.partition(" ")
        if kind == "abs":
            allowed = float(size.split()[0])
        elif kind == "rel":
            allowed = float(size) * abs(expected)
        else:
            allowed = 1e-9 * max(1.0, abs(expected))
        return value == expected or abs(value - expected) <= allowed


def reference_rows(shared_folder: Path, pattern: str) -> list[ReferenceRow]:
    """Return the rows whose whole identifier matches a regular expression."""
    path = shared_folder / "reference-checks.csv"
    with path.open(encoding="utf-8", newline="") as file:
        return [
            ReferenceRow(
                key=row["id"],
                inputs=dict(
                    part.split("=", 1) for part in row["inputs"].split("; ") if "=" in part
                ),
                expected=row["expected"],
                tolerance=row["tolerance"],
                status=row["status"],
            )
            for row in csv.DictReader(file)
            if re.fullmatch(pattern, row["id"])
        ]


def disagreements(
    shared_folder: Path, pattern: str, computed: Callable[[ReferenceRow], object], *, rows: int
) -> list[str]:
    """Return what a computation gets wrong among the rows of a topic.

    `rows` is how many there are: a pattern that finds fewer than it did checks less than it did.
    """
    found = reference_rows(shared_folder, pattern)
    wrong = [] if len(found) == rows else [f"{len(found)} rows for {pattern}, expected {rows}"]
    for row in found:
        value = float(np.asarray(computed(row), dtype=np.float64))
        if not row.agrees_with(value):
            wrong.append(f"{row.key} ({row.status}): {value!r}, expected {row.expected}")
    return wrong
