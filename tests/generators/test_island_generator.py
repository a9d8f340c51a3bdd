"""The example campaign: made of nothing of the package, the same every time, and a true story."""

from __future__ import annotations

import ast
import datetime as dt
import io
import json
import re
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import ExifTags, Image, ImageOps
from pyproj import Geod

from tests.generators.island.files import campaign_texts, truth_json
from tests.generators.island.frames import LOST_BY_CHANCE, received_dbm
from tests.generators.island.ground import coast_line, foot_of, height_m, is_on_mole
from tests.generators.island.outing import all_outings, outing_of
from tests.generators.island.physics import free_space_loss_db, shadowing_db
from tests.generators.island.pictures import drawn, jpeg_of
from tests.generators.island.scenario import HARBOUR, INTERVAL_S
from tests.generators.island.shots import SHOTS, Shot

ROOT = Path(__file__).resolve().parents[2]
CAMPAIGN = ROOT / "example_campaign"
TRUTH_FILE = ROOT / "tests" / "data" / "island-truth.json"
GENERATOR = ROOT / "tests" / "generators" / "island"
ALLOWED = {"numpy", "pyproj", "PIL", "piexif", "tests", *sys.stdlib_module_names}


@pytest.fixture(scope="module")
def truth() -> Any:
    return json.loads(TRUTH_FILE.read_text(encoding="utf-8"))


def _shot(key: str) -> Shot:
    return next(shot for shot in SHOTS if shot.key == key)


def _imported(source: str) -> Iterable[str]:
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module or ""


def _clear_caches() -> None:
    for name, module in list(sys.modules.items()):
        if name.startswith("tests.generators.island."):
            for part in vars(module).values():
                if callable(getattr(part, "cache_clear", None)):
                    part.cache_clear()


def test_the_generator_takes_nothing_from_the_package() -> None:
    """Were it to borrow a formula, comparing site and truth would compare it with itself."""
    names = {
        name.split(".")[0]
        for path in GENERATOR.glob("*.py")
        for name in _imported(path.read_text(encoding="utf-8"))
    }

    assert {"numpy", "pyproj"} <= names
    assert names <= ALLOWED


def test_two_runs_write_the_same_texts_and_those_are_in_the_repository(truth: Any) -> None:
    """A changed generator without its output, or chance that leaks in, would spoil every test."""
    first = campaign_texts()
    _clear_caches()
    second = campaign_texts()
    tops = {key: photo["mast_top_px"] for key, photo in truth["photos"].items()}

    assert first == second
    for name, text in first.items():
        assert (CAMPAIGN / name).read_bytes() == text.encode(), name
    assert truth_json(tops).encode() == TRUTH_FILE.read_bytes()


@pytest.mark.slow
@pytest.mark.parametrize("key", ["05-on-the-mole", "10-strand"])
def test_a_photo_is_drawn_as_it_stands_in_the_repository(key: str, truth: Any) -> None:
    """Pixels are compared, not bytes: another encoder may write the same picture otherwise."""
    shot = _shot(key)
    picture = drawn(shot)
    again = Image.open(io.BytesIO(jpeg_of(shot, picture)))
    with Image.open(CAMPAIGN / "photos" / shot.file) as committed:
        apart = np.abs(np.asarray(again, dtype=float) - np.asarray(committed, dtype=float))

    assert apart.shape[:2] == again.size[::-1]
    assert apart.mean() < 1.0
    assert picture.mast_top_px == pytest.approx(truth["photos"][key]["mast_top_px"], abs=0.01)


def test_the_folder_holds_no_more_than_a_reader_will_download() -> None:
    files = [path for path in CAMPAIGN.rglob("*") if path.is_file()]

    assert len(list(CAMPAIGN.glob("photos/*.jpg"))) == len(SHOTS)
    assert sum(path.stat().st_size for path in files) < 4_000_000
    assert max(path.stat().st_size for path in CAMPAIGN.glob("photos/*.jpg")) <= 150_000


def test_every_photo_states_and_leaves_out_what_the_story_says() -> None:
    """The example shows each way in which a photo can fail to say when, where or whither."""
    lacking: dict[str, set[str]] = {"time": set(), "place": set(), "heading": set()}
    for shot in SHOTS:
        with Image.open(CAMPAIGN / "photos" / shot.file) as image:
            exif = image.getexif()
            taken, place = exif.get_ifd(ExifTags.IFD.Exif), exif.get_ifd(ExifTags.IFD.GPSInfo)
            assert f"{exif[ExifTags.Base.Make]} {exif[ExifTags.Base.Model]}" == shot.camera.name
            assert ImageOps.exif_transpose(image).size == shot.size_px
        for what, is_there in (
            ("time", ExifTags.Base.DateTimeOriginal in taken),
            ("place", ExifTags.GPS.GPSLatitude in place),
            ("heading", ExifTags.GPS.GPSImgDirection in place),
        ):
            if not is_there:
                lacking[what].add(shot.key)

    assert lacking["time"] == {"06-village-green", "11-the-mast"}
    assert lacking["place"] == {"09-east-flank", "11-the-mast"}
    assert lacking["heading"] == {"10-strand", "11-the-mast"}


