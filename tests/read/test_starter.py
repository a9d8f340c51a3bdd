"""First files for a folder: nothing overwritten, everything found named, gaps marked."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft7Validator  # type: ignore[import-untyped]  # ships no types
from piexif import ExifIFD, ImageIFD

from reportgen.errors import CampaignError
from reportgen.read.description import read_description
from reportgen.read.folder import read_campaign
from reportgen.read.starter import starter_files, write_starter
from reportgen.read.yaml_text import parse_yaml
from tests.read.made_photos import photo

NAMES = ("campaign.yaml", "campaign.schema.json", "campaign-keys.md", "conclusions.md")
LOG = (
    "time,device_id,gateway,fcnt,rssi,snr\n"
    "2026-03-03T10:00:00Z,0012,gw-a,1,-80,5\n"
    "2026-03-03T10:00:10Z,0012,gw-a,2,-81,4\n"
)
TRACK = (
    '<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1"><trk><trkseg>'
    '<trkpt lat="38.5" lon="-28.2"><time>2026-03-03T10:00:00Z</time></trkpt>'
    "</trkseg></trk></gpx>"
)


def found_things(folder: Path) -> Path:
    """Lay out what somebody brings home: a log, its track, a photo, and a note."""
    (folder / "logs").mkdir(parents=True)
    (folder / "pictures").mkdir()
    (folder / "logs" / "North loop.csv").write_text(LOG, encoding="utf-8")
    (folder / "north loop.gpx").write_text(TRACK, encoding="utf-8")
    (folder / "README.txt").write_text("Bring a hat.\n", encoding="utf-8")
    photo(
        folder / "pictures",
        name="été 1.jpg",
        main={ImageIFD.Make: b"Maker", ImageIFD.Model: b"One"},
        exif={ExifIFD.DateTimeOriginal: b"2026:03:03 10:00:05"},
    )
    return folder


def filled_in(folder: Path) -> None:
    """Fill the gaps without which nothing can be computed."""
    path = folder / "campaign.yaml"
    text = path.read_text(encoding="utf-8")
    for key, value in (
        ("title:", "title: Loop"),
        ("time_zone:", "time_zone: Europe/Lisbon"),
        ("latitude_deg:", "latitude_deg: 38.5"),
        ("longitude_deg:", "longitude_deg: -28.25"),
    ):
        assert f"{key}  # FILL IN" in text
        text = text.replace(key, value, 1)
    path.write_text(text, encoding="utf-8")


def station_named(folder: Path) -> None:
    """Say which station wrote a log that names none."""
    path = folder / "campaign.yaml"
    text = path.read_text(encoding="utf-8")
    assert text.count('"FILL IN"') == 2
    path.write_text(text.replace('"FILL IN"', '"my-station"'), encoding="utf-8")


def test_the_files_are_written_and_the_folder_made(tmp_path: Path) -> None:
    written = write_starter(tmp_path / "new" / "campaign")

    assert [path.name for path in written] == list(NAMES)
    assert all(path.is_file() for path in written)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_that_exists_is_written_over(name: str, tmp_path: Path) -> None:
    """The description is hours of somebody's work."""
    (tmp_path / name).write_text("mine", encoding="utf-8")

    with pytest.raises(CampaignError, match=name):
        write_starter(tmp_path)

    assert (tmp_path / name).read_text(encoding="utf-8") == "mine"
    assert [path.name for path in tmp_path.iterdir()] == [name]


def test_a_file_in_place_of_the_folder_is_an_error(tmp_path: Path) -> None:
    (tmp_path / "x").write_text("mine", encoding="utf-8")

    with pytest.raises(CampaignError, match="begin/not-possible"):
        write_starter(tmp_path / "x")


@pytest.mark.parametrize("has_things", [False, True])
def test_the_unfilled_starter_is_sound_yaml_and_check_names_the_gaps(
    tmp_path: Path, *, has_things: bool
) -> None:
    folder = found_things(tmp_path / "c") if has_things else tmp_path / "c"
    write_starter(folder)

    with pytest.raises(CampaignError) as caught:
        read_description(folder)

    assert [problem.found for problem in caught.value.problems] == [
        "title = nothing",
        "time_zone = nothing",
        "stations.station-1.position.latitude_deg = nothing",
        "stations.station-1.position.longitude_deg = nothing",
    ]


