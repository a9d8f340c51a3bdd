"""Comparisons that the author asks for, from the description to the page."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from reportgen.match.join import join
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import Results, assemble
from tests.campaigns.made import HEADING, LINE, START, row, track, write

WALK = """\
  {key}:
    title: {key}
    route: {route}
    nodes: [buoy]
    logs: [{key}.csv]
    factors: {{antenna: {antenna}}}
"""


def shifted(text: str, days: int, hours: int) -> str:
    """Return a log line made on another day."""
    at = START + dt.timedelta(days=days, hours=hours)
    return text.replace(f"{START:%Y-%m-%dT%H}", f"{at:%Y-%m-%dT%H}")


def results_of(
    folder: Path, walks: dict[str, tuple[str, int, int]], asked: str = "", pace: float = 1.3
) -> Results:
    """Return the results of walks of (antenna, day, hour), out along one line."""
    write(folder, "Asked", rows=(), gpx=track(*LINE))
    path = folder / "campaign.yaml"
    text = path.read_text("utf-8").split("walks:")[0] + "walks:\n"
    for key, (antenna, day, hour) in walks.items():
        text += WALK.format(key=key, route="strand", antenna=antenna)
        metres = pace if key.endswith("fast") else 1.3
        # One in three is missed, so that the comparison has something to go by.
        rows = [
            shifted(row(10.0 * n, n, 100 + 10 * metres * n), day, hour)
            for n in range(59)
            if n % 3 or n == 0
        ]
        (folder / f"{key}.csv").write_text("\n".join([HEADING, *rows]) + "\n", "utf-8")
    path.write_text(text + asked, "utf-8")
    return assemble(join(read_campaign(folder)))


def standing(results: Results) -> list[str]:
    return [item.standing for item in results.compared.items]


TWO = {"whip": ("whip", 0, 0), "stub": ("stub", 1, 0)}


def test_a_comparison_that_is_asked_for_stands_first_with_its_question(tmp_path: Path) -> None:
    """By itself the pair that can be evidence would stand first."""
    walks = {**TWO, "whip-again": ("whip", 2, 0), "stub-again": ("stub", 3, 0)}
    asked = "comparisons:\n  - {title: Did the day matter, first: [whip], second: [whip-again]}\n"

    items = results_of(tmp_path / "c", walks, asked).compared.items

    assert items[0].is_chosen
    assert (items[0].pair.title, items[0].standing) == ("Did the day matter", "same settings")
    assert "repeated" in [item.standing for item in items[1:]]
    assert len({item.key for item in items}) == len(items)


def test_what_is_asked_for_is_not_proposed_again(tmp_path: Path) -> None:
    asked = "comparisons:\n  - {first: [whip], second: [stub]}\n"

    assert len(results_of(tmp_path / "c", TWO, asked).compared.items) == 1
    assert len(results_of(tmp_path / "d", TWO).compared.items) == 1


def test_repeats_in_one_go_are_no_repeats(tmp_path: Path) -> None:
    """Two walks with the whip on Monday, two with the stub on Tuesday: the day is in it."""
    in_blocks = {
        "whip": ("whip", 0, 0), "whip-again": ("whip", 0, 1),
        "stub": ("stub", 1, 0), "stub-again": ("stub", 1, 1),
    }  # fmt: skip
    in_turn = {
        "whip": ("whip", 0, 0), "stub": ("stub", 0, 1),
        "whip-again": ("whip", 0, 2), "stub-again": ("stub", 0, 3),
    }  # fmt: skip

    blocks = results_of(tmp_path / "c", in_blocks).compared.items

    assert "repeated" not in [item.standing for item in blocks]
    assert next(item for item in blocks if item.standing == "as recorded").is_one_go
    assert "repeated" in standing(results_of(tmp_path / "d", in_turn))


def test_a_comparison_of_a_walk_that_nobody_can_count_says_so(tmp_path: Path) -> None:
    asked = "comparisons:\n  - {title: Which is better, first: [whip], second: [stub]}\n"
    folder = tmp_path / "c"
    results_of(folder, TWO, asked)
    log = folder / "stub.csv"
    rows = log.read_text("utf-8").splitlines()
    blind = [",".join([*r.split(",")[:3], "", *r.split(",")[4:]]) for r in rows[1:]]
    log.write_text("\n".join([rows[0], *blind]) + "\n", "utf-8")

    compared = assemble(join(read_campaign(folder))).compared

    assert compared.items == ()
    assert [(item.walk, item.reason) for item in compared.refused] == [("stub", "no-counter")]


def test_many_walks_leave_a_page_that_can_be_read(tmp_path: Path) -> None:
    walks = {f"w{n}": (f"antenna {n}", n, 0) for n in range(7)}

    compared = results_of(tmp_path / "c", walks).compared

    assert (len(compared.items), compared.left_out) == (12, 9)


@pytest.mark.parametrize(
    ("walks", "named"),
    [
        ({"a": ("whip", 0, 0), "b": ("stub", 1, 0)}, ()),
        ({"a": ("whip", 0, 0), "b": ("stub", 1, 5)}, ("hour",)),
        ({"a": ("whip", 0, 0), "b-fast": ("stub", 1, 0)}, ("density", "ground")),
    ],
)
def test_what_differed_besides_is_named(
    tmp_path: Path, walks: dict[str, tuple[str, int, int]], named: tuple[str, ...]
) -> None:
    """5 hours later; or at twice the pace, so that frames lie farther apart and reach farther."""
    (item,) = results_of(tmp_path / "c", walks, pace=2.6).compared.items

    assert item.measured.apart == named
