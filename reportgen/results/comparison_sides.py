"""Which walks and nodes are laid side by side: those asked for, and those that the walks allow."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations, pairwise

from reportgen.model.station import Node
from reportgen.model.walk import ChosenComparison, Walk
from reportgen.results.chain import node_on_walk
from reportgen.results.settings import differences, node_differences, side_differences
from reportgen.results.walks import WalkResult


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One side of a comparison: walks of one setting, or one node of walks with two."""

    walks: tuple[Walk, ...]
    nodes: tuple[Node, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two sides; `factors` were set or stated to differ, `title` is the author's question."""

    first: Side
    second: Side
    is_together: bool
    factors: tuple[str, ...]
    title: str = ""

    @property
    def key(self) -> str:
        """A slug that two pairs of one campaign seldom share."""
        if self.is_together:
            ends = (self.first.nodes[0].key, self.second.nodes[0].key)
            return "-".join((self.first.walks[0].key, *ends))
        return f"{self.first.walks[0].key}-{self.second.walks[0].key}"

    @property
    def sides(self) -> tuple[frozenset[str], frozenset[str], bool]:
        """What is compared, whatever it is called."""
        nodes = (self.first.nodes[0].key, self.second.nodes[0].key) if self.is_together else ("",)
        keys = [
            frozenset([*(walk.key for walk in side.walks)]) for side in (self.first, self.second)
        ]
        return keys[0] | {nodes[0]}, keys[1] | {nodes[-1]}, self.is_together


def asked_pair(
    chosen: ChosenComparison, walks: Mapping[str, Walk], nodes: Mapping[str, Node]
) -> Pair:
    """Return the pair that the author asks for."""
    first = tuple(walks[key] for key in chosen.first)
    if chosen.nodes:
        one, other = (nodes[key] for key in chosen.nodes)
        return _carried_together(first, one, other, chosen.title)
    second = tuple(walks[key] for key in chosen.second)
    return _walked_apart(first, second, nodes, chosen.title)


def proposed_pairs(results: Iterable[WalkResult], nodes: Mapping[str, Node]) -> Iterator[Pair]:
    """Yield nodes carried together, settings of one route, and each repeat beside the one before.

    Settings are pooled over their walks: each pair of settings once.
    """
    walks = [result.walk for result in results]
    for result in results:
        for a, b in combinations(result.nodes, 2):
            yield _carried_together((result.walk,), nodes[a], nodes[b])
    for route in dict.fromkeys(walk.route for walk in walks if walk.route):
        groups = _by_setting([walk for walk in walks if walk.route == route], nodes)
        for group in groups:
            for a_walk, b_walk in pairwise(group):
                yield _walked_apart((a_walk,), (b_walk,), nodes)
        for one, other in combinations(groups, 2):
            yield _walked_apart(one, other, nodes)


def _carried_together(walks: tuple[Walk, ...], a: Node, b: Node, title: str = "") -> Pair:
    factors = dict.fromkeys(
        name
        for walk in walks
        for name in node_differences(node_on_walk(a, walk), node_on_walk(b, walk))
    )
    return Pair(
        first=Side(walks=walks, nodes=(a,)),
        second=Side(walks=walks, nodes=(b,)),
        is_together=True,
        factors=tuple(factors),
        title=title,
    )


def _walked_apart(
    first: tuple[Walk, ...], second: tuple[Walk, ...], nodes: Mapping[str, Node], title: str = ""
) -> Pair:
    return Pair(
        first=_side(first, nodes),
        second=_side(second, nodes),
        is_together=False,
        factors=side_differences(first, second, nodes.values()),
        title=title,
    )


def _side(walks: tuple[Walk, ...], nodes: Mapping[str, Node]) -> Side:
    carried = dict.fromkeys(node for walk in walks for node in walk.nodes)
    return Side(walks=walks, nodes=tuple(nodes[key] for key in carried))


def _by_setting(walks: list[Walk], nodes: Mapping[str, Node]) -> list[tuple[Walk, ...]]:
    groups: list[list[Walk]] = []
    for walk in walks:
        for group in groups:
            if not differences(group[0], walk, nodes.values()):
                group.append(walk)
                break
        else:
            groups.append([walk])
    return [tuple(group) for group in groups]
