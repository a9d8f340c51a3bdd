"""Which walks and nodes are laid side by side: those asked for, and those that the walks allow."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations, pairwise

from reportgen.model.station import Node
from reportgen.model.walk import ChosenComparison, Walk
from reportgen.results.chain import node_on_walk
from reportgen.results.settings import (
    Apart,
    differences,
    mixed_within,
    node_differences,
    side_differences,
    traits_apart,
)
from reportgen.results.walks import WalkResult

Member = tuple[Walk, Node]
"""A node as it was carried on a walk."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One side of a comparison: nodes on walks, all of one setting."""

    members: tuple[Member, ...]

    @property
    def walks(self) -> tuple[Walk, ...]:
        """Its walks, each once."""
        return tuple({walk.key: walk for walk, _ in self.members}.values())

    @property
    def nodes(self) -> tuple[Node, ...]:
        """Its nodes, each once."""
        return tuple({node.key: node for _, node in self.members}.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two sides.

    `apart` is what differs between them; `mixed` what differs among the walks of one side, so
    that it stands for nothing. `is_swapped` says that two nodes carried together changed over
    what they had, so that the radios themselves are on both sides. `title` is the author's
    question.
    """

    first: Side
    second: Side
    is_together: bool
    apart: Apart
    mixed: tuple[str, ...] = ()
    is_swapped: bool = False
    title: str = ""

    @property
    def key(self) -> str:
        """A slug that two pairs of one campaign seldom share."""
        if self.is_together:
            ends = (self.first.nodes[0].key, self.second.nodes[0].key)
            return "-".join((self.first.walks[0].key, *ends))
        return f"{self.first.walks[0].key}-{self.second.walks[0].key}"

    @property
    def sides(self) -> tuple[frozenset[tuple[str, str]], frozenset[tuple[str, str]]]:
        """What is compared, whatever it is called."""
        one, other = (
            frozenset((walk.key, node.key) for walk, node in side.members)
            for side in (self.first, self.second)
        )
        return one, other


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
    first: list[Member] = []
    second: list[Member] = []
    mixed: dict[str, None] = {}
    usual = (node_on_walk(a, walks[0]), node_on_walk(b, walks[0]))
    swaps = 0
    for walk in walks:
        here = (node_on_walk(a, walk), node_on_walk(b, walk))
        as_usual = _is_set_as(here, usual)
        is_swap = not as_usual and _is_set_as(here, usual[::-1])
        swaps += is_swap
        first.append((walk, b if is_swap else a))
        second.append((walk, a if is_swap else b))
        if not (as_usual or is_swap):
            pairs = zip(here, usual, strict=True)
            mixed |= dict.fromkeys(
                name for one, other in pairs for name in traits_apart(one, other)
            )
    apart = node_differences(*usual)
    return Pair(
        first=Side(members=tuple(first)),
        second=Side(members=tuple(second)),
        is_together=True,
        # What is not stated of a radio is on both sides where the radios changed over.
        apart=Apart(stated=apart.stated) if swaps else apart,
        mixed=tuple(mixed),
        is_swapped=swaps > 0,
        title=title,
    )


def _is_set_as(nodes: tuple[Node, ...], others: tuple[Node, ...]) -> bool:
    """Whether nodes have what others have, one for one."""
    return not any(traits_apart(a, b) for a, b in zip(nodes, others, strict=True))


def _walked_apart(
    first: tuple[Walk, ...], second: tuple[Walk, ...], nodes: Mapping[str, Node], title: str = ""
) -> Pair:
    known = tuple(nodes.values())
    mixed = dict.fromkeys([*mixed_within(first, known), *mixed_within(second, known)])
    return Pair(
        first=_side(first, nodes),
        second=_side(second, nodes),
        is_together=False,
        apart=side_differences(first, second, known),
        mixed=tuple(mixed),
        title=title,
    )


def _side(walks: tuple[Walk, ...], nodes: Mapping[str, Node]) -> Side:
    return Side(members=tuple((walk, nodes[key]) for walk in walks for key in walk.nodes))


def _by_setting(walks: list[Walk], nodes: Mapping[str, Node]) -> list[tuple[Walk, ...]]:
    groups: list[list[Walk]] = []
    for walk in walks:
        for group in groups:
            if not differences(group[0], walk, nodes.values()).names:
                group.append(walk)
                break
        else:
            groups.append([walk])
    return [tuple(group) for group in groups]
