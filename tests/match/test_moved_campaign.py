"""A moved campaign: the same shape elsewhere, and nothing left that tells whence it came."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from pyproj import Geod, Transformer

from reportgen.match.join import Joined, join
from reportgen.match.moved_campaign import moved
from reportgen.model.campaign import Campaign, Publishing
from reportgen.model.station import Position
from reportgen.read.folder import read_campaign
from reportgen.results.path_interval import with_path_column
from reportgen.results.photos import photo_figures
from tests.campaigns.made import (
    LATITUDE_DEG,
    LINE,
    LONGITUDE_DEG,
    publish,
    row,
    track,
    two_own,
    write,
)
from tests.made_results import EXAMPLE

GEOD = Geod(ellps="WGS84")
PICTURE = (
    "overlays:\n  - file: plan.png\n    title: Plan\n    corners: {north_west: {latitude_deg: 47.6,"
    " longitude_deg: -31.3}, south_east: {latitude_deg: 47.4, longitude_deg: -31.2}}\n"
    'tiles: {address: "https://tiles.example.org/{z}/{x}/{y}.png", attribution: Nobody}\n'
)


@pytest.fixture(scope="module")
def example() -> Campaign:
    return read_campaign(EXAMPLE)


@pytest.fixture(scope="module")
def shifted(example: Campaign) -> Campaign:
    return moved(example)


def place_of(campaign: Campaign, key: str) -> Position:
    station = next(station for station in campaign.stations if station.key == key)
    assert station.position is not None
    return station.position


def test_the_first_own_station_stands_where_nothing_does(shifted: Campaign) -> None:
    assert place_of(shifted, "harbour") == Position(latitude_deg=0.0, longitude_deg=0.0)


@pytest.mark.parametrize("table", ["records", "track_points"])
def test_distance_and_bearing_from_the_station_stay(
    example: Campaign, shifted: Campaign, table: str
) -> None:
    """By PROJ's geodesics: a thousandth of a metre and of a degree over almost two kilometres."""
    home = place_of(example, "harbour")
    before, after = getattr(example, table), getattr(shifted, table)
    known = before["latitude_deg"].notna() & (before["longitude_deg"].notna())
    old, new = before[known], after[known]
    size = np.ones(len(old))
    bearing, _, away = GEOD.inv(
        home.longitude_deg * size, home.latitude_deg * size, old["longitude_deg"],
        old["latitude_deg"],
    )  # fmt: skip
    bearing_new, _, away_new = GEOD.inv(
        0.0 * size, 0.0 * size, new["longitude_deg"], new["latitude_deg"]
    )
    turn = (np.asarray(bearing_new) - np.asarray(bearing) + 180.0) % 360.0 - 180.0

    assert np.asarray(away).max() > 1900.0
    assert np.abs(np.asarray(away_new) - np.asarray(away)).max() < 1e-3
    assert np.abs(turn[np.asarray(away) > 1.0]).max() < 1e-3


def test_coordinates_are_those_of_two_projections_of_another_make(
    example: Campaign, shifted: Campaign
) -> None:
    """PROJ's own azimuthal equidistant projection, there and back, to a tenth of a millimetre."""
    home = place_of(example, "harbour")
    old, new = example.track_points, shifted.track_points
    there = Transformer.from_crs(
        "EPSG:4326", f"+proj=aeqd +lat_0={home.latitude_deg} +lon_0={home.longitude_deg}",
        always_xy=True,
    )  # fmt: skip
    back = Transformer.from_crs("+proj=aeqd +lat_0=0 +lon_0=0", "EPSG:4326", always_xy=True)
    east, north = there.transform(old["longitude_deg"].to_numpy(), old["latitude_deg"].to_numpy())
    longitude, latitude = back.transform(east, north)

    assert np.allclose(new["longitude_deg"], longitude, atol=1e-9, equal_nan=True)
    assert np.allclose(new["latitude_deg"], latitude, atol=1e-9, equal_nan=True)


