from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.match.join import Joined, join
from reportgen.read.folder import read_campaign
from tests.campaigns.made import LINE, place, row, track, write

ROWS = tuple(row(10 * n, n, 13 * n) for n in range(30))
LEAP = (*LINE[:60], (LINE[59][0] + 2, 50_000.0), *LINE[60:])


def joined(folder: Path) -> Joined:
    return join(read_campaign(folder))


def test_a_point_where_nobody_was_is_set_aside_and_counted(tmp_path: Path) -> None:
    found = joined(write(tmp_path / "c", "Leap", rows=ROWS, gpx=track(*LEAP)))
    account = next(item for item in found.accounts if item.path == "walk.gpx")

    assert len(found.campaign.track_points) == len(LINE)
    assert (account.read, account.used, account.fault_count) == (len(LEAP), len(LINE), 1)
    assert [p.code for p in found.problems] == ["match/point-out-of-place"]


def test_no_place_is_worked_out_from_such_a_point(tmp_path: Path) -> None:
    """The frame heard a second after the leap lies on the walk, not halfway to it."""
    found = joined(write(tmp_path / "c", "Leap", rows=ROWS, gpx=track(*LEAP)))

    assert found.frames["distance_m"].max() < 1_000.0


def test_a_row_keeps_its_level_and_loses_a_place_where_nobody_was(tmp_path: Path) -> None:
    """The track knows where the node was at that time."""
    latitude, _ = place(130.0)
    astray_row = ROWS[10].replace(f"{latitude:.6f}", "48.100000")
    rows = (*ROWS[:10], astray_row, *ROWS[11:])
    found = joined(write(tmp_path / "c", "Astray", rows=rows, gpx=track(*LINE)))
    astray = found.receptions[found.receptions["counter"] == 10].iloc[0]

    assert len(found.receptions) == len(rows)
    assert astray["place_known"] == "track"
    assert astray["distance_m"] == pytest.approx(130.0, abs=2.0)
    assert [(p.code, p.where.line) for p in found.problems] == [("match/place-out-of-place", 12)]
