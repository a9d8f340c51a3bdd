"""Campaigns at the edge: each must come out whole and say what it is."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.errors import CampaignError
from reportgen.match.join import join
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import Results, assemble
from tests.campaigns.made import EDGES, LINE, row, track, write


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


def problems_of(folder: Path) -> dict[str, str]:
    return {problem.code: problem.found for problem in join(read_campaign(folder)).problems}


def test_an_own_station_that_no_log_names_is_doubted_before_it_is_called_silent(
    tmp_path: Path,
) -> None:
    """A misspelt identifier must not read as a station that hears nothing."""
    folder = EDGES["standing"](tmp_path / "campaign")
    description = folder / "campaign.yaml"
    text = description.read_text("utf-8").replace("ids: [gw-1]", "ids: [gw-l]")
    description.write_text(text, "utf-8")

    joined = join(read_campaign(folder))

    assert [p.code for p in joined.problems] == ["match/own-station-silent"]
    assert "gw-1" not in joined.problems[0].found
    assert joined.unlisted_ids == (("unlisted-1", "gw-1"),)


def test_latitude_and_longitude_that_changed_places_are_doubted(tmp_path: Path) -> None:
    folder = EDGES["standing"](tmp_path / "campaign")
    description = folder / "campaign.yaml"
    text = description.read_text("utf-8")
    swapped = text.replace("latitude_deg: 47.5, longitude_deg: -31.25",
                           "latitude_deg: -31.25, longitude_deg: 47.5")  # fmt: skip
    assert swapped != text
    description.write_text(swapped, "utf-8")

    assert "match/far-from-station" in problems_of(folder)


def test_a_log_with_places_of_its_own_is_still_held_against_the_tracks_time(
    tmp_path: Path,
) -> None:
    """Its places hide a wrong zone, and its photos would be matched hours off."""
    rows = tuple(row(7200 + 10 * n, n, 100 + 10 * n) for n in range(30))
    folder = write(tmp_path / "campaign", "Two hours off", rows=rows, gpx=track(*LINE))

    found = problems_of(folder)["match/log-outside-track"]

    assert found.startswith("30 of 30 rows outside the track's time, by 1 h 50 min")


def test_files_whose_names_come_to_one_slug_are_told_apart(tmp_path: Path) -> None:
    """Names in other scripts leave nothing of themselves in a slug."""
    folder = EDGES["standing"](tmp_path / "campaign")
    log = (folder / "log.csv").read_text("utf-8").splitlines()
    (folder / "\u6d77.csv").write_text("\n".join(log[:11]) + "\n", "utf-8")
    (folder / "\u5c71.csv").write_text("\n".join([log[0], *log[11:]]) + "\n", "utf-8")
    (folder / "log.csv").unlink()
    description = folder / "campaign.yaml"
    text = description.read_text("utf-8").replace("[log.csv]", "[\u6d77.csv, \u5c71.csv]")
    description.write_text(text, "utf-8")

    figures = assemble(join(read_campaign(folder))).figures

    assert figures["input.walk.loop.csv.read"].value == 10
    assert figures["input.walk.loop.csv-2.read"].value == 20
    assert figures["input.total.rows.read"].value == 30


def test_data_rates_that_differ_in_spelling_alone_are_one(tmp_path: Path) -> None:
    folder = EDGES["standing"](tmp_path / "campaign")
    lines = (folder / "log.csv").read_text("utf-8").splitlines()
    rated = [f"{lines[0]},dr"]
    rated += [f"{line},{'Fast' if n % 2 else 'FAST'}" for n, line in enumerate(lines[1:])]
    (folder / "log.csv").write_text("\n".join(rated) + "\n", "utf-8")
    description = folder / "campaign.yaml"
    text = description.read_text("utf-8").replace(
        "rssi_dbm: rssi,", "rssi_dbm: rssi, data_rate: dr,"
    )
    description.write_text(text, "utf-8")

    figures = assemble(join(read_campaign(folder))).figures

    assert figures["walk.loop.station.pier.data_rate.fast.frames_heard"].value == 30


def test_identifiers_that_differ_in_case_alone_are_refused(tmp_path: Path) -> None:
    """Logs are compared without case, so somebody else's frames would count as one's own."""
    folder = EDGES["standing"](tmp_path / "campaign")
    description = folder / "campaign.yaml"
    text = description.read_text("utf-8").replace(
        "stations:\n", "stations:\n  other: {name: Other, ids: [GW-1]}\n"
    )
    description.write_text(text, "utf-8")

    with pytest.raises(CampaignError, match="description/same-id"):
        read_campaign(folder)


def test_a_row_with_a_broken_level_makes_no_miss(tmp_path: Path) -> None:
    """The own station heard the frame, whatever its level was; a miss would be our invention."""
    rows = [row(10 * n, n, 100 + 10 * n) for n in range(30)]
    rows[10] = rows[10].replace(",-80,", ",weak,")
    folder = write(tmp_path / "campaign", "Broken level", rows=tuple(rows), gpx=track(*LINE))

    figures = assemble(join(read_campaign(folder))).figures

    assert figures["campaign.frames_heard"].value == 29
    assert figures["campaign.frames_sent"].value == 30
    assert figures["campaign.frames_missed"].value == 0
    assert figures["campaign.delivery_ratio"].prefix == "at least"
