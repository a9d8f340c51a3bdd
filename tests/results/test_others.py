"""What other people's stations heard is shown apart, and is no reach of one's own."""

from __future__ import annotations

from pathlib import Path

from reportgen.match.join import join
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import assemble
from tests.campaigns.made import row, write


def test_frames_that_only_another_station_heard_are_counted_apart(tmp_path: Path) -> None:
    """Ten frames: the pier hears four, a stranger seven, three of them both."""
    rows = [row(10 * n, n, 100 + 10 * n) for n in (0, 1, 2, 9)]
    rows += [row(10 * n, n, 100 + 10 * n, station="gw-9") for n in range(7)]
    results = assemble(join(read_campaign(write(tmp_path / "c", "Others", rows=tuple(rows)))))
    book = results.figures

    assert book["other.frames_alone"].value == 4
    assert book["other.unlisted-1.frames_alone"].value == 4
    assert book["other.unlisted-1.frames_heard"].value == 7
    assert book["other.unlisted-1.distance_from_home_m"].absent_reason == "no-station-position"
    assert book["campaign.frames_heard"].value == 4


def test_a_campaign_that_nobody_else_heard_has_none(tmp_path: Path) -> None:
    rows = tuple(row(10 * n, n, 100 + 10 * n) for n in range(5))
    book = assemble(join(read_campaign(write(tmp_path / "c", "Alone", rows=rows)))).figures

    assert book["other.frames_alone"].value == 0
