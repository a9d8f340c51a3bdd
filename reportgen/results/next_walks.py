"""The smallest next walks that would settle what this campaign leaves open."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from reportgen.model.walk import Walk
from reportgen.results.comparisons import Comparison
from reportgen.results.settings import NODES

Kind = Literal["repeat", "one factor"]


@dataclass(frozen=True, slots=True, kw_only=True)
class NextWalk:
    """One walk to do, and the comparison that it would settle.

    Attributes
    ----------
    kind : str
        "repeat": walk both settings again, or carry both together. "one factor": walk as the
        first walk of the comparison, but with one factor as on the second.
    factor, value : str
        What is in question, and for "one factor" what to set it to.
    walk : Walk
        The walk to do again.
    other : Walk
        The walk on which the factor was otherwise.
    comparison : str
        Key of the comparison.
    """

    kind: Kind
    factor: str
    value: str
    walk: Walk
    other: Walk
    comparison: str


def next_walks(found: Iterable[Comparison]) -> tuple[NextWalk, ...]:
    """Return the walks that would turn a difference into evidence, each question once."""
    found = tuple(found)
    settled = {item.factors for item in found if item.is_evidence}
    wanted: dict[tuple[str, ...], NextWalk] = {}
    for item in found:
        if item.standing == "as recorded" and item.factors not in settled:
            wanted.setdefault(
                ("repeat", *item.factors),
                NextWalk(
                    kind="repeat", factor=item.factors[0], value="", walk=item.first.walks[0],
                    other=item.second.walks[0], comparison=item.key,
                ),
            )  # fmt: skip
    for item in found:
        is_clear = not item.pair.mixed and not item.pair.apart.unstated
        if item.standing == "confounded" and is_clear and NODES not in item.factors:
            for factor in _open_factors(item, found):
                step = NextWalk(
                    kind="one factor", factor=factor, value=_value(item.second.walks[0], factor),
                    walk=item.first.walks[0], other=item.second.walks[0],
                    comparison=item.key,
                )  # fmt: skip
                wanted.setdefault(("one factor", "/".join(item.routes), factor), step)
                break
    return tuple(wanted.values())


def _open_factors(item: Comparison, found: tuple[Comparison, ...]) -> list[str]:
    """Return the factors of a confounded pair that no comparison tells apart, else all of them."""
    settled = {other.factors[0] for other in found if other.is_evidence and other.factors}
    return [name for name in item.factors if name not in settled] or list(item.factors)


def _value(walk: Walk, name: str) -> str:
    return next((factor.value for factor in walk.factors if factor.name == name), "")
