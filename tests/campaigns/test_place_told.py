"""Whole sites of the example under each setting of its place, searched by readers written here.

Names of files and identifiers are let out, so that what keeps the place can't lean on theirs.
Nothing of the package reads what is searched for: true places come from the campaign's own files
and the generator's truth, and both attacks are done once more with a few lines of their own.
"""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from reportgen.cli.building import build_report
from reportgen.cli.checking import check_campaign
from tests.conftest import ROOT

pytestmark = pytest.mark.slow

HOME = (49.195070, -23.609920)
"""Of the harbour office, as the example's description has it."""
HOST = "https://tiles.example.org"
GROUND = f"""\
tiles: {{address: "{HOST}/{{z}}/{{x}}/{{y}}.png", attribution: Drawn by nobody}}
overlays:
  - file: overlays/tolverra-from-above.png
    title: Tolverra from above
    corners:
      north_west: {{latitude_deg: 49.204, longitude_deg: -23.615}}
      south_east: {{latitude_deg: 49.192, longitude_deg: -23.600}}
"""
DRAWN = ("coast.geojson", "Coast line of Tolverra", "tolverra-from-above", "from above", HOST)
TEXTS = {".html", ".json", ".csv", ".geojson", ".js", ".txt", ".xml", ".md"}
LATITUDE = re.compile(r"(?<![\d.])49[.,]\s?(?:1[89]|2[01])\d+")
LONGITUDE = re.compile(r"(?<![\d.])23[.,]\s?(?:5[89]|6[012])\d+")
NEAR = 90
"""Characters within which latitude and longitude stand together where a place is told."""
Told = Callable[[str], Path]


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Told:
    """Return a function that gives the example's site with a setting, its folder beside it."""
    folder = tmp_path_factory.mktemp("told")

    @cache
    def site(place: str) -> Path:
        campaign = folder / place / "campaign"
        shutil.copytree(ROOT / "example_campaign", campaign)
        picture = campaign / "overlays" / "tolverra-from-above.png"
        Image.new("RGB", (300, 200), "green").save(picture)
        path = campaign / "campaign.yaml"
        text = path.read_text("utf-8").replace("overlays:\n", GROUND)
        assert text.count("place: exact") == 1
        stated = f"place: {place}\n  file_names: true\n  identifiers: true"
        path.write_text(text.replace("place: exact", stated), encoding="utf-8")
        report = build_report(campaign, folder / place / "site", lambda _: None, strict=False)
        assert report.index is not None
        return report.index.parent

    return site


def texts(site: Path) -> Iterator[tuple[str, str]]:
    """Yield name and text of every file that can hold words or numbers, ours only."""
    for path in sorted(site.rglob("*")):
        if path.suffix in TEXTS and "plotly" not in path.name and path.is_file():
            yield path.relative_to(site).as_posix(), path.read_text("utf-8")


def places_told(text: str) -> int:
    """Return how often a latitude and a longitude of the island stand together."""
    return sum(
        LONGITUDE.search(text, max(0, hit.start() - NEAR), hit.end() + NEAR) is not None
        for hit in LATITUDE.finditer(text)
    )


def recorded_places() -> set[str]:
    """Return every true latitude and longitude of the campaign's files, to four decimals."""
    folder = ROOT / "example_campaign"
    found: set[str] = set()
    for path in (
        *folder.glob("logs/*.csv"),
        *folder.glob("tracks/*.gpx"),
        folder / "campaign.yaml",
    ):
        text = path.read_text("utf-8", errors="replace")
        found |= {f"{hit[1]}.{hit[2]}" for hit in re.finditer(r"\b(49|23)[.,](\d{4})\d{2}", text)}
    return found


def test_the_search_finds_places_where_they_are_told(told: Told) -> None:
    """What follows would pass on a search that finds nothing."""
    hits = {name: places_told(text) for name, text in texts(told("exact"))}
    everything = "".join(text for _, text in texts(told("exact")))

    assert hits["data/receptions.csv"] > 2000
    assert hits["data/receptions.geojson"] > 2000
    assert hits["setup.html"] > 0
    assert len(recorded_places()) > 400
    assert sum(place in everything for place in recorded_places()) > 400
    assert all(name in everything for name in DRAWN)


@pytest.mark.parametrize("place", ["moved", "coarse"])
def test_no_file_tells_a_true_place(told: Told, place: str) -> None:
    for name, text in texts(told(place)):
        assert places_told(text) == 0, name


