"""Which level the bars of a card show, by what a campaign knows."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from reportgen.match.join import join
from reportgen.model.campaign import Campaign
from reportgen.pages import photo_levels_part, photo_page
from reportgen.pages.context import Context
from reportgen.pages.photo_levels_part import StationLevels, level_key, station_levels
from reportgen.pages.photo_page import photos_view
from reportgen.pages.render import renderer
from reportgen.pages.shipped import shipped_folder
from reportgen.pages.words import read_words
from reportgen.read.folder import read_campaign
from tests.made_results import assembled

EXAMPLE = Path(__file__).resolve().parents[2] / "example_campaign"


@pytest.fixture(scope="module")
def campaign() -> Campaign:
    return read_campaign(EXAMPLE)


def without_noise_figure(campaign: Campaign) -> Campaign:
    stations = tuple(replace(station, noise_figure_db=None) for station in campaign.stations)
    return replace(campaign, stations=stations)


def without_snr(campaign: Campaign, sensitivity_dbm: float | None) -> Campaign:
    plain = without_noise_figure(campaign)
    return replace(
        plain,
        records=plain.records.assign(snr_db=np.nan),
        radio=replace(plain.radio, sensitivity_dbm=sensitivity_dbm, rssi_scope="channel"),
    )


def context_of(campaign: Campaign) -> Context:
    template = shipped_folder("site_template")
    words = read_words(template)
    return Context(
        results=assembled(join(campaign)),
        words=words,
        renderer=renderer(template, words),
        published={},
        author_html=None,
    )


def levels_at(context: Context, photo: str) -> StationLevels:
    match = next(match for match in context.results.joined.photos if match.photo.key == photo)
    (levels,) = station_levels(context, match)
    return levels


def ruler(levels: StationLevels) -> list[str]:
    return re.findall(r'class="level-label"[^>]*>([^<]+)<', levels.ruler)


def test_the_margin_over_the_sensitivity_goes_first(campaign: Campaign) -> None:
    """It is what the squares of the map show, and it does not stop where receivers do."""
    context = context_of(campaign)
    levels = levels_at(context, "01-quay")

    assert levels.caption == "Heard by Harbour office: signal above what the receiver needs"
    assert ruler(levels) == ["limit", "+20", "+40\u202fdB"]
    assert "by its stated noise" in level_key(context).text


def test_without_a_noise_figure_the_snr_is_measured_against_its_limit(campaign: Campaign) -> None:
    context = context_of(without_noise_figure(campaign))
    levels = levels_at(context, "02-lane")

    assert levels.caption == "Heard by Harbour office: SNR above the demodulation limit"
    assert ruler(levels)[0] == "limit"
    first = context.results.figures[
        "photo.02-lane.walk.quay-first.station.harbour.snr_margin_db_median"
    ]
    assert f"median {first.number:g}\u202fdB" in levels.rows[0].bar
    assert "stops rising where the signal is strong" in level_key(context).text


def test_without_any_margin_the_rssi_stands_with_no_limit(campaign: Campaign) -> None:
    """A limit that nobody stated must not be drawn."""
    levels = levels_at(context_of(without_snr(campaign, None)), "02-lane")

    assert levels.caption == "Heard by Harbour office: RSSI"
    assert "limit" not in ruler(levels)
    assert ruler(levels)[-1].endswith("dBm")
    assert all(row.bar.count("level-frame") for row in levels.rows)
    assert not any("level-limit" in row.bar for row in levels.rows)


def test_a_station_that_was_never_walked_around_has_no_bars(campaign: Campaign) -> None:
    """The evening before the first walk, and a photo without any place."""
    context = context_of(campaign)
    photos = {match.photo.key: match for match in context.results.joined.photos}

    assert station_levels(context, photos["12-mast-day"]) == ()
    assert station_levels(context, photos["11-the-mast"]) == ()


def test_a_stated_sensitivity_is_marked_on_the_rssi(campaign: Campaign) -> None:
    """Without the SNR nobody can tell the signal's part of the RSSI: there is no margin."""
    context = context_of(without_snr(campaign, -137.0))
    levels = levels_at(context, "02-lane")

    assert "limit" in ruler(levels)
    assert all("level-limit" in row.bar for row in levels.rows)


def test_a_place_where_no_snr_was_logged_falls_back_alone(campaign: Campaign) -> None:
    """One node's format has no SNR: its frames must not vanish from the cards they belong to."""
    plain = without_noise_figure(campaign)
    is_hill = plain.records["walk"].str.startswith("hill")
    records = plain.records.assign(snr_db=plain.records["snr_db"].mask(is_hill))
    context = context_of(replace(plain, records=records))

    assert levels_at(context, "01-quay").caption.endswith("SNR above the demodulation limit")
    hill = levels_at(context, "07-shoulder")
    assert hill.caption.endswith("RSSI")
    assert all("level-frame" in row.bar for row in hill.rows)


def test_of_many_walks_those_that_say_most_are_told_and_the_others_counted(
    campaign: Campaign, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Forty walks past one door made a page of tens of megabytes."""
    whole = levels_at(context_of(campaign), "02-lane")
    monkeypatch.setattr(photo_levels_part, "MOST_WALKS", 1)
    less = levels_at(context_of(campaign), "02-lane")

    assert not whole.more
    assert len(whole.rows) > 2
    assert [row for row in whole.rows if row.walk == less.rows[0].walk] == list(less.rows)
    most = max(whole.rows, key=lambda row: int(re.findall(r"\d+", row.heard)[0]))
    assert less.rows[0].heard == most.heard
    assert less.more.startswith(f"{len(whole.rows) - 1} more walk")


def test_of_a_table_too_long_to_read_the_rows_of_all_walks_are_left(
    campaign: Campaign, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And it says where the others are."""
    whole = photos_view(context_of(campaign))
    monkeypatch.setattr(photo_page, "MOST_ROWS", len(whole.levels.rows) - 1)
    less = photos_view(context_of(campaign))

    of_all = [row for row in whole.levels.rows if row[2].text == "all walks"]
    assert 0 < len(of_all) < len(whole.levels.rows)
    assert [row[0].text for row in less.levels.rows] == [row[0].text for row in of_all]
    assert {row[2].text for row in less.levels.rows} == {"all walks"}
    assert not whole.levels_note
    assert "file of figures" in less.levels_note
