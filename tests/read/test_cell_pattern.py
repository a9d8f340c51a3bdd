"""A pattern of the description can't hang a build, and finds what it always found."""

from __future__ import annotations

import time
from collections import deque
from pathlib import Path

import pytest

from reportgen.errors import CampaignError, Where
from reportgen.read import cell_pattern
from reportgen.read.cell_pattern import LONGEST_CELL, CellPattern, is_too_costly
from tests.read.log_files import FIELDS, only_problem, read_log

SECONDS = 10.0
HERE = Where(path="campaign.yaml", line=3)


@pytest.mark.parametrize(
    "pattern",
    [
        "(a+)+$", "(a*)*$", "(?:a?){40}b", "(a|aa)+$", "(?:a{1,9}){1,9}b", "(?P<n>a+b?)+",
        "a*a*a*a*b", "a?" * 40 + "b", "(?:a|a)" * 40 + "b", "a{1,9}" * 9 + "b", "(?x)(a+ # )\n)+",
        "((a+)b?)+", "a?" * 20 + "b", "a*a*a*b|a*a*a*c", "(" * 50 + "a*a*" + ")" * 50 + "a*a*b",
        "[])]*[)(]*a*a*b", "(?=(a+)+b)", "(a++)+a*a*a*a*b",
    ],
)  # fmt: skip
def test_a_pattern_that_can_take_hours_is_refused(tmp_path: Path, pattern: str) -> None:
    """At reading, before any cell: `(a+)+$` tries 2 to the 30 ways on thirty letters."""
    text = f"time,station,data\n2026-03-03T10:00:00Z,gw,{'a' * 60}c\n"
    fields = {**FIELDS, "counter": {"column": "data", "pattern": pattern}}
    began_s = time.monotonic()
    with pytest.raises(CampaignError) as caught:
        read_log(tmp_path, text, fields)

    problem = only_problem(caught.value)
    assert problem.code == "log/pattern-too-costly"
    assert pattern[:20] in problem.found
    assert "++" in problem.do
    assert time.monotonic() - began_s < SECONDS


@pytest.mark.parametrize(
    ("pattern", "text", "found"),
    [
        (r"^(\d+)[#/]", "17#x", "17"),
        ("n=(.*)", "n= 4", " 4"),
        (r"SF(\d+)BW(\d+)", "SF7BW125", "7"),
        (r"^\S++\s++\S++\s++(\d+)", "a b 12 c", "12"),
        (r"(?:SF|BW)?(\d{1,3}),", "SF12,", "12"),
        (r"[)(*+]+(\d)", "(+1", "1"),
        (r"\((\d+)\)+", "(3))", "3"),
        ("(?i)rssi=(-?[0-9]+)", "RSSI=-80", "-80"),
        ("{([0-9]+)}", "{5}", "5"),
    ],
)
def test_ordinary_patterns_are_not_refused(pattern: str, text: str, found: str) -> None:
    match = CellPattern(pattern, HERE).search(text)

    assert not is_too_costly(pattern)
    assert match is not None
    assert match[1] == found


@pytest.mark.parametrize(
    "pattern", ["a*a*a*b", "a?" * 11 + "b", "(?:a|a)" * 11 + "b", "a{1,9}" * 3]
)
def test_what_is_not_refused_is_done_with_any_cell_in_time(pattern: str) -> None:
    """A cell may have a hundred thousand letters; only its beginning is looked at."""
    began_s = time.monotonic()
    CellPattern(pattern, HERE).search("a" * 100_000 + "c")

    assert not is_too_costly(pattern)
    assert time.monotonic() - began_s < SECONDS


def test_nothing_is_found_where_a_cell_is_cut() -> None:
    """Half a number would be a wrong one."""
    pattern = CellPattern("([0-9]+)", HERE)
    before = "x" * (LONGEST_CELL - 3)

    assert pattern.search(before + "12345") is None
    whole = pattern.search(before + "12,45")
    assert whole is not None
    assert whole[1] == "12"
    last = pattern.search(before + "123")
    assert last is not None
    assert last[1] == "123"


def test_a_pattern_that_is_slow_on_many_cells_stops_the_log(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(cell_pattern, "MOST_SECONDS", 0.3)
    pattern = CellPattern("a*a*a*b", HERE)
    cells = ("a" * 199 + str(number) for number in range(1000))
    with pytest.raises(CampaignError) as caught:
        deque(map(pattern.search, cells), maxlen=0)

    problem = only_problem(caught.value)
    assert (problem.code, problem.where) == ("log/pattern-too-slow", HERE)
    assert "fewer repeats" in problem.do
