"""A log with places of its own whose clock is not the track's."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.match.join import Joined, join
from reportgen.read.folder import read_campaign
from tests.campaigns.made import LATITUDE_DEG, LINE, add_sent_log, row, sent_row, track, write

MISSED = range(20, 26)


def joined(folder: Path, *, ahead_s: float, has_log: bool = False) -> Joined:
    """Return a straight walk of ten minutes at 1.3 m/s, a frame each 10 s, six of them missed.

    Each row says the place where it was heard, by a clock that runs ahead of the track's.
    """
    rows = [row(10 * n + ahead_s, n, 13 * n) for n in range(60) if n not in MISSED]
    made = write(folder / "c", "Off", rows=tuple(rows), gpx=track(*LINE))
    if has_log:
        add_sent_log(made, *(sent_row(10 * n, n) for n in range(60)))
    return join(read_campaign(made))


def north_m(found: Joined) -> list[float]:
    """Return how far out each missed frame was placed."""
    frames = found.frames.sort_values("counter")
    missed = frames[frames["counter"].isin(list(MISSED))]
    return [float(away_m) for away_m in (missed["latitude_deg"] - LATITUDE_DEG) * 111_200]


@pytest.mark.parametrize("has_log", [False, True])
def test_missed_frames_lie_between_the_recorded_places_of_their_neighbours(
    tmp_path: Path, *, has_log: bool
) -> None:
    """By the track they would lie 390 m farther out, among frames that were heard."""
    found = joined(tmp_path, ahead_s=300, has_log=has_log)

    assert north_m(found) == pytest.approx([13 * n for n in MISSED], abs=1)


def test_a_log_whose_places_the_track_does_not_share_is_told_with_its_clock(
    tmp_path: Path,
) -> None:
    (problem,) = joined(tmp_path, ahead_s=300).problems

    assert problem.code == "match/places-off-track"
    assert problem.found.startswith("places that are 390 m (median)")
    stated = int(problem.do.split("clock_ahead_s: ")[1].split(" ")[0])
    assert stated == pytest.approx(300, abs=5)


def test_places_that_agree_with_the_track_are_left_to_it(tmp_path: Path) -> None:
    """Fifteen seconds are 20 m: no more than two receivers differ by."""
    found = joined(tmp_path, ahead_s=15)

    assert found.problems == ()
    assert north_m(found) == pytest.approx([13 * n + 19.5 for n in MISSED], abs=1)
