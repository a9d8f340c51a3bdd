"""Each station's figures speak of the ground as it lies from that station."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.match.join import join
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import assemble
from reportgen.results.figure import FigureBook
from tests.campaigns.made import LINE, add_own_station, row, track, write

PATH = "walk.loop.station"


def two_roofs(folder: Path) -> FigureBook:
    """Sixty frames from the pier out to 767 m; the roof, 1000 m out, hears those from 494 m on.

    Of the frames nearer to the pier, 506 m and more from the roof, it hears none. A stranger hears
    the first thirty.
    """
    rows = [row(10 * n, n, 13.0 * n) for n in range(60)]
    rows += [row(10 * n, n, 13.0 * n, station="gw-2") for n in range(38, 60)]
    rows += [row(10 * n, n, 13.0 * n, station="gw-9") for n in range(30)]
    write(folder, "Two roofs", rows=tuple(rows), gpx=track(*LINE))
    add_own_station(folder, "roof", "Roof", "gw-2", north_m=1000.0)
    return assemble(join(read_campaign(folder))).figures


def test_a_second_own_station_meets_its_own_end_of_reach(tmp_path: Path) -> None:
    """Seen from the pier every frame that the roof missed lies nearer than those it heard."""
    book = two_roofs(tmp_path / "c")

    assert book[f"{PATH}.roof.farthest_heard_m"].number == pytest.approx(506.0, abs=2.0)
    assert book[f"{PATH}.roof.farthest_heard_m"].prefix == ""
    assert book[f"{PATH}.roof.reach_end"].value == "missed beyond"
    assert book[f"{PATH}.pier.reach_end"].value == "not walked beyond"


def test_half_is_heard_by_a_second_own_station_at_a_distance_from_itself(tmp_path: Path) -> None:
    """It hears all frames up to 506 m from it and none farther."""
    half_m = two_roofs(tmp_path / "c")[f"{PATH}.roof.half_distance_m"].number

    assert half_m == pytest.approx(506.0, abs=30.0)


def test_what_somebody_elses_station_missed_is_not_known(tmp_path: Path) -> None:
    """So its farthest frame is no end, wherever it is shown."""
    folder = tmp_path / "c"
    two_roofs(folder)
    path = folder / "campaign.yaml"
    text = path.read_text(encoding="utf-8").replace(", own: true, ids: [gw-2]", ", ids: [gw-2]")
    path.write_text(text, encoding="utf-8")
    book = assemble(join(read_campaign(folder))).figures

    assert book[f"{PATH}.roof.farthest_heard_m"].prefix == "at least"
    assert book["other.roof.farthest_heard_m"].prefix == "at least"
    assert f"{PATH}.roof.reach_end" not in book