@pytest.mark.parametrize("place", ["moved", "coarse"])
def test_no_file_holds_a_true_coordinate_by_itself(told: Told, place: str) -> None:
    """Also where latitude and longitude stand in columns or arrays of their own."""
    true = recorded_places()
    pattern = re.compile(r"(?<![\d.])(\d\d\.\d{4})\d*")
    for name, text in texts(told(place)):
        found = {hit[1] for hit in pattern.finditer(text)} & true
        # Moved rows have other numbers in thousands; one in ten thousand meets a true one.
        assert len(found) <= 1, (name, found)


@pytest.mark.parametrize("place", ["moved", "coarse"])
def test_nothing_drawn_under_the_walks_is_named_or_carried(told: Told, place: str) -> None:
    """A coast line's own name, its picture, or the host of tiles would say where."""
    for name, text in texts(told(place)):
        assert not [word for word in DRAWN if word in text], name
    exact = {path.name for path in (told("exact") / "pictures").iterdir()}
    here = {path.name for path in (told(place) / "pictures").iterdir()}
    assert len(exact - here) == 1, "the picture from above, and no other"


@pytest.mark.parametrize("place", ["moved", "coarse"])
def test_what_a_compass_says_there_is_not_told(told: Told, place: str) -> None:
    """Its difference from true north narrows the place to a line on the globe."""
    figures = figures_of(told(place))
    names = [name for name in figures if name.endswith(".declination_deg")]

    assert names
    for name in names:
        assert figures[name]["value"] is None
        assert figures[name.replace("declination_deg", "heading_stated_deg")]["value"] is None
    assert all("6.5°" not in text for _, text in texts(told(place)))
    assert any("6.5°" in text for _, text in texts(told("exact")))


def figures_of(site: Path) -> dict[str, dict[str, object]]:
    document = json.loads((site / "data" / "figures.json").read_text("utf-8"))
    return {figure["name"]: figure for figure in document["figures"]}


OF_GROUND = ("walk.", "campaign.", "photo.", "other.", "setup.uplink.", "setup.downlink.")


def test_coarse_tells_no_distance_bearing_or_single_level(told: Told) -> None:
    """Neither in the figures nor, as a reader or a program would write them, anywhere else."""
    exact, coarse = figures_of(told("exact")), figures_of(told("coarse"))
    numbers: set[str] = set()
    for name, figure in exact.items():
        value = figure["value"]
        if not name.startswith(OF_GROUND) or not isinstance(value, float):
            continue
        if figure["unit"] == "m" and value > 100.0 and not name.endswith("_length_m"):
            numbers |= {repr(value), f"{value:.1f}", f"{round(value):,} m".replace(",", "\u202f")}
        if figure["unit"] == "deg":
            numbers |= {repr(value), f"{value:.2f}"}
        if figure["unit"] in {"m", "deg"}:
            told_value = coarse[name]["value"]
            assert told_value is None or isinstance(told_value, str) or "spacing" in name, name
    assert len(numbers) > 300
    assert set(coarse) == set(exact)
    longer = {number for number in numbers if len(number) > 6}
    words = re.compile(r"[\d.\u202f]+(?: m\b)?")
    for name, text in texts(told("coarse")):
        plain = text.replace("\u202fm", " m")
        assert not {hit[0] for hit in words.finditer(plain)} & longer, name


def test_coarse_draws_no_map_and_no_frame_by_frame(told: Told) -> None:
    """Drawings hold places as coordinates of ink, and hovers hold the rest."""
    site = told("coarse")
    files = {path.name for path in (site / "data").iterdir()}

    assert files == {"figures.json", "figures.schema.json", "draft-conclusions.txt"}
    for name, text in texts(site):
        assert 'class="chart' not in text, name
        assert "chart-data" not in text or not name.endswith(".html"), name
        assert 'class="bearing-strip' not in text, name
        assert "<polyline" not in text, name


@pytest.mark.parametrize("place", ["moved", "coarse"])
def test_the_first_page_and_the_one_file_say_what_is_left_out(told: Told, place: str) -> None:
    """What a reader does not see must not be taken for what was not measured."""
    said = {"moved": "may still betray the place", "coarse": "may still betray it"}[place]
    for name in ("index.html", "summary.html"):
        assert said in (told(place) / name).read_text("utf-8"), name
        assert said not in (told("exact") / name).read_text("utf-8"), name
    assert "left out" in (told(place) / "data.html").read_text("utf-8")


Rows = list[dict[str, str]]


def rows_of(site: Path) -> Rows:
    """Return what the station received, as anybody reads it who has the file."""
    path = site / "data" / "receptions.csv"
    if not path.exists():
        return []
    rows = csv.DictReader(io.StringIO(path.read_text("utf-8")))
    return [row for row in rows if row["station"] == "harbour" and row["latitude_deg"]]


