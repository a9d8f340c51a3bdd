"""A second station of one's own is neither somebody else's nor invisible."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.pages.charts.description import Mark
from reportgen.pages.charts.thinning import drawn
from reportgen.pages.context import Context
from reportgen.pages.drafts import drafts
from reportgen.pages.maps import map_points
from reportgen.pages.others_page import others_view
from reportgen.pages.overview_page import overview_view
from reportgen.pages.plots import time_series
from reportgen.pages.sentences import as_html
from tests.campaigns.made import add_own_station, row, two_own, write
from tests.pages.made_context import context_of, plain


@pytest.fixture(scope="module")
def context(tmp_path_factory: pytest.TempPathFactory) -> Context:
    return context_of(two_own(tmp_path_factory.mktemp("made") / "c"))


def test_the_lead_tells_what_every_own_station_heard(context: Context) -> None:
    """A third of the frames is all that the pier heard, and half is what the roof did."""
    said = " ".join(plain(text) for text in overview_view(context).lead)

    assert "Pier heard 20 of 60 frames, 33 %." in said
    assert "Roof, another own station, heard 30 of 60 frames, 50 %, the farthest 987 m away" in said


def test_the_drafts_tell_what_every_own_station_heard(context: Context) -> None:
    said = " ".join(plain(as_html(context, draft)) for draft in drafts(context))

    assert "Roof, another own station, heard 30 of 60 frames" in said


def test_marks_tell_an_own_station_from_somebody_elses(context: Context) -> None:
    """On the map, in the key and under the pointer."""
    results = context.results
    (mine,) = (
        series
        for series in drawn(
            map_points(context, results.joined.frames, results.joined.receptions), by_x=False
        )
        if series.mark is Mark.OTHER_STATION
    )

    assert mine.name == "not heard by Pier, but by another own station: Roof"
    assert len(mine.x) == 20
    assert all("heard by Roof" in hover for hover in mine.hover)


def test_the_chart_over_time_shows_every_own_station(context: Context) -> None:
    names = [series.name for series in time_series(context, context.results.walks[0])]

    assert "heard by Roof, another own station" in names
    assert "sent, not heard by Pier" in names
    assert "heard by somebody else's station" not in names


def test_an_own_station_is_none_of_the_others(context: Context) -> None:
    figures = context.results.figures

    assert not others_view(context).has_others
    assert figures["other.frames_alone"].value == 0
    assert figures["campaign.other_stations_heard"].value == 0


def test_frames_that_own_and_other_stations_heard_are_drawn_as_own(tmp_path: Path) -> None:
    rows = [row(10 * n, n, 13.0 * n) for n in range(5)]
    rows += [row(10 * n, n, 13.0 * n, station="gw-2") for n in range(5, 10)]
    rows += [row(10 * n, n, 13.0 * n, station="gw-9") for n in range(8, 15)]
    folder = write(tmp_path / "c", "Three", rows=tuple(rows))
    add_own_station(folder, "roof", "Roof", "gw-2", north_m=1000.0)
    context = context_of(folder)
    joined = context.results.joined

    counts = {
        series.name: len(series.x)
        for series in drawn(map_points(context, joined.frames, joined.receptions), by_x=False)
        if series.mark is Mark.OTHER_STATION
    }

    assert counts == {
        "not heard by Pier, but by another own station: Roof": 5,
        "heard by somebody else's station only": 5,
    }
    assert context.results.figures["other.frames_alone"].value == 5


def test_a_silent_own_station_is_said_to_be_silent(tmp_path: Path) -> None:
    folder = write(tmp_path / "c", "Silent", rows=tuple(row(10 * n, n, 13.0 * n) for n in range(9)))
    add_own_station(folder, "roof", "Roof", "gw-2", north_m=1000.0)
    context = context_of(folder)

    said = " ".join(plain(text) for text in overview_view(context).lead)

    assert "Roof, another own station, heard nothing." in said
