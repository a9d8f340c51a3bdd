"""What was set differently between two walks."""

from __future__ import annotations

from dataclasses import dataclass

from reportgen.model.walk import Walk


@dataclass(frozen=True, slots=True, kw_only=True)
class Differences:
    """Declared differences of two walks.

    `factors` are names of factors with different values, a factor stated for one walk only among
    them; `are_nodes_different` tells whether other nodes were carried.
    """

    factors: tuple[str, ...]
    are_nodes_different: bool

    @property
    def count(self) -> int:
        """Number of things that differ."""
        return len(self.factors) + int(self.are_nodes_different)


def differences(a: Walk, b: Walk) -> Differences:
    """Return what the author declared to differ between two walks."""
    of_a = {factor.name: factor.value for factor in a.factors}
    of_b = {factor.name: factor.value for factor in b.factors}
    names = dict.fromkeys([*of_a, *of_b])
    return Differences(
        factors=tuple(name for name in names if of_a.get(name) != of_b.get(name)),
        are_nodes_different=set(a.nodes) != set(b.nodes),
    )
