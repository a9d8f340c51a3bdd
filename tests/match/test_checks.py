from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from reportgen.match.join import join
from reportgen.read.folder import read_campaign
from tests.campaigns.made import LINE, row, track, write


def codes(folder: Path) -> list[str]:
    return [problem.code for problem in join(read_campaign(folder)).problems]


ROWS = tuple(row(10 * n, n, 13 * n) for n in range(30))


def test_a_track_with_a_leg_of_kilometres_is_told(tmp_path: Path) -> None:
    """Carried on, switched off, for 50 km in two hours: possible, and no part of this walk."""
    leap = (*LINE, (LINE[-1][0] + 7200, 50_000.0))

    assert "match/track-jump" in codes(write(tmp_path / "c", "Leap", rows=ROWS, gpx=track(*leap)))


def test_a_steady_walk_is_not_doubted(tmp_path: Path) -> None:
    assert codes(write(tmp_path / "c", "Steady", rows=ROWS, gpx=track(*LINE))) == []


def test_one_row_outside_the_track_is_spoken_of_as_one(tmp_path: Path) -> None:
    """The only row is 5 s late: neither "rows" nor a range from 5 s to 5 s."""
    bare = ROWS[-1].rsplit(",", 2)[0] + ",,"
    folder = write(tmp_path / "c", "One", rows=(bare,), gpx=track((0, 0), (285, 300)))

    (problem,) = join(read_campaign(folder)).problems

    assert problem.found == "1 of 1 row outside the track's time, by 5 s"


@pytest.mark.shared
def test_a_real_logger_memory_that_crosses_an_ocean_is_told(
    tmp_path: Path, real_inputs: Path
) -> None:
    """Source: README.md of the real inputs: 271 points between Europe and Texas."""
    folder = write(tmp_path / "c", "Memory", rows=(), gpx=track(*LINE))
    shutil.copyfile(real_inputs / "gpx" / "skytraq-realdata_teleport.gpx", folder / "walk.gpx")

    assert "match/track-jump" in codes(folder)