def test_steps_of_the_walk_keep_their_length_to_a_millionth(
    example: Campaign, shifted: Campaign
) -> None:
    """Else lengths of tracks would change with what is published."""

    def length_m(campaign: Campaign) -> float:
        points = campaign.track_points
        return float(GEOD.line_length(points["longitude_deg"], points["latitude_deg"]))

    assert length_m(shifted) == pytest.approx(length_m(example), rel=1e-6)


def test_photos_move_along(example: Campaign, shifted: Campaign) -> None:
    placed = [photo for photo in example.photos if photo.metadata.position is not None]
    places = [p.metadata.position for p in shifted.photos if p.metadata.position is not None]

    assert len(places) == len(placed) > 5
    assert all(abs(p.latitude_deg) < 0.05 and abs(p.longitude_deg) < 0.05 for p in places)


def test_what_ties_a_map_to_the_ground_is_left_out_and_said(tmp_path: Path) -> None:
    folder = two_own(tmp_path / "c")
    path = folder / "campaign.yaml"
    Image.new("RGB", (30, 20), "red").save(folder / "plan.png")
    text = path.read_text("utf-8").replace("name: Roof, own: true,", "name: Roof,") + PICTURE
    path.write_text(text, encoding="utf-8")
    publish(folder, "place: moved")
    campaign = moved(read_campaign(folder))

    assert (campaign.overlays, campaign.picture_overlays, campaign.tiles) == ((), (), None)
    assert [station.position is None for station in campaign.stations] == [False, True]
    assert "plan.png" not in dict(campaign.input_checksums)
    notes = [p.found for p in campaign.problems if p.code == "publish/left-out-moved"]
    assert [re.split(" while", note)[0] for note in notes] == [
        "overlays under the maps,", "map tiles,", "places of stations of others,",
    ]  # fmt: skip


def test_a_place_of_which_nothing_is_said_is_not_given_away(tmp_path: Path) -> None:
    """Private by default: forgetting a key must not publish a house."""
    folder = write(tmp_path / "c", "Quiet", rows=(row(0, 1, 100),), gpx=track(*LINE))
    publish(folder, "units: metric")
    joined = join(read_campaign(folder))

    assert Publishing().place == "moved"
    for table in (joined.receptions, joined.frames, joined.campaign.track_points):
        assert (table["latitude_deg"] - LATITUDE_DEG).abs().min() > 10.0
        assert (table["longitude_deg"] - LONGITUDE_DEG).abs().min() > 10.0


def test_without_a_station_s_place_the_walk_moves_all_the_same(tmp_path: Path) -> None:
    folder = write(tmp_path / "c", "Nowhere", rows=(row(0, 1, 100),), gpx=track(*LINE))
    path = folder / "campaign.yaml"
    path.write_text(re.sub(r"    position: .*\n", "", path.read_text("utf-8")), encoding="utf-8")
    campaign = moved(read_campaign(folder))

    assert campaign.track_points["latitude_deg"].abs().max() < 0.1
    assert campaign.records["latitude_deg"].abs().max() < 0.1


def headings(joined: Joined, campaign: Campaign) -> list[tuple[str, float | None]]:
    joined = with_path_column(joined)
    return [
        (figure.name, figure.number)
        for match in joined.photos
        if match.photo.metadata.heading_reference == "magnetic"
        for figure in photo_figures(match, joined)
        if figure.name.endswith((".heading_deg", ".pointer_turn_deg"))
    ]


def test_headings_are_turned_by_the_declination_of_the_true_place(example: Campaign) -> None:
    """At 0° N 0° E a compass points elsewhere: photos would look the wrong way."""
    unstated = replace(example, declination_deg=None, publishing=Publishing(place="exact"))
    true = headings(join(unstated), unstated)
    there = replace(unstated, publishing=Publishing(place="moved"))
    found = headings(join(there), there)

    assert len(true) == len(found) > 3
    for (name, value), (other, seen) in zip(true, found, strict=True):
        assert name == other
        assert seen == pytest.approx(value, abs=0.1), name