def test_the_compact_ran_97_seconds_fast_and_the_telephone_did_not(truth: Any) -> None:
    apart_s = {}
    for key in ("04-mole-end", "07-shoulder"):
        with Image.open(CAMPAIGN / "photos" / f"{key}.jpg") as image:
            taken = image.getexif().get_ifd(ExifTags.IFD.Exif)
        shown = dt.datetime.strptime(
            f"{taken[ExifTags.Base.DateTimeOriginal]}+0100", "%Y:%m:%d %H:%M:%S%z"
        )
        shown += dt.timedelta(milliseconds=10 * int(taken[ExifTags.Base.SubsecTimeOriginal]))
        true = dt.datetime.fromisoformat(truth["photos"][key]["time_utc"])
        apart_s[key] = (shown - true).total_seconds()

    assert apart_s["04-mole-end"] == pytest.approx(97.0, abs=0.011)
    assert apart_s["07-shoulder"] == pytest.approx(0.0, abs=0.011)


def test_the_mast_stands_in_the_picture_where_its_bearing_puts_it(truth: Any) -> None:
    """Bearing less heading, through a pinhole, must give the column at which it was drawn."""
    seen = {key: photo for key, photo in truth["photos"].items() if photo["mast_top_px"]}
    for photo in seen.values():
        width, height = photo["size_px"]
        focal_px = photo["focal_length_35mm_mm"] * np.hypot(width, height) / np.hypot(36, 24)
        turn = np.radians(photo["true"]["bearing_deg"] - photo["heading_true_deg"])
        expected_px = width / 2 + focal_px * np.tan(turn)
        assert photo["mast_top_px"][0] == pytest.approx(expected_px, abs=1.0), photo["file"]
    hidden = set(truth["photos"]) - set(seen)

    assert hidden == {"02-lane", "03-out-to-sea", "08-north-shore"}
    assert truth["photos"]["02-lane"]["sight_line"] == "blocked"
    assert truth["photos"]["08-north-shore"]["sight_line"] == "blocked"
    assert all(photo["sight_line"] != "blocked" for photo in seen.values())


def test_the_mast_is_red_where_it_was_drawn() -> None:
    """The picture itself, not the number beside it: red paint just below the antenna."""
    with Image.open(CAMPAIGN / "photos" / "11-the-mast.jpg") as image:
        truth = json.loads(TRUTH_FILE.read_text(encoding="utf-8"))
        column, row = truth["photos"]["11-the-mast"]["mast_top_px"]
        strip = np.asarray(image, dtype=int)[:, int(column) - 3 : int(column) + 4]
    is_red = (strip[:, :, 0] > strip[:, :, 1] + 60) & (strip[:, :, 0] > strip[:, :, 2] + 60)
    rows = np.flatnonzero(is_red.any(axis=1))

    assert 0.3 * 2.0 < (rows.min() - row) * 50.4 / 1849 < 1.3 * 2.0


def test_rows_used_and_set_aside_make_up_the_rows_of_each_file(truth: Any) -> None:
    """Counted in the files themselves: lines below the headings, elements of the JSON arrays."""
    for outing in all_outings():
        for path, account in truth["walks"][outing.walk.key]["files"].items():
            lines = (CAMPAIGN / path).read_text(encoding="utf-8").splitlines()
            if path.endswith(".jsonl"):
                rows = sum(len(re.findall(r'"rssi"', line)) or 1 for line in lines)
            else:
                rows = len([line for line in lines if not line.startswith("#")])
                rows -= 0 if path.endswith(".txt") else 1
            assert account["read"] == rows, path
            assert account["used"] + account["by_request"] + account["faults"] == rows, path
            assert account["faults"] == sum(account["why"].values()) > 0, path


def test_the_story_holds(truth: Any) -> None:
    """The conclusions and pages of the example tell this story; a new seed must keep it."""
    walks = truth["walks"]
    quay = [walks[key] for key in ("quay-first", "quay-again", "both-nodes", "quay-stub")]
    hill = [walks[key] for key in ("hill-sf7", "hill-sf10-stub")]

    assert all(0.8 < walk["delivery_ratio"] < 0.95 for walk in quay)
    assert all(0.3 < walk["delivery_ratio"] < 0.5 for walk in hill)
    assert abs(quay[0]["delivery_ratio"] - quay[1]["delivery_ratio"]) < 0.05
    for walk in (*quay, *hill):
        assert 1400 < walk["farthest_heard"]["stated"]["distance_m"] < 2000
        assert walk["farthest_walked"]["stated_m"] > walk["farthest_heard"]["stated"]["distance_m"]
        assert all(150 <= node["frames_sent_true"] <= 250 for node in walk["nodes"].values())
    only = [node for walk in (*quay, *hill) for node in walk["nodes"].values()]
    assert any(node["frames_heard_by_hill_only"] for node in only)
    assert any(node["frames_heard_by_unlisted_only"] for node in only)
    assert walks["hill-sf10-stub"]["rows_without_place"] > 10


