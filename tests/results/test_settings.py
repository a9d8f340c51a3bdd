"""What was set differently between two walks or two nodes."""

from __future__ import annotations

from dataclasses import replace

from reportgen.model.station import Antenna, Node
from reportgen.model.walk import Factor, NodeChange, Walk
from reportgen.results.settings import (
    NODES,
    Apart,
    differences,
    mixed_within,
    node_differences,
    side_differences,
)


def walk(key: str, nodes: tuple[str, ...] = ("n",), **factors: str) -> Walk:
    return Walk(
        key=key, title=key, nodes=nodes,
        factors=tuple(Factor(name=name, value=value) for name, value in factors.items()),
    )  # fmt: skip


def test_a_factor_stated_for_one_walk_only_may_differ() -> None:
    found = differences(walk("a", antenna="whip"), walk("b"))

    assert (found.stated, found.unstated) == ((), ("antenna",))


def test_other_nodes_are_a_factor_of_their_own() -> None:
    found = differences(walk("a", antenna="whip"), walk("b", ("m",), antenna="stub"))

    assert found.stated == ("antenna", NODES)


def test_equal_settings_differ_in_nothing() -> None:
    assert differences(walk("a", antenna="whip"), walk("b", antenna="whip")).names == ()


def test_nodes_carried_together_differ_by_what_is_stated_of_them() -> None:
    one = Node(key="n", name="N", antenna=Antenna(gain_dbi=1.5), transmit_power_dbm=14)
    two = Node(key="m", name="M", antenna=Antenna(gain_dbi=-2), transmit_power_dbm=14)
    loud = Node(key="l", name="L", antenna=Antenna(gain_dbi=-2), transmit_power_dbm=20)

    assert node_differences(one, two) == Apart(stated=("antenna",))
    assert node_differences(one, loud) == Apart(stated=("antenna", "transmit power"))
    assert node_differences(one, one) == Apart(stated=("node",))


def test_a_power_that_nobody_stated_may_differ_and_so_is_a_factor() -> None:
    one = Node(key="n", name="N", antenna=Antenna(gain_dbi=1.5))
    two = Node(key="m", name="M", antenna=Antenna(gain_dbi=-2))

    assert node_differences(one, two) == Apart(stated=("antenna",), unstated=("transmit power",))


def test_two_nodes_of_which_nothing_is_stated_differ_by_themselves() -> None:
    """Not by a power that nobody spoke of."""
    one, two = Node(key="n", name="N"), Node(key="m", name="M")

    assert node_differences(one, two) == Apart(stated=("node",))


def changed(key: str, antenna: str, **factors: str) -> Walk:
    """Return a walk on which node n carried another antenna than its usual one."""
    change = NodeChange(node="n", antenna=Antenna(name=antenna, gain_dbi=-2))
    return replace(walk(key, ("n",), **factors), node_changes=(change,))


NODE = Node(key="n", name="N", antenna=Antenna(name="whip", gain_dbi=1.5), transmit_power_dbm=14)


def test_another_antenna_is_a_factor_even_where_the_author_forgot_to_name_it() -> None:
    """Else a walk with other antenna and other rate would pass for one factor apart."""
    found = differences(walk("a", rate="7"), changed("b", "stub", rate="10"), [NODE])

    assert found.stated == ("rate", "antenna")


def test_the_same_difference_told_twice_is_one_factor() -> None:
    a, b = walk("a", aerial="whip"), changed("b", "stub", aerial="stub")

    assert differences(a, b, [NODE]).names == ("aerial",)


def test_a_rate_set_by_the_network_on_one_walk_is_a_factor() -> None:
    a, b = replace(walk("a"), is_rate_adaptive=True), replace(walk("b"), is_rate_adaptive=False)

    assert differences(a, b).stated == ("adaptive rate",)


def test_walks_of_one_side_that_differ_are_a_mixed_side() -> None:
    """Whip against stub, where one of the walks with the whip was also walked at another rate."""
    first = [walk("a", antenna="whip", rate="7"), walk("b", antenna="whip", rate="10")]
    second = [walk("c", antenna="stub", rate="7")]

    assert mixed_within(first, []) == ("rate",)
    assert mixed_within(second, []) == ()
    assert side_differences(first, second, []).stated == ("antenna", "rate")
