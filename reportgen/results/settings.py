"""What was set differently: between two walks, between two nodes carried together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product

from reportgen.model.station import Node
from reportgen.model.walk import Walk
from reportgen.results.chain import node_on_walk

NODES = "nodes carried"
"""Name of the factor that differs where other nodes were carried."""
NODE = "node"
"""Name of what differs between two nodes of which nothing is stated to differ."""
POWER = "transmit power"
ADAPTIVE_RATE = "adaptive rate"
RATE = "data rate"

ALSO_CALLED = {
    "antenna": ("antenna", "aerial"),
    POWER: ("power",),
    "line": ("line", "cable", "coax", "feeder"),
    "carried height": ("height", "carried"),
    ADAPTIVE_RATE: ("adaptive", "data rate", "adr"),
    RATE: ("rate", "spreading", "sf"),
}
"""Words in the author's factors by which a difference stated or measured is the same thing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """What is `stated` to differ, and what may since it is `unstated` on one side or on both."""

    stated: tuple[str, ...] = ()
    unstated: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Everything that differs or may."""
        return (*self.stated, *self.unstated)

    def joined(self, other: Apart) -> Apart:
        """Return both together, each name once."""
        stated = dict.fromkeys([*self.stated, *other.stated])
        unstated = dict.fromkeys([*self.unstated, *other.unstated])
        return Apart(
            stated=tuple(stated),
            unstated=tuple(name for name in unstated if name not in stated),
        )


def is_told(name: str, told: Iterable[str]) -> bool:
    """Whether the author's factors say by any word what the program calls so."""
    text = " ".join(told).casefold()
    return any(word in text for word in ALSO_CALLED[name])


def differences(a: Walk, b: Walk, nodes: Iterable[Node] = ()) -> Apart:
    """Return what the author stated to differ between two walks.

    So do the nodes carried, what a node had on one of the walks in place of its usual, and
    whether the network set the rate. A factor stated for one walk only may differ.
    """
    of_a = {factor.name: factor.value for factor in a.factors}
    of_b = {factor.name: factor.value for factor in b.factors}
    names = dict.fromkeys([*of_a, *of_b])
    stated = [n for n in names if n in of_a and n in of_b and of_a[n] != of_b[n]]
    unstated = [n for n in names if (n in of_a) != (n in of_b)]
    if set(a.nodes) != set(b.nodes):
        stated.append(NODES)
    # The same thing said twice, as a factor and of the node, is one difference.
    said = [*stated, *unstated]
    told = [*said, *(of.get(name, "") for name in said for of in (of_a, of_b))]
    stated += [name for name in _of_nodes(a, b, nodes) if not is_told(name, told)]
    return Apart(stated=tuple(stated), unstated=tuple(unstated)).joined(Apart())


def _of_nodes(a: Walk, b: Walk, nodes: Iterable[Node]) -> Iterator[str]:
    """Yield what differs by what the nodes had on each walk, and by who set their rate."""
    for node in nodes:
        if node.key in a.nodes and node.key in b.nodes:
            yield from traits_apart(node_on_walk(node, a), node_on_walk(node, b))
    if a.is_rate_adaptive != b.is_rate_adaptive:
        yield ADAPTIVE_RATE


def side_differences(first: Sequence[Walk], second: Sequence[Walk], nodes: Iterable[Node]) -> Apart:
    """Return what differs between the walks of one side and those of the other."""
    return _joined(product(first, second), tuple(nodes))


def mixed_within(walks: Sequence[Walk], nodes: Iterable[Node]) -> tuple[str, ...]:
    """Return what differs among walks that stand for one setting; () as it should be."""
    return _joined(combinations(walks, 2), tuple(nodes)).stated


def _joined(pairs: Iterable[tuple[Walk, Walk]], nodes: tuple[Node, ...]) -> Apart:
    found = Apart()
    for a, b in pairs:
        found = found.joined(differences(a, b, nodes))
    return found


def node_differences(a: Node, b: Node) -> Apart:
    """Return what is stated to differ of two nodes that were carried together.

    Two radios differ by themselves where nothing is stated to. A power that is stated of neither
    may differ.
    """
    stated = traits_apart(a, b)
    is_open = a.transmit_power_dbm is None and b.transmit_power_dbm is None
    if not stated:
        return Apart(stated=(NODE,))
    return Apart(stated=stated, unstated=(POWER,) if is_open else ())


def traits_apart(a: Node, b: Node) -> tuple[str, ...]:
    """Return the traits of two nodes, or of one on two walks, that are stated to differ."""
    found = (
        ("antenna", a.antenna != b.antenna),
        (POWER, a.transmit_power_dbm != b.transmit_power_dbm),
        ("line", a.feeder != b.feeder),
        ("carried height", a.carried_height_agl_m != b.carried_height_agl_m),
    )
    return tuple(name for name, is_apart in found if is_apart)
