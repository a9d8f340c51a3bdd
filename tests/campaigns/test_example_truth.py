"""The example's site against the truth of its generator, which shares no line with the package.

Every number is read back from the built pages' figures file and, for photos, from the HTML that a
reader sees.
"""

from __future__ import annotations

import html
import json
import math
import re
from pathlib import Path
from typing import Any

import pytest

from reportgen.pages import formats
from reportgen.pages.units import METRIC
from reportgen.results.assemble import Results
from reportgen.results.figure import Figure
from tests.campaigns.example_photos import photo_key
from tests.made_results import example_results

ROOT = Path(__file__).resolve().parents[2]
TRUTH: dict[str, Any] = json.loads(
    (ROOT / "tests" / "data" / "island-truth.json").read_text("utf-8")
)
WALKS: dict[str, Any] = TRUTH["walks"]
PHOTOS: dict[str, Any] = TRUTH["photos"]
each_walk = pytest.mark.parametrize("walk", list(WALKS))
each_photo = pytest.mark.parametrize("photo", list(PHOTOS))


@pytest.fixture(scope="module")
def example() -> Results:
    return example_results()


def value(results: Results, name: str) -> float | None:
    return results.figures[name].number


def assert_share_heard(figure: Figure, heard: int, sent: int) -> None:
    """The share and its count, with an interval never narrower than Wilson's for that count."""
    assert figure.count == sent
    assert figure.number == pytest.approx(heard / sent)
    share, z = heard / sent, 1.96
    half = z * math.sqrt(share * (1 - share) / sent + z * z / (4 * sent * sent))
    assert figure.low is not None
    assert figure.high is not None
    assert figure.high - figure.low >= 2 * half / (1 + z * z / sent) - 1e-4


