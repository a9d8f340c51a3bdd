"""A comparison that has not two sides is told where it stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.errors import CampaignError
from reportgen.read.campaign_parts import comparisons_of
from reportgen.read.description import read_description
from reportgen.read.description_checks import check_description

DESCRIPTION = """\
title: Sides
time_zone: UTC
stations: {pier: {name: Pier, own: true, position: {latitude_deg: 1, longitude_deg: 2}}}
nodes: {one: {name: One, ids: [a]}, two: {name: Two, ids: [b]}}
log_formats: {table: {fields: {time: time}}}
walks:
  alone: {title: Alone, nodes: [one], logs: [a.csv]}
  again: {title: Again, nodes: [one], logs: [b.csv]}
  both: {title: Both, nodes: [one, two], logs: [c.csv]}
comparisons:
"""


def written(folder: Path, comparison: str) -> Path:
    (folder / "campaign.yaml").write_text(f"{DESCRIPTION}  - {comparison}\n", "utf-8")
    return folder


@pytest.mark.parametrize(
    ("comparison", "code", "found"),
    [
        ("{title: What}", "description/comparison", "no sides"),
        ("{first: [alone]}", "description/comparison", "one side only"),
        ("{first: [alone], second: [alone]}", "description/comparison", "the walk alone twice"),
        ("{nodes: [one], walks: [both]}", "description/comparison", "1 nodes on 1 walks"),
        ("{nodes: [one, one], walks: [both]}", "description/comparison", "1 nodes on 1 walks"),
        ("{nodes: [one, two]}", "description/comparison", "2 nodes on 0 walks"),
        (
            "{nodes: [one, two], walks: [both, alone]}",
            "description/comparison",
            "the walk alone, on which not both nodes were carried",
        ),
        (
            "{first: [alone], second: [again], nodes: [one, two]}",
            "description/comparison",
            "walks and nodes at once",
        ),
        ("{first: [alone], second: [agian]}", "description/unknown-walk", "the walk agian"),
        ("{nodes: [one, tow], walks: [both]}", "description/unknown-node", "the node tow"),
    ],
)
def test_a_comparison_without_two_sides_is_told(
    tmp_path: Path, comparison: str, code: str, found: str
) -> None:
    with pytest.raises(CampaignError) as caught:
        read_description(written(tmp_path, comparison))

    (problem,) = caught.value.problems
    assert problem.code == code
    assert problem.found.startswith(found)
    assert problem.where.line == 11


@pytest.mark.parametrize(
    "comparison", ["{first: [alone], second: [again]}", "{nodes: [one, two], walks: [both]}"]
)
def test_both_ways_to_name_two_sides_are_taken(tmp_path: Path, comparison: str) -> None:
    description, locate = read_description(written(tmp_path, comparison))

    assert check_description(description, locate) == ()
    assert len(comparisons_of(description)) == 1
