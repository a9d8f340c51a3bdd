"""Which walks can be laid side by side, and what that can stand for."""

from __future__ import annotations

from reportgen.model.station import Antenna, Node
from reportgen.model.walk import Factor, Walk
from reportgen.results.comparisons import NODES, differences, node_differences


def walk(key: str, nodes: tuple[str, ...] = ("n",), **factors: str) -> Walk:
    return Walk(
        key=key, title=key, nodes=nodes,
        factors=tuple(Factor(name=name, value=value) for name, value in factors.items()),
    )  # fmt: skip


def test_a_factor_stated_for_one_walk_only_differs() -> None:
    assert differences(walk("a", antenna="whip"), walk("b")) == ("antenna",)


def test_other_nodes_are_a_factor_of_their_own() -> None:
    found = differences(walk("a", antenna="whip"), walk("b", ("m",), antenna="stub"))

    assert found == ("antenna", NODES)


def test_equal_settings_differ_in_nothing() -> None:
    assert differences(walk("a", antenna="whip"), walk("b", antenna="whip")) == ()


def test_nodes_carried_together_differ_by_what_is_stated_of_them() -> None:
    one = Node(key="n", name="N", antenna=Antenna(gain_dbi=1.5), transmit_power_dbm=14)
    two = Node(key="m", name="M", antenna=Antenna(gain_dbi=-2), transmit_power_dbm=14)
    loud = Node(key="l", name="L", antenna=Antenna(gain_dbi=-2), transmit_power_dbm=20)

    assert node_differences(one, two) == ("antenna",)
    assert node_differences(one, loud) == ("antenna", "transmit power")
    assert node_differences(one, one) == ("node",)


def test_a_power_that_nobody_stated_may_differ_and_so_is_a_factor() -> None:
    one = Node(key="n", name="N", antenna=Antenna(gain_dbi=1.5))
    two = Node(key="m", name="M", antenna=Antenna(gain_dbi=-2))

    assert node_differences(one, two) == ("antenna", "transmit power")