def test_once_filled_in_it_reads_everything_that_was_found(tmp_path: Path) -> None:
    folder = found_things(tmp_path / "c")
    write_starter(folder)
    filled_in(folder)

    campaign = read_campaign(folder)

    assert campaign.records["counter"].tolist() == [1, 2]
    assert campaign.records["node"].tolist() == ["node-1", "node-1"]
    assert [node.ids for node in campaign.nodes] == [("0012",)]
    assert [station.ids for station in campaign.own_stations] == [("gw-a",)]
    assert [(walk.key, walk.logs, walk.tracks) for walk in campaign.walks] == [
        ("north-loop", ("logs/North loop.csv",), ("north loop.gpx",))
    ]
    assert [found.path for found in campaign.photos] == ["pictures/été 1.jpg"]
    assert [camera.camera for camera in campaign.cameras] == ["Maker One"]
    assert [p.found for p in campaign.problems] == ["logs that nothing refers to: README.txt"]


def test_an_empty_folder_filled_in_is_a_campaign_without_walks(tmp_path: Path) -> None:
    write_starter(tmp_path)
    filled_in(tmp_path)

    campaign = read_campaign(tmp_path)

    assert [problem.code for problem in campaign.problems] == ["description/no-walks"]


def test_a_log_without_station_gets_one_to_be_confirmed(tmp_path: Path) -> None:
    folder = found_things(tmp_path / "c")
    (folder / "logs" / "North loop.csv").write_text(
        "time,rssi\n2026-03-03T10:00:00Z,-80\n", encoding="utf-8"
    )
    write_starter(folder)
    filled_in(folder)

    with pytest.raises(CampaignError) as caught:
        read_campaign(folder)
    gaps = [p.found for p in caught.value.problems if p.code == "description/gap"]
    assert gaps == [
        "stations.station-1.ids[1] is still FILL IN",
        "log_formats.format-1.fields.station.value is still FILL IN",
    ]

    station_named(folder)
    campaign = read_campaign(folder)
    assert campaign.records["station_id"].tolist() == ["my-station"]
    assert [station.ids for station in campaign.own_stations] == [("my-station",)]


def test_of_several_stations_none_is_called_ones_own(tmp_path: Path) -> None:
    """Somebody else's station must not be taken for the author's."""
    folder = found_things(tmp_path / "c")
    (folder / "logs" / "North loop.csv").write_text(
        LOG + "2026-03-03T10:00:20Z,0012,gw-b,3,-90,1\n", encoding="utf-8"
    )
    write_starter(folder)
    text = (folder / "campaign.yaml").read_text(encoding="utf-8")

    assert text.count("own: false") == 2
    assert "own: true" not in text


def test_logs_of_one_layout_share_a_format(tmp_path: Path) -> None:
    for name in ("a.csv", "b.csv"):
        (tmp_path / name).write_text(LOG, encoding="utf-8")
    (tmp_path / "c.csv").write_text(LOG.replace("rssi", "RSSI"), encoding="utf-8")

    document = parse_yaml(dict(starter_files(tmp_path))["campaign.yaml"], "campaign.yaml").value

    assert isinstance(document, dict)
    assert list(document["log_formats"]) == ["format-1", "format-2"]
    assert [walk["logs"][0]["format"] for walk in document["walks"].values()] == [
        "format-1",
        "format-1",
        "format-2",
    ]


def test_hostile_headings_and_names_stay_text(tmp_path: Path) -> None:
    """Headings and file names go into YAML: none of them may become a key or end a line."""
    heading = '"a: b # c","x""y",/rssi,"time"'
    (tmp_path / "x: {y} #.csv").write_text(f"{heading}\n1,2,-80,2026-03-03\n", encoding="utf-8")

    document = parse_yaml(dict(starter_files(tmp_path))["campaign.yaml"], "campaign.yaml").value

    assert isinstance(document, dict)
    assert document["log_formats"]["format-1"]["fields"]["rssi_dbm"] == {"column": "/rssi"}
    assert [walk["logs"][0]["file"] for walk in document["walks"].values()] == ["x: {y} #.csv"]