def test_behind_the_hill_the_harbour_is_silent_and_over_water_it_is_not() -> None:
    """Counted on the true frames: half an hour on the north shore, all of the mole."""
    for outing in all_outings():
        heard = {
            row.heard.frame
            for file in outing.logs
            if file.is_uplink
            for row in file.rows
            if row.heard and row.heard.station is HARBOUR
        }
        north = [frame for frame in outing.frames if frame.y_m > 700.0]
        mole = [
            frame
            for frame in outing.frames
            if is_on_mole(np.array([frame.x_m]), np.array([frame.y_m]))[0]
        ]
        assert len(north) > 60 if outing.walk.route == "hill" else len(mole) > 20
        assert not any(frame in heard for frame in north)
        assert sum(frame in heard for frame in mole) >= 0.9 * len(mole)


def test_gap_rejoin_and_interval_are_in_the_frames() -> None:
    """Each is a case that counting by counters has to get right."""
    steps_s = {
        outing.walk.key: np.diff([f.time_s for f in outing.frames if f.node == "drift"])
        for outing in all_outings()
    }
    restarts = [
        frame.counter
        for before, frame in zip(
            outing_of("quay-stub").frames, outing_of("quay-stub").frames[1:], strict=False
        )
        if frame.counter < before.counter
    ]
    counters = [frame.counter for frame in outing_of("quay-again").frames]

    assert max(steps_s["quay-again"]) == pytest.approx(190.0, abs=20.0)
    assert np.all(np.diff(counters) == 1)
    assert restarts == [0]
    assert np.median(steps_s["hill-sf7"]) == pytest.approx(INTERVAL_S, abs=0.5)


def test_the_track_of_the_sf10_walk_has_a_gap_of_four_minutes() -> None:
    gaps_s = {
        outing.walk.key: max(np.diff([point.time_s for point in outing.track]))
        for outing in all_outings()
    }

    assert gaps_s.pop("hill-sf10-stub") == 240
    assert max(gaps_s.values()) <= 5


def test_the_ring_of_the_coast_is_closed_and_runs_counter_clockwise() -> None:
    """RFC 7946, section 3.1.6: an exterior ring is counter-clockwise, first point repeated."""
    overlay = json.loads((CAMPAIGN / "overlays" / "coast.geojson").read_text(encoding="utf-8"))
    rings = [feature["geometry"]["coordinates"][0] for feature in overlay["features"]]

    for ring in rings:
        x, y = np.array(ring).T
        assert ring[0] == ring[-1]
        assert np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]) > 0.0
    area_m2, _ = Geod(ellps="WGS84").polygon_area_perimeter(*np.array(rings[0]).T)
    assert 3e6 < area_m2 < 6e6


def test_the_hill_is_about_120_m_high_and_the_sea_is_level() -> None:
    x_m, y_m = np.meshgrid(np.arange(-1500.0, 1500.0, 20.0), np.arange(-1400.0, 1400.0, 20.0))
    up_m = height_m(x_m, y_m)

    assert up_m.max() == pytest.approx(120.0, abs=5.0)
    assert height_m(np.array([0.0]), np.array([-700.0]))[0] == 0.0
    assert height_m(*(np.array([part]) for part in foot_of(HARBOUR)))[0] == pytest.approx(3.0)
    assert coast_line().shape[1] == 2


def test_shadowing_belongs_to_the_ground_and_fades_from_memory_over_40_m() -> None:
    """Correlation exp(-1) at 40 m, the same field whoever asks, 4.5 dB of spread."""
    x_m, y_m = np.meshgrid(np.arange(-1700.0, 1900.0, 10.0), np.arange(-500.0, 1500.0, 10.0))
    field_db = shadowing_db(HARBOUR, x_m, y_m)
    beside_db = field_db[:, 4:]
    correlation = np.corrcoef(field_db[:, :-4].ravel(), beside_db.ravel())[0, 1]

    assert field_db.std() == pytest.approx(4.5, abs=0.5)
    assert correlation == pytest.approx(np.exp(-1.0), abs=0.06)
    assert np.array_equal(field_db, shadowing_db(HARBOUR, x_m, y_m))


def test_levels_never_beat_free_space_by_more_than_water_and_shadow_allow() -> None:
    """A reflection adds at most 4.9 dB, shadowing is a few sigma: more would be a wrong sign."""
    for outing in all_outings():
        frames = outing.frames
        foot_x, foot_y = foot_of(HARBOUR)
        away_m = np.hypot(
            [frame.x_m - foot_x for frame in frames], [frame.y_m - foot_y for frame in frames]
        )
        best_dbm = 14.0 + 0.5 + HARBOUR.gain_dbi - free_space_loss_db(np.hypot(away_m, 11.0))

        assert np.max(received_dbm(frames, HARBOUR) - best_dbm) < 4.9 + 12.0
        assert np.median(received_dbm(frames, HARBOUR) - best_dbm) < 0.0
    assert 0.0 < LOST_BY_CHANCE < 0.05
