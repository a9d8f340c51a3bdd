"""What was set differently: between two walks, between two nodes carried together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations, product

from reportgen.model.station import Node
from reportgen.model.walk import Walk
from reportgen.results.chain import node_on_walk

NODES = "nodes carried"
"""Name of the factor that differs where other nodes were carried."""

ADAPTIVE_RATE = "adaptive rate"
ALSO_CALLED = {
    "antenna": ("antenna", "aerial"),
    "transmit power": ("power",),
    "line": ("line", "cable", "coax", "feeder"),
    "carried height": ("height", "carried"),
    ADAPTIVE_RATE: ("adaptive", "data rate", "adr"),
}
"""Words in the author's factors by which a difference stated of a node is the same thing."""


def differences(a: Walk, b: Walk, nodes: Iterable[Node] = ()) -> tuple[str, ...]:
    """Return the names of what the author stated to differ between two walks.

    A factor stated for one walk only differs; so do the nodes carried, what a node had on one of
    the walks in place of its usual, and whether the network set the rate.
    """
    of_a = {factor.name: factor.value for factor in a.factors}
    of_b = {factor.name: factor.value for factor in b.factors}
    found = [name for name in dict.fromkeys([*of_a, *of_b]) if of_a.get(name) != of_b.get(name)]
    if set(a.nodes) != set(b.nodes):
        found.append(NODES)
    # The same thing said twice, as a factor and of the node, is one difference.
    told = " ".join([*found, *(of.get(name, "") for name in found for of in (of_a, of_b))])
    found += [name for name in _of_nodes(a, b, nodes) if not _is_told(name, told.casefold())]
    return tuple(dict.fromkeys(found))


def _of_nodes(a: Walk, b: Walk, nodes: Iterable[Node]) -> Iterator[str]:
    """Yield what differs by what the nodes had on each walk, and by who set their rate."""
    for node in nodes:
        if node.key in a.nodes and node.key in b.nodes:
            yield from _apart(node_on_walk(node, a), node_on_walk(node, b))
    if a.is_rate_adaptive != b.is_rate_adaptive:
        yield ADAPTIVE_RATE


def _is_told(name: str, told: str) -> bool:
    return any(word in told for word in ALSO_CALLED[name])


def side_differences(
    first: Sequence[Walk], second: Sequence[Walk], nodes: Iterable[Node]
) -> tuple[str, ...]:
    """Return what differs between walks of two sides, or among the walks of one of them."""
    nodes = tuple(nodes)
    pairs = [*product(first, second), *combinations(first, 2), *combinations(second, 2)]
    return tuple(dict.fromkeys(name for a, b in pairs for name in differences(a, b, nodes)))


def node_differences(a: Node, b: Node) -> tuple[str, ...]:
    """Return what was stated differently of two nodes that were carried together."""
    # What is not stated may differ, and a factor that may differ is one.
    is_unstated = a.transmit_power_dbm is None and b.transmit_power_dbm is None
    unstated = ("transmit power",) if is_unstated else ()
    # Two radios differ by themselves where nothing is stated.
    return tuple(dict.fromkeys([*_apart(a, b), *unstated])) or ("node",)


def _apart(a: Node, b: Node) -> tuple[str, ...]:
    found = (
        ("antenna", a.antenna != b.antenna),
        ("transmit power", a.transmit_power_dbm != b.transmit_power_dbm),
        ("line", a.feeder != b.feeder),
        ("carried height", a.carried_height_agl_m != b.carried_height_agl_m),
    )
    return tuple(name for name, is_apart in found if is_apart)