@pytest.mark.shared
def test_a_real_walk_begins(tmp_path: Path, real_inputs: Path) -> None:
    """A log without headings, its track, and nothing claimed of the other columns."""
    for name in ("velo24.data", "bike_24_July.gpx"):
        content = (real_inputs / "lora" / "lyon-bike" / name).read_bytes()
        (tmp_path / name).write_bytes(content)
    write_starter(tmp_path)
    filled_in(tmp_path)
    station_named(tmp_path)

    campaign = read_campaign(tmp_path)

    assert [(account.path, account.read) for account in campaign.accounts] == [
        ("velo24.data", 402),
        ("bike_24_July.gpx", 821),
    ]


def test_a_nodes_own_log_is_taken_for_frames_sent(tmp_path: Path) -> None:
    """Counters and times without a station or a level: nobody heard these rows."""
    rows = "time,counter,power\n2026-03-03T10:00:00Z,7,14\n2026-03-03T10:00:20Z,8,14\n"
    (tmp_path / "node.csv").write_text(rows, encoding="utf-8")
    write_starter(tmp_path)

    document = parse_yaml((tmp_path / "campaign.yaml").read_text("utf-8"), "c").value

    assert isinstance(document, dict)
    guessed = document["log_formats"]["format-1"]
    assert guessed["rows_are"] == "frames sent"
    assert "station" not in guessed["fields"]
    assert "levels_measured_at" not in guessed


@pytest.mark.parametrize(
    ("name", "text", "fields"),
    [
        ("loop-sent.csv", "when,number\n2026-03-03T10:00:00Z,7\n", {"time": "when",
                                                                    "counter": "number"}),
        ("tx_log.csv", "moment,battery\n2026-03-03T10:00:00Z,7\n", None),
    ],
)  # fmt: skip
def test_a_log_named_for_what_was_sent_is_offered_as_frames_sent(
    tmp_path: Path, name: str, text: str, fields: dict[str, str] | None
) -> None:
    """Its columns may have any names; as a station's log every row would be a reception."""
    (tmp_path / name).write_text(text, encoding="utf-8")
    write_starter(tmp_path)

    written = (tmp_path / "campaign.yaml").read_text(encoding="utf-8")
    document = parse_yaml(written, "c").value

    assert isinstance(document, dict)
    guessed = document["log_formats"]["format-1"]
    assert guessed["rows_are"] == "frames sent"
    assert guessed["fields"] == fields
    assert "rows_are: frames sent  # FILL IN" in written


def test_levels_in_a_log_named_for_what_was_sent_are_a_stations(tmp_path: Path) -> None:
    """Only a receiver knows them."""
    text = "time,counter,rssi\n2026-03-03T10:00:00Z,7,-90\n"
    (tmp_path / "sent.csv").write_text(text, encoding="utf-8")
    write_starter(tmp_path)

    assert "rows_are" not in (tmp_path / "campaign.yaml").read_text(encoding="utf-8")


def test_unedited_conclusions_publish_nothing_and_ask_the_questions(tmp_path: Path) -> None:
    """While nobody has written a conclusion, none may appear as the author's."""
    write_starter(tmp_path)
    filled_in(tmp_path)
    text = (tmp_path / "conclusions.md").read_text(encoding="utf-8")
    conclusions = read_campaign(tmp_path).conclusions

    assert conclusions is not None
    assert conclusions.strip() == ""
    assert '{{ figure("walk.<walk>.station.<station>.delivery_ratio") }}' in text
    assert "not tested" in text


def test_the_schema_beside_it_accepts_the_filled_description(tmp_path: Path) -> None:
    folder = found_things(tmp_path / "c")
    write_starter(folder)
    filled_in(folder)
    schema = json.loads((folder / "campaign.schema.json").read_text(encoding="utf-8"))
    text = (folder / "campaign.yaml").read_text(encoding="utf-8")

    assert list(Draft7Validator(schema).iter_errors(parse_yaml(text, "c").value)) == []


def test_files_end_their_lines_alike_on_every_system(tmp_path: Path) -> None:
    for path in write_starter(tmp_path):
        assert b"\r" not in path.read_bytes()