def flat_metres(rows: Rows, home: tuple[float, float]) -> NDArray[np.float64]:
    """Return places east and north of `home` on a flat earth: a few metres off over two km."""
    latitude = np.array([float(row["latitude_deg"]) for row in rows])
    longitude = np.array([float(row["longitude_deg"]) for row in rows])
    phi = np.deg2rad(home[0])
    per_degree_north = 111_132.95 - 559.85 * np.cos(2 * phi)
    per_degree_east = 111_412.88 * np.cos(phi) - 93.5 * np.cos(3 * phi)
    return np.column_stack(
        [(longitude - home[1]) * per_degree_east, (latitude - home[0]) * per_degree_north]
    )


def by_distances_m(rows: Rows, home: tuple[float, float], step_m: float) -> float:
    """Return how far from `home` twenty Gauss-Newton steps end that start amid the walks."""
    places = flat_metres(rows, home)
    away = np.round(np.array([float(row["distance_m"]) for row in rows]) / step_m) * step_m
    guess = places.mean(axis=0)
    for _ in range(20):
        gap = guess - places
        length = np.hypot(*gap.T)
        slope = gap / length[:, None]
        guess = guess - np.linalg.lstsq(slope, length - away, rcond=None)[0]
    return float(np.hypot(*guess))


def by_levels_m(rows: Rows, home: tuple[float, float]) -> float:
    """Return how far from `home` the mean of the places lies, each with its milliwatts."""
    power = 10.0 ** (np.array([float(row["signal_dbm"] or row["rssi_dbm"]) for row in rows]) / 10.0)
    return float(np.hypot(*(power @ flat_metres(rows, home) / power.sum())))


def printed(told: Told, place: str) -> str:
    """Return what `check` says of the place."""
    report = check_campaign(told(place).parent / "campaign", lambda _: None)
    lines = list(report.lines)
    start = next(n for n, line in enumerate(lines) if line.startswith("Place of Harbour office"))
    return "\n".join(lines[start:])


def metres(text: str, pattern: str) -> float:
    found = re.search(pattern, text)
    assert found is not None, text
    return float(found[1])


@pytest.mark.parametrize(("place", "home"), [("exact", HOME), ("moved", (0.0, 0.0))])
def test_both_attacks_come_as_near_as_check_says(
    told: Told, place: str, home: tuple[float, float]
) -> None:
    """Rounded to 100 m a few metres, by levels some tens: what makes rounding no protection."""
    rows, said = rows_of(told(place)), printed(told, place)
    exact_m, rounded_m = by_distances_m(rows, home, 0.1), by_distances_m(rows, home, 100.0)
    level_m = by_levels_m(rows, home)

    assert exact_m < 2.0
    assert metres(said, r"by distances: found ([\d.]+) m") == pytest.approx(exact_m, abs=2.0)
    assert 0.5 < rounded_m < 10.0
    assert metres(said, r"rounded to 100 m, ([\d.]+) m") == pytest.approx(rounded_m, abs=5.0)
    assert 10.0 < level_m < 100.0
    assert metres(said, r"levels alone: found ([\d.]+) m") == pytest.approx(level_m, abs=10.0)


def test_a_coarse_site_has_nothing_to_attack(told: Told) -> None:
    """By its own files: no table with places, no point of a GeoJSON, no row with a level."""
    site, said = told("coarse"), printed(told, "coarse")

    assert not rows_of(site)
    assert not list(site.rglob("*.csv"))
    assert not list(site.rglob("*.geojson"))
    assert '"coordinates"' not in "".join(text for _, text in texts(site))
    assert "by distances: no estimate" in said
    assert "by levels alone: no estimate" in said


def test_moved_distances_and_directions_are_those_of_the_exact_site(told: Told) -> None:
    """What is moved stays useful: nothing but coordinates changes in the table of receptions."""
    exact, moved = rows_of(told("exact")), rows_of(told("moved"))

    assert len(exact) == len(moved) > 900
    for one, other in zip(exact, moved, strict=True):
        for name in ("distance_m", "bearing_deg"):
            if one[name]:
                assert float(other[name]) == pytest.approx(float(one[name]), abs=0.11), name
        for name in ("time_utc", "rssi_dbm", "node", "counter", "loss_db"):
            assert one[name] == other[name]
    away = flat_metres(moved, (0.0, 0.0))
    stated = np.array([float(row["distance_m"]) for row in moved])
    assert np.abs(np.hypot(*away.T) - stated).max() < 1.0