def file_slug(path: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", path.casefold()).strip("-")


@each_walk
def test_every_row_is_used_or_set_aside_as_the_generator_knows(example: Results, walk: str) -> None:
    for file, truth in WALKS[walk]["files"].items():
        path = f"input.walk.{walk}.{file_slug(file)}"
        found = {
            name: value(example, f"{path}.{name}")
            for name in ("read", "used", "set_aside_by_request", "set_aside_faults")
        }
        assert found == {
            "read": truth["read"],
            "used": truth["used"],
            "set_aside_by_request": truth["by_request"],
            "set_aside_faults": truth["faults"],
        }, file


@each_walk
def test_frames_sent_and_heard_are_the_true_ones(example: Results, walk: str) -> None:
    """Gaps, a rejoin and other people's devices are in these logs."""
    truth, path = WALKS[walk], f"walk.{walk}.station.harbour"

    assert value(example, f"{path}.frames_sent") == truth["frames_sent_between"]
    assert value(example, f"{path}.frames_heard") == truth["frames_heard_harbour"]
    assert value(example, f"{path}.delivery_ratio") == pytest.approx(
        truth["delivery_ratio"], abs=5e-5
    )


def test_broken_rows_of_the_own_station_leave_their_frames_in_doubt(example: Results) -> None:
    """Two rows of the first walk are broken and name frames that were sent and not heard else."""
    path = "walk.quay-first.station.harbour"
    sent, heard = value(example, f"{path}.frames_sent"), value(example, f"{path}.frames_heard")
    missed = value(example, f"{path}.frames_missed")
    assert sent is not None
    assert heard is not None
    assert missed is not None

    assert sent - heard - missed == 2
    assert value(example, f"{path}.frames_in_doubt") == 2
    assert example.figures[f"{path}.delivery_ratio"].prefix == "at least"


@each_walk
def test_what_another_station_heard_is_never_counted_for_the_own(
    example: Results, walk: str
) -> None:
    for node, truth in WALKS[walk]["nodes"].items():
        path = f"walk.{walk}.node.{node}" if len(WALKS[walk]["nodes"]) > 1 else f"walk.{walk}"
        for station, frames in truth["frames_heard"].items():
            key = {"unlisted": "unlisted-1"}.get(station, station)
            name = f"{path}.station.{key}.frames_heard"
            found = value(example, name) if name in example.figures else 0
            assert found == frames, name


@each_walk
def test_farthest_heard_and_walked_are_those_of_the_stated_places(
    example: Results, walk: str
) -> None:
    truth = WALKS[walk]
    stated, path = truth["farthest_heard"]["stated"], f"walk.{walk}.station.harbour.farthest_heard"

    assert value(example, f"{path}_m") == pytest.approx(stated["distance_m"], abs=0.01)
    assert value(example, f"{path}_bearing_deg") == pytest.approx(stated["bearing_deg"], abs=0.001)
    assert str(example.figures[f"{path}_time"].value)[:19] == stated["time_utc"][:19]
    assert value(example, f"walk.{walk}.farthest_walked_m") == pytest.approx(
        truth["farthest_walked"]["stated_m"], abs=0.01
    )


@each_walk
def test_the_true_reach_lies_within_the_error_of_the_stated_places(
    example: Results, walk: str
) -> None:
    """Receivers wander by a few metres; a reach wrong by more would be our error."""
    true_m = WALKS[walk]["farthest_heard"]["true"]["distance_m"]

    found_m = value(example, f"walk.{walk}.station.harbour.farthest_heard_m")

    assert found_m == pytest.approx(true_m, abs=15)


@each_photo
def test_photo_has_the_distance_and_bearing_that_its_place_gives(
    example: Results, photo: str
) -> None:
    truth, path = PHOTOS[photo], f"photo.{photo}"
    if truth["photo_place"] is None:
        assert example.figures[f"{path}.distance_m"].absent_reason == "no-place"
        return

    place = truth["photo_place"]
    assert value(example, f"{path}.distance_m") == pytest.approx(place["distance_m"], abs=0.02)
    assert value(example, f"{path}.bearing_deg") == pytest.approx(place["bearing_deg"], abs=0.02)


@each_photo
def test_photo_time_is_the_true_one_whatever_its_camera_showed(
    example: Results, photo: str
) -> None:
    """One camera ran 97 s ahead, the other states its offset."""
    match = next(match for match in example.joined.photos if match.photo.key == photo)
    stated = PHOTOS[photo]["stated_time_utc"]

    if stated is None:
        assert match.time.time_utc is None
    else:
        assert match.time.time_utc is not None
        found = match.time.time_utc.isoformat(timespec="milliseconds").replace("+00:00", "Z")
        assert found == stated


@each_photo
@pytest.mark.parametrize("way", ["by_time", "by_place"])
def test_nearest_log_point_and_its_residuals_are_the_true_ones(
    example: Results, photo: str, way: str
) -> None:
    truth, path = PHOTOS[photo][way], f"photo.{photo}.{way}"
    if truth is None:
        assert example.figures[f"{path}.distance_m"].absent_reason == "no-match"
        return

    assert value(example, f"{path}.distance_m") == pytest.approx(truth["distance_m"], abs=0.02)
    if truth["time_residual_s"] is not None:
        assert value(example, f"{path}.time_residual_s") == pytest.approx(
            truth["time_residual_s"], abs=0.01
        )


@each_photo
def test_local_statistics_are_those_of_a_brute_force_search(example: Results, photo: str) -> None:
    statistics = PHOTOS[photo]["statistics"] or {}
    for walk in WALKS:
        name = f"photo.{photo}.walk.{walk}.station.harbour.frames_heard"
        # Where frames were sent and none was heard, there is a figure, and it is 0.
        heard = example.figures[name].number if name in example.figures else 0
        assert bool(heard) == (walk in statistics), walk
    for walk, levels in statistics.items():
        for column, truth in levels.items():
            name = f"photo.{photo}.walk.{walk}.station.harbour.{column}"
            figure = example.figures[f"{name}_median"]
            assert figure.count == truth["count"], name
            for ours, theirs in (
                ("median", "median"),
                ("lower_quartile", "quartile_1"),
                ("upper_quartile", "quartile_3"),
                ("worst", "min"),
                ("best", "max"),
            ):
                found = value(example, f"{name}_{ours}")
                assert found == pytest.approx(truth[theirs], abs=0.005), f"{name}_{ours}"


@each_photo
def test_delivery_around_a_photo_is_that_of_a_brute_force_search(
    example: Results, photo: str
) -> None:
    """Counted by the plane's own metres, frame by frame, and never surer than Wilson's interval.

    Source of the interval: Newcombe, Statistics in Medicine 17 (1998) 857, method 3.
    """
    match = next(match for match in example.joined.photos if match.photo.key == photo)
    if match.position is None:
        return
    heard_frames = set(
        example.joined.receptions.loc[example.joined.receptions["station"] == "harbour", "frame"]
    )
    near = [
        frame
        for frame in example.joined.frames.itertuples()
        if math.hypot(
            (frame.latitude_deg - match.position.latitude_deg) * 111_230,
            (frame.longitude_deg - match.position.longitude_deg) * 72_830,
        )
        <= 50.0
    ]
    sent, heard = len(near), sum(frame.frame in heard_frames for frame in near)
    figure = example.figures[f"photo.{photo}.station.harbour.delivery_ratio"]
    if not sent:
        assert figure.absent_reason == "nothing-sent"
        return
    assert_share_heard(figure, heard, sent)


def test_each_direction_has_its_delivery_with_an_interval(example: Results) -> None:
    """Heard of sent, counted in the plane by bearing, and never surer than Wilson's interval."""
    heard = set(
        example.joined.receptions.loc[example.joined.receptions["station"] == "harbour", "frame"]
    )
    frames = example.joined.frames
    frames = frames[~frames["is_doubtful"] & frames["is_counted"] & (frames["distance_m"] > 50)]
    sector = (((frames["bearing_deg"] + 15.0) % 360.0) // 30.0 * 30.0).astype("Int64")
    for middle_deg, mine in frames.groupby(sector):
        sent, known = len(mine), int(mine["frame"].isin(heard).sum())
        figure = example.figures[f"campaign.sector.{int(middle_deg):03d}.delivery_ratio"]
        assert_share_heard(figure, known, sent)


def test_only_the_harbour_station_is_ones_own(example: Results) -> None:
    receptions = example.joined.receptions

    assert set(receptions.loc[receptions["is_own"], "station"]) == {"harbour"}
    assert set(receptions.loc[~receptions["is_own"], "station"]) == {"hill", "unlisted-1"}
    assert value(example, "campaign.other_stations_heard") == 2


def test_levels_measured_at_the_node_stay_apart(example: Results) -> None:
    """The node's own log of one walk holds what it heard of the harbour station."""
    truth = WALKS["hill-sf7"]["files"]["logs/hill-sf7-node.txt"]

    assert value(example, "walk.hill-sf7.downlink.harbour.frames_heard") == truth["used"]
    assert len(example.joined.downlinks) == truth["used"]
    assert not (example.joined.receptions["file"] == "logs/hill-sf7-node.txt").any()


def test_the_two_counts_add_up_in_total(example: Results) -> None:
    for unit in ("rows", "records", "track-points", "photos"):
        path = f"input.total.{unit}"
        if f"{path}.read" in example.figures:
            used, aside = value(example, f"{path}.used"), value(example, f"{path}.set_aside")
            assert used is not None
            assert aside is not None
            assert used + aside == value(example, f"{path}.read")


def shown_figures(site: Path) -> dict[str, set[str]]:
    """Return the texts that stand on the pages for each figure."""
    pattern = re.compile(r'data-figure="([^"]+)"[^>]*>(.*?)</span>(?=</button>)', re.DOTALL)
    shown: dict[str, set[str]] = {}
    for page in site.rglob("*.html"):
        for name, content in pattern.findall(page.read_text("utf-8")):
            text = html.unescape(re.sub(r"<[^>]+>", "", content)).strip()
            shown.setdefault(name, set()).add(text)
    return shown


@pytest.mark.slow
class TestTheBuiltSite:
    """What a reader sees, and what a program takes from the data folder."""

    def test_each_photo_card_shows_the_true_distance_and_bearing(self, example_site: Path) -> None:
        shown = shown_figures(example_site.parent)
        for photo, truth in PHOTOS.items():
            place = truth["photo_place"]
            if place is None:
                continue
            path = f"photo.{photo_key(photo)}"
            assert shown[f"{path}.distance_m"] == {METRIC.length(place["distance_m"])}
            assert shown[f"{path}.bearing_deg"] == {formats.bearing_text(place["bearing_deg"])}

    def test_every_figure_on_a_page_is_in_the_figures_file(self, example_site: Path) -> None:
        document = json.loads((example_site.parent / "data/figures.json").read_text("utf-8"))
        names = {figure["name"] for figure in document["figures"]}

        shown = shown_figures(example_site.parent)

        assert len(shown) > 300
        assert set(shown) - names == set()

    def test_the_figures_file_fits_its_published_schema(self, example_site: Path) -> None:
        jsonschema = pytest.importorskip("jsonschema")
        data = example_site.parent / "data"
        schema = json.loads((data / "figures.schema.json").read_text("utf-8"))

        jsonschema.Draft7Validator.check_schema(schema)
        jsonschema.Draft7Validator(schema).validate(
            json.loads((data / "figures.json").read_text("utf-8"))
        )

    def test_identifiers_of_devices_and_stations_stay_out_of_the_site(
        self, example_site: Path
    ) -> None:
        description = (ROOT / "example_campaign" / "campaign.yaml").read_text("utf-8")
        identifiers = set(re.findall(r"\b[0-9A-F]{16}\b", description)) | set(TRUTH["station_keys"])
        assert len(identifiers) >= 5
        for path in example_site.parent.rglob("*"):
            if path.is_file():
                content = path.read_bytes().lower()
                for identifier in identifiers:
                    assert identifier.lower().encode() not in content, (path.name, identifier)

    def test_points_to_take_away_are_longitude_first_and_near_the_island(
        self, example_site: Path
    ) -> None:
        """RFC 7946, section 3.1.1: longitude, latitude; section 4: no crs member."""
        text = (example_site.parent / "data/receptions.geojson").read_text("utf-8")
        collection = json.loads(text)

        assert collection["type"] == "FeatureCollection"
        assert "crs" not in collection
        for feature in collection["features"]:
            longitude, latitude = feature["geometry"]["coordinates"]
            assert -23.7 < longitude < -23.5
            assert 49.1 < latitude < 49.3
