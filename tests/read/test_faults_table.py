"""The table of faults in DEVELOPERS.md, row by row and kind by kind, by the command line."""

from __future__ import annotations

import re
import signal
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
from typer.testing import CliRunner

from reportgen.cli.main import app
from tests.conftest import ROOT
from tests.read.faults import CASES, FOLDER, Victim
from tests.read.whole_campaign import FILES, whole

LONGEST_S = 60
_KINDS: Mapping[str, tuple[str, ...]] = {
    "description": ("description",),
    "table": ("CSV log", "sent log"),
    "JSON Lines": ("JSON log",),
    "track": ("track",),
    "photo": ("photo",),
    "overlay": ("overlay",),
    "picture": ("picture",),
    "conclusions": ("conclusions",),
    "what the person gets": (FOLDER,),
}
"""By heading of the table; a node's own log is a table with another meaning."""
_WEIGHTS = {"**": "error", "": "warning", "*": "note"}
_PROBLEM = re.compile(
    r"^(?P<where>\S.*?)  (?P<severity>error|warning|note)  (?P<code>\S+).*\n"
    r"  found     (?P<found>.+)\n  expected  (?P<expected>.+)\n  do        (?P<do>.+)$",
    re.MULTILINE,
)


def cells_of(text: str) -> Iterator[tuple[str, str, str]]:
    """Yield (row, heading, cell) of the tables of what is wrong in a part of the page."""
    headings: list[str] = []
    for line in text.splitlines():
        cells = [cell.strip() for cell in line.strip("|").split(" | ")]
        if not line.startswith("|"):
            headings = []
        elif not headings:
            headings = cells
        elif headings[0].startswith("what is wrong") and not line.startswith("|--"):
            assert len(cells) == len(headings), line
            yield from ((cells[0], *pair) for pair in zip(headings[1:], cells[1:], strict=True))


def table() -> dict[tuple[str, str], tuple[str, str]]:
    """Return (severity, code) by (row, kind) as DEVELOPERS.md has them."""
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    part = text.split("\n## Bad input\n")[1].split("\n## ")[0]
    found = {}
    for row, heading, cell in cells_of(part):
        mark = re.fullmatch(r"(\**)([a-z0-9/-]+)\1", cell)
        if mark:
            for kind in _KINDS[heading]:
                found[row, kind] = (_WEIGHTS[mark[1]], mark[2])
        else:
            assert cell == "—", f"{row}, {heading}: {cell}"
    return found


TABLE = table()


def test_every_row_of_the_table_has_its_case_and_every_case_its_row() -> None:
    assert set(TABLE) == set(CASES)


@pytest.fixture(autouse=True)
def in_time() -> Iterator[None]:
    """Fail where something waits for ever, as opening a named pipe does."""
    if not hasattr(signal, "SIGALRM"):
        yield
        return

    def late(*_: object) -> None:
        raise TimeoutError(f"more than {LONGEST_S} s")

    before = signal.signal(signal.SIGALRM, late)
    signal.alarm(LONGEST_S)
    yield
    signal.alarm(0)
    signal.signal(signal.SIGALRM, before)


def test_the_campaign_that_is_broken_is_sound(tmp_path: Path) -> None:
    """Otherwise a fault of its own could pass for the one that a case makes."""
    ran = CliRunner().invoke(app, ["check", str(whole(tmp_path))])

    assert ran.exit_code == 0
    assert ran.stderr == ""


def is_placed(told: Mapping[str, str], path: str) -> bool:
    """Return whether it is said of which file; what the description says is told of there."""
    if told["code"].startswith("description/"):
        path = "campaign.yaml"
    return told["where"].startswith(path) or Path(path).name in told["found"]


@pytest.mark.parametrize(("row", "kind"), sorted(TABLE))
def test_a_fault_is_told_as_the_table_says(
    row: str, kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "campaign").mkdir()
    folder = whole(tmp_path / "campaign")
    severity, code = TABLE[row, kind]
    CASES[row, kind](Victim(folder=folder, kind=kind, monkeypatch=monkeypatch))

    ran = CliRunner().invoke(app, ["check", str(folder)])

    told = [found.groupdict() for found in _PROBLEM.finditer(ran.stderr)]
    assert (code, severity) in {(item["code"], item["severity"]) for item in told}, ran.stderr
    assert ran.exit_code == (1 if "error" in {item["severity"] for item in told} else 0)
    assert "error" not in {item["severity"] for item in told} or severity == "error"
    assert not re.search("Traceback|a fault of reportgen", ran.stdout + ran.stderr)
    path = FILES.get(kind, "")
    assert any(is_placed(item, path) for item in told if item["code"] == code), ran.stderr
