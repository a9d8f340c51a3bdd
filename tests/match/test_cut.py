"""Ground that is cut out leaves nothing behind, not even a miss."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.compute.geodesy import distance_m
from reportgen.errors import CampaignError
from reportgen.match.cut import CUT_CODE
from reportgen.match.join import Joined, join
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import assemble
from tests.campaigns.made import LINE, place, publish, row, track, write

HEARD = tuple(row(10 * n, n, 13.0 * n) for n in range(60) if n % 5)
"""Every tenth second a frame, of which each fifth is missed, from the pier out to 767 m."""


def cut(
    tmp_path: Path, what: str, *, rows: tuple[str, ...] = HEARD, place_told: str = "exact"
) -> Joined:
    folder = write(tmp_path / "campaign", "Cut", rows=rows, gpx=track(*LINE))
    if what:
        publish(folder, f"place: {place_told}, cut: [{what}]")
    return join(read_campaign(folder))


def at(north_m: float, radius_m: float) -> str:
    latitude, longitude = place(north_m)
    return f"{{place: [{latitude:.6f}, {longitude:.6f}], radius_m: {radius_m}}}"


def nearest_m(joined: Joined, north_m: float) -> float:
    """Return how near to a place anything comes that is left."""
    latitude, longitude = place(north_m)
    return min(
        float(distance_m(latitude, longitude, table["latitude_deg"], table["longitude_deg"]).min())
        for table in (
            joined.frames,
            joined.receptions,
            joined.campaign.track_points,
            joined.campaign.records,
        )
    )


def test_nothing_is_left_within_the_radius(tmp_path: Path) -> None:
    assert nearest_m(cut(tmp_path / "whole", ""), 400) < 10
    assert nearest_m(cut(tmp_path / "cut", at(400, 100)), 400) > 100


def test_a_place_is_cut_out_of_a_moved_campaign_too(tmp_path: Path) -> None:
    """Were the hole left behind where the campaign was, the door would be on the moved map."""
    moved = cut(tmp_path, at(400, 100), place_told="moved").campaign.track_points

    away_m = distance_m(0.0, 0.0, moved["latitude_deg"], moved["longitude_deg"])
    assert abs(away_m - 400.0).min() > 90.0
    assert away_m.max() > 750.0


def test_what_is_used_and_what_is_cut_add_up_to_what_was_read(tmp_path: Path) -> None:
    """The account itself fails where they don't; here that it says so by request."""
    joined = cut(tmp_path, at(400, 100))

    items = {item.path: item for item in joined.accounts}
    for path, table in (("log.csv", joined.receptions), ("walk.gpx", joined.campaign.track_points)):
        assert items[path].used == len(table)
        assert items[path].fault_count == 0
        assert [item.code for item in items[path].set_aside] == [CUT_CODE]


def test_a_frame_heard_in_the_hole_is_no_miss_outside(tmp_path: Path) -> None:
    """Counters go on in there: were rows cut before they are followed, each would be a miss."""
    whole, less = cut(tmp_path / "whole", ""), cut(tmp_path / "cut", at(400, 100))

    kept = whole.frames["counter"].isin(less.frames["counter"])
    assert 0 < len(less.frames) < len(whole.frames)
    assert kept.sum() == len(less.frames)
    heard = less.frames["frame"].isin(less.receptions["frame"])
    assert (heard == (less.frames["counter"] % 5 > 0)).all()


def test_rows_without_a_place_go_by_the_time_that_the_track_was_there(tmp_path: Path) -> None:
    """A chord across the hole would put them into it, or draw its width."""
    bare = tuple(f"{line.rsplit(',', 2)[0]},," for line in HEARD)
    whole = cut(tmp_path / "whole", at(400, 100))
    joined = cut(tmp_path / "bare", at(400, 100), rows=bare)

    assert nearest_m(joined, 400) > 100
    assert list(joined.receptions["counter"]) == list(whole.receptions["counter"])


def test_the_track_ends_and_begins_anew(tmp_path: Path) -> None:
    """A line across would show where, and would count as ground that was walked."""
    whole = assemble(cut(tmp_path / "whole", "")).figures
    less = assemble(cut(tmp_path / "cut", at(400, 100)))

    segments = less.joined.campaign.track_points["segment"]
    assert sorted(set(segments)) == [0, 1]
    name = "walk.loop.track_length_m"
    missing_m = (whole[name].number or 0) - (less.figures[name].number or 0)
    assert 200 < missing_m < 2 * 1.81 * 100


def test_the_end_of_a_walk_can_be_cut_at_a_station(tmp_path: Path) -> None:
    joined = cut(tmp_path, "{place: pier, radius_m: 150}, " + at(780, 60))

    assert nearest_m(joined, 0) > 150
    assert nearest_m(joined, 780) > 60
    farthest = assemble(joined).figures["campaign.farthest_walked_m"].number
    assert farthest is not None
    assert 600 < farthest < 720


def test_two_walks_of_one_place_leave_one_hole(tmp_path: Path) -> None:
    """Holes that differed from one to the next would together show their common middle."""
    first, again = cut(tmp_path / "a", at(400, 100)), cut(tmp_path / "b", at(400, 100))

    assert first.receptions["line"].equals(again.receptions["line"])


@pytest.mark.parametrize(
    ("what", "found", "do"),
    [
        ("{place: peer, radius_m: 50}", "the station peer", "did you mean pier?"),
        ("{place: [95.0, 10.0], radius_m: 50}", "95, 10", "latitude first"),
    ],
)
def test_a_cut_at_no_place_stops_the_work(tmp_path: Path, what: str, found: str, do: str) -> None:
    """Ignored it would let out what the author wants kept."""
    with pytest.raises(CampaignError) as raised:
        cut(tmp_path, what)

    problem = raised.value.problems[0]
    assert problem.code == "description/cut"
    assert str(problem.where).startswith("campaign.yaml:4:")
    assert found in problem.found
    assert do in problem.do
