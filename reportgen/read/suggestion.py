"""The nearest known word to a misspelt one."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


def nearest_advice(word: str, known: Iterable[str]) -> str:
    """Return "did you mean …?" for the nearest of the known words, blank if none is near."""
    folded = {candidate.lower(): candidate for candidate in known}
    near = difflib.get_close_matches(word.lower(), folded, n=1, cutoff=0.6)
    return f"did you mean {folded[near[0]]}?" if near else ""
