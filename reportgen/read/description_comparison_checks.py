"""What a comparison that the author asks for must say."""

from __future__ import annotations

from collections.abc import Iterator

from reportgen.errors import Problem
from reportgen.read.description_problem import Locate, description_problem, unknown_name
from reportgen.read.description_schema import ComparisonPart, Description
from reportgen.read.yaml_text import KeyPath

PROBLEM_CODES = (
    ("description/comparison", "A comparison has not two sides that can be told apart."),
)


def comparison_problems(description: Description, locate: Locate) -> Iterator[Problem]:
    """Yield what is wrong with the comparisons asked for."""
    for index, part in enumerate(description.comparisons):
        path: KeyPath = ("comparisons", index)
        unknown = list(_unknown(part, path, description, locate))
        yield from unknown
        fault = "" if unknown else _fault(part, description)
        if fault:
            yield description_problem(
                locate(*path),
                "comparison",
                fault,
                "walks under first: and others under second:; or two nodes under nodes: and the "
                "walks on which both were carried under walks:",
                "name both sides in one of the two ways",
            )


def _unknown(
    part: ComparisonPart, path: KeyPath, description: Description, locate: Locate
) -> Iterator[Problem]:
    for key, names, known, what in (
        ("first", part.first, description.walks, "walk"),
        ("second", part.second, description.walks, "walk"),
        ("walks", part.walks, description.walks, "walk"),
        ("nodes", part.nodes, description.nodes, "node"),
    ):
        for number, name in enumerate(names):
            if name not in known:
                yield unknown_name((*path, key, number), name, list(known), what, locate)


def _fault(part: ComparisonPart, description: Description) -> str:
    """Return what is wrong with the sides of a comparison; "" where nothing is."""
    by_walk, by_node = bool(part.first or part.second), bool(part.walks or part.nodes)
    if by_walk == by_node:
        return "walks and nodes at once" if by_walk else "no sides"
    if by_walk:
        return _fault_of_walks(part)
    if len(set(part.nodes)) != 2 or len(part.nodes) != 2 or not part.walks:
        return f"{len(set(part.nodes))} nodes on {len(part.walks)} walks"
    alone = [key for key in part.walks if not set(part.nodes) <= set(description.walks[key].nodes)]
    return f"the walk {alone[0]}, on which not both nodes were carried" if alone else ""


def _fault_of_walks(part: ComparisonPart) -> str:
    if not part.first or not part.second:
        return "one side only"
    named = [*part.first, *part.second]
    twice = [key for key in named if named.count(key) > 1]
    return f"the walk {twice[0]} twice" if twice else ""
