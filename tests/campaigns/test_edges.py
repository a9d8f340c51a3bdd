"""Campaigns at the edge: each must come out whole and say what it is."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.match.join import join
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import Results, assemble
from tests.campaigns.made import EDGES


@pytest.fixture
def results(request: pytest.FixtureRequest, tmp_path: Path) -> Results:
    folder = EDGES[request.param](tmp_path / "campaign")
    return assemble(join(read_campaign(folder)))


only = pytest.mark.parametrize


@only("results", ["nothing-heard"], indirect=True)
def test_nothing_heard_is_neither_zero_metres_nor_zero_percent(results: Results) -> None:
    """An empty log can't tell a silent station from a node that never sent."""
    figures = results.figures

    assert figures["campaign.farthest_heard_m"].absent_reason == "nothing-heard"
    assert figures["campaign.delivery_ratio"].absent_reason == "nothing-sent"
    assert figures["campaign.frames_heard"].value == 0
    assert figures["campaign.farthest_walked_m"].number == pytest.approx(780, abs=2)


@only("results", ["only-others"], indirect=True)
def test_what_others_heard_is_not_counted_for_the_own_station(results: Results) -> None:
    """The frames are known to have been sent, and the own station missed them all."""
    figures = results.figures

    assert figures["campaign.frames_sent"].value == 30
    assert figures["campaign.frames_heard"].value == 0
    assert figures["campaign.delivery_ratio"].value == 0.0
    assert figures["campaign.farthest_heard_m"].absent_reason == "nothing-heard"
    assert figures["walk.loop.station.unlisted-1.frames_heard"].value == 30
    assert "walk.loop.station.unlisted-1.delivery_ratio" not in figures


@only("results", ["standing"], indirect=True)
def test_a_standing_spot_has_a_ratio_and_one_distance(results: Results) -> None:
    figures = results.figures

    assert figures["walk.loop.station.pier.frames_sent"].value == 39
    assert figures["walk.loop.station.pier.frames_heard"].value == 30
    assert figures["walk.loop.track_length_m"].absent_reason == "no-track"
    assert figures["campaign.farthest_heard_m"].number == pytest.approx(250, abs=1)


@only("results", ["single-row"], indirect=True)
def test_a_single_frame_is_one_of_one(results: Results) -> None:
    figures = results.figures

    assert figures["campaign.frames_sent"].value == 1
    assert figures["campaign.delivery_ratio"].value == 1.0
    assert figures["campaign.half_distance_m"].absent_reason == "too-few"
    assert figures["walk.loop.duration_s"].value == 0.0


@only("results", list(EDGES), indirect=True)
def test_used_and_set_aside_add_up_for_every_file(results: Results) -> None:
    for account in results.joined.accounts:
        assert account.used + account.set_aside_count == account.read
