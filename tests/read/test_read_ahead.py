"""Files read ahead, on all cores, come to what they come to when read in their turn."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from functools import partial
from pathlib import Path

import pytest

from reportgen.read import read_ahead as module
from reportgen.read.gpx import read_track
from reportgen.read.read_ahead import ReadAhead, read_ahead
from reportgen.read.reading import CampaignFile, Reading
from tests.campaigns.made import row, track, write
from tests.conftest import ROOT
from tests.read.log_files import written

WALK = track((0, 0), (10, 20), (20, 40))
PROGRAM = """
import json, sys
from pathlib import Path
from reportgen.read import folder, read_ahead
known = []
def seen(*arguments):
    known.append(read_ahead.read_ahead(*arguments))
    return known[0]
folder.read_ahead = seen
if "in-turn" in sys.argv:
    read_ahead.LEAST_BYTES = 1e12
campaign = folder.read_campaign(Path(sys.argv[1]))
print(json.dumps([
    sorted(name for _, name in known[0].known), campaign.records.to_csv(),
    [str(problem) for problem in campaign.problems], repr(campaign.accounts),
]))
"""


@pytest.fixture
def _eager(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "LEAST_BYTES", 0)
    monkeypatch.setattr(module, "LEAST_FILES", 1)
    monkeypatch.setattr(module, "can_copy", lambda: True)


def refuse(file: CampaignFile) -> Reading:
    """Stand for a reader: nothing is read a second time."""
    raise AssertionError(f"{file.name} is read again")


def ahead_of(file: CampaignFile) -> ReadAhead:
    reader = partial(read_track, walk="loop")
    return read_ahead(file.path.parent, [("loop", file.name, reader)])


@pytest.mark.usefixtures("_eager")
def test_what_was_read_ahead_is_not_read_again(tmp_path: Path) -> None:
    file = written(tmp_path, WALK, "walk.gpx")

    reading = ahead_of(file).or_read("loop", file, refuse)()

    assert reading.table.equals(read_track(file, "loop").table)


@pytest.mark.usefixtures("_eager")
def test_a_file_that_changed_since_is_read_again(tmp_path: Path) -> None:
    file = written(tmp_path, WALK, "walk.gpx")
    ahead = ahead_of(file)

    os.utime(file.path, ns=(1, 1))

    with pytest.raises(AssertionError, match="read again"):
        ahead.or_read("loop", file, refuse)()


@pytest.mark.usefixtures("_eager")
def test_what_can_not_be_read_is_left_to_whoever_asks_for_it(tmp_path: Path) -> None:
    file = written(tmp_path, "no track at all", "walk.gpx")
    (tmp_path / "folder").mkdir()
    reader = partial(read_track, walk="loop")
    names = (file.name, "folder", "nowhere.gpx", "../outside.gpx")

    found = read_ahead(tmp_path, [("loop", name, reader) for name in names])

    assert found.known == {}
    with pytest.raises(AssertionError, match="read again"):
        found.or_read("loop", file, refuse)()


def read_apart(campaign: Path, *how: str) -> list[object]:
    """Read a campaign in a process that can be copied, and return what it came to."""
    run = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(campaign), *how],
        cwd=ROOT, capture_output=True, text=True, check=True, timeout=120,
    )  # fmt: skip
    found: list[object] = json.loads(run.stdout)
    return found


@pytest.mark.skipif(
    sys.platform != "linux" or len(os.sched_getaffinity(0)) < 2, reason="needs two cores of Linux"
)
def test_a_large_log_comes_to_the_same_read_ahead_or_in_its_turn(tmp_path: Path) -> None:
    """With rows set aside, so that accounts and problems come along."""
    rows = [row(second, second, second % 900) for second in range(40_000)]
    rows[7] = rows[7].replace("gw-1", "")
    campaign = write(tmp_path / "campaign", "Large log", rows=tuple(rows), gpx=WALK)

    ahead, in_turn = read_apart(campaign), read_apart(campaign, "in-turn")

    assert (ahead[0], in_turn[0]) == (["log.csv", "walk.gpx"], [])
    assert ahead[1:] == in_turn[1:]
    assert "no-station" in str(ahead[2])
