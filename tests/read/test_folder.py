"""A folder becomes a campaign: everything counted, no error hiding the next."""

from __future__ import annotations

import hashlib
import socket
import time
from pathlib import Path

import pytest
from piexif import ExifIFD, ImageIFD

from reportgen.errors import CampaignError, Severity
from reportgen.model.campaign import Campaign
from reportgen.model.columns import RECORDS, TRACK_POINTS
from reportgen.read.folder import read_campaign
from reportgen.read.photo_folder import slug_of, unique_keys
from tests.read.description_text import described
from tests.read.made_photos import photo

SEGMENT = '<trkseg><trkpt lat="38.5" lon="-28.2"><time>2026-03-03T10:00:00Z</time></trkpt></trkseg>'
TRACK = (
    '<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1"><trk>'
    f"{SEGMENT}{SEGMENT}</trk></gpx>"
)


def codes(campaign: Campaign) -> list[str]:
    return [problem.code for problem in campaign.problems]


def refusal(folder: Path) -> list[tuple[str, str]]:
    with pytest.raises(CampaignError) as caught:
        read_campaign(folder)
    return [(problem.code, str(problem.where)) for problem in caught.value.problems]


def photo_folder(folder: Path, *names: str) -> Path:
    (folder / "photos").mkdir(exist_ok=True)
    for name in names:
        photo(
            folder / "photos",
            name=name,
            main={ImageIFD.Make: b"Maker", ImageIFD.Model: b"One"},
            exif={ExifIFD.DateTimeOriginal: b"2026:03:03 10:00:05"},
        )
    return folder


def test_a_campaign_is_read_whole(tmp_path: Path) -> None:
    folder = photo_folder(described(tmp_path), "b.jpg", "a.jpg")
    (folder / "conclusions.md").write_text("It does.\n", encoding="utf-8")

    campaign = read_campaign(folder)

    assert campaign.title == "Does the quay hear the ridge?"
    assert [station.key for station in campaign.own_stations] == ["quay"]
    assert campaign.records["rssi_dbm"].tolist() == [-80.0, -81.0]
    assert [(p.key, p.path) for p in campaign.photos] == [
        ("a", "photos/a.jpg"),
        ("b", "photos/b.jpg"),
    ]
    assert campaign.conclusions == "It does.\n"
    assert campaign.problems == ()
    assert campaign.description_path == "campaign.yaml"


def test_tables_follow_their_declaration_even_when_empty(tmp_path: Path) -> None:
    campaign = read_campaign(described(tmp_path, logs="    logs: []"))

    assert list(campaign.records.columns) == RECORDS.names
    assert list(campaign.track_points.columns) == TRACK_POINTS.names
    assert campaign.last_time_utc is None


def test_every_file_read_has_its_checksum(tmp_path: Path) -> None:
    folder = photo_folder(described(tmp_path), "a.jpg")

    checksums = read_campaign(folder).input_checksums

    assert [path for path, _ in checksums] == ["campaign.yaml", "photos/a.jpg", "ridge.csv"]
    for path, checksum in checksums:
        assert checksum == hashlib.sha256((folder / path).read_bytes()).hexdigest()


def test_progress_names_each_file(tmp_path: Path) -> None:
    said: list[str] = []

    read_campaign(photo_folder(described(tmp_path), "a.jpg"), said.append)

    assert said == ["reading campaign.yaml", "reading ridge.csv", "reading photos/a.jpg"]


def test_a_bad_file_does_not_hide_the_next(tmp_path: Path) -> None:
    """All that stands in the way arrives in one run, whatever kind of file it is."""
    folder = described(
        tmp_path,
        logs="    logs: [gone.csv, ../out.csv, ridge.csv]\n    tracks: [bad.gpx]",
        walks="overlays: [{file: bad.geojson}]\nconclusions: none.md\nwalks:",
    )
    (folder / "bad.gpx").write_text("<gpx><trk>", encoding="utf-8")
    (folder / "bad.geojson").write_text("{", encoding="utf-8")

    found = refusal(folder)

    assert [(code, where) for code, where in found if code.startswith(("path", "overlay"))] == [
        ("path/missing", "campaign.yaml:21:12"),
        ("path/outside", "campaign.yaml:21:22"),
        ("overlay/unreadable", "bad.geojson:1:2"),
        ("path/missing", "campaign.yaml:16:1"),
    ]
    assert "bad.gpx" in {where.split(":")[0] for _, where in found}


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    """A site could publish what lies behind it."""
    (tmp_path / "secret.csv").write_text("x", encoding="utf-8")
    inner = tmp_path / "campaign"
    inner.mkdir()
    folder = described(inner, logs="    logs: [link.csv]")
    (folder / "link.csv").symlink_to(tmp_path / "secret.csv")

    assert refusal(folder) == [("path/outside", "campaign.yaml:19:12")]


def test_a_socket_or_a_device_is_not_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Either would be read for ever; a link to a device leads out of the folder besides."""
    if not hasattr(socket, "AF_UNIX"):
        pytest.skip("this system has no sockets with a name")
    folder = described(tmp_path, logs="    logs: [socket.csv, zero.csv]")
    (folder / "zero.csv").symlink_to("/dev/zero")
    monkeypatch.chdir(folder)  # the name of a socket must be short
    with socket.socket(socket.AF_UNIX) as bound:
        bound.bind("socket.csv")

        assert refusal(folder) == [
            ("path/not-a-file", "campaign.yaml:19:12"),
            ("path/outside", "campaign.yaml:19:24"),
        ]


def test_a_photo_folder_outside_is_refused(tmp_path: Path) -> None:
    inner = tmp_path / "campaign"
    inner.mkdir()
    folder = described(inner, walks="photos: {folder: ..}\nwalks:")

    assert [code for code, _ in refusal(folder)] == ["path/outside"]


@pytest.mark.parametrize("name", ["no such folder", "campaign.yaml"])
def test_what_is_no_folder_is_an_error(name: str, tmp_path: Path) -> None:
    assert [code for code, _ in refusal(described(tmp_path) / name)] == ["folder/missing"]


def test_photos_have_an_account_each(tmp_path: Path) -> None:
    """Used, excluded by the author, or broken: none vanishes."""
    folder = photo_folder(
        described(tmp_path, walks="photos: {files: {b.jpg: {exclude: true}}}\nwalks:"),
        "a.jpg",
        "b.jpg",
    )
    (folder / "photos" / "c.jpg").write_bytes(b"\xff\xd8\xff")

    campaign = read_campaign(folder)
    accounts = [account for account in campaign.accounts if account.unit == "photos"]

    assert [(a.path, a.used, a.fault_count) for a in accounts] == [
        ("photos/a.jpg", 1, 0),
        ("photos/b.jpg", 0, 0),
        ("photos/c.jpg", 0, 1),
    ]
    assert [a.read for a in accounts] == [1, 1, 1]
    assert [photo.key for photo in campaign.photos] == ["a"]
    assert codes(campaign) == ["photo/undecodable"]


def test_what_the_author_says_of_a_photo_comes_with_it(tmp_path: Path) -> None:
    said = "{a.jpg: {caption: The quay, sight_line: blocked, blocked_by: a hill, walk: ridge}}"
    folder = photo_folder(described(tmp_path, walks=f"photos: {{files: {said}}}\nwalks:"), "a.jpg")

    (found,) = read_campaign(folder).photos

    assert (found.caption, found.sight_line, found.blocked_by, found.walk) == (
        "The quay",
        "blocked",
        "a hill",
        "ridge",
    )


def test_a_misspelt_photo_or_camera_is_noticed(tmp_path: Path) -> None:
    """A caption or a clock that belongs to nothing would be lost in silence."""
    part = "photos: {files: {a.jpeg: {caption: x}}, cameras: [{camera: Maker Won}]}\nwalks:"
    campaign = read_campaign(photo_folder(described(tmp_path, walks=part), "a.jpg"))

    assert [(p.code, p.do) for p in campaign.problems] == [
        ("photo/no-such-file", "did you mean a.jpg?"),
        ("photo/no-such-camera", "did you mean Maker One?"),
    ]


@pytest.mark.parametrize(
    ("part", "expected"),
    [("", []), ("photos: {folder: pictures}\n", ["photo/no-folder"])],
)
def test_only_a_folder_that_was_named_is_missed(
    part: str, expected: list[str], tmp_path: Path
) -> None:
    assert codes(read_campaign(described(tmp_path, walks=part + "walks:"))) == expected


def test_segments_are_numbered_through_all_tracks_of_a_walk(tmp_path: Path) -> None:
    """Two files' first segments must not become one line."""
    folder = described(tmp_path, logs="    tracks: [a.gpx, b.gpx]")
    for name in ("a.gpx", "b.gpx"):
        (folder / name).write_text(TRACK, encoding="utf-8")

    assert read_campaign(folder).track_points["segment"].tolist() == [0, 1, 2, 3]


def test_a_file_named_twice_in_a_walk_is_read_once(tmp_path: Path) -> None:
    """Twice the rows would be twice the frames."""
    campaign = read_campaign(described(tmp_path, logs="    logs: [ridge.csv, ./ridge.csv]"))

    assert len(campaign.records) == 2
    assert codes(campaign) == ["folder/same-file-twice"]


SHARED_LOG = """\
    logs: [ridge.csv]
  quay:
    title: Quay
    nodes: [one]
    logs: [ridge.csv]
"""


def test_rows_that_count_for_two_walks_are_noticed(tmp_path: Path) -> None:
    campaign = read_campaign(described(tmp_path, logs=SHARED_LOG))

    (problem,) = campaign.problems
    assert (problem.code, problem.count) == ("folder/row-in-two-walks", 2)
    assert "quay, ridge" in problem.found


def test_one_log_may_serve_two_walks_by_their_limits(tmp_path: Path) -> None:
    limits = SHARED_LOG.replace(
        "  quay:", "    end: 2026-03-03 10:00:05\n  quay:\n    start: 2026-03-03 10:00:05"
    )

    campaign = read_campaign(described(tmp_path, logs=limits))

    assert campaign.problems == ()
    assert campaign.records["walk"].tolist() == ["ridge", "quay"]
    assert [(a.walk, a.read, a.used) for a in campaign.accounts] == [
        ("ridge", 2, 1),
        ("quay", 2, 1),
    ]


def test_forgotten_files_are_noted_by_folder_and_kind(tmp_path: Path) -> None:
    folder = photo_folder(described(tmp_path), "a.jpg")
    (folder / "old").mkdir()
    (folder / ".hidden").mkdir()
    for name in ("other.csv", "track.gpx", "old/1.csv", "old/2.csv", ".hidden/x.csv", "notes.md"):
        (folder / name).write_text("x", encoding="utf-8")
    (folder / "campaign.schema.json").write_text("{}", encoding="utf-8")

    campaign = read_campaign(folder)

    assert [(p.found, p.count, p.severity) for p in campaign.problems] == [
        ("logs that nothing refers to: other.csv", 1, Severity.NOTE),
        ("tracks that nothing refers to: track.gpx", 1, Severity.NOTE),
        ("logs that nothing refers to: old/1.csv, old/2.csv", 2, Severity.NOTE),
    ]


def test_comments_in_the_conclusions_are_not_published_and_lines_keep_their_numbers(
    tmp_path: Path,
) -> None:
    """Notes to oneself are private; messages about the text must still point to its lines."""
    folder = described(tmp_path)
    (folder / "conclusions.md").write_bytes(b"<!-- ask\r\nBea -->\r\nIt does.")

    assert read_campaign(folder).conclusions == "\n\nIt does."


def test_comments_left_open_cost_no_time(tmp_path: Path) -> None:
    """A text of the largest size took hours by a regular expression."""
    folder = described(tmp_path)
    (folder / "conclusions.md").write_text("<!-- x --> It" + "<!--" * 200_000, encoding="utf-8")
    start = time.process_time()

    text = read_campaign(folder).conclusions

    assert text is not None
    assert text.startswith(" It<!--")
    assert time.process_time() - start < 5


@pytest.mark.parametrize(
    ("content", "where"),
    [(b"one\ntwo \xff\n", "conclusions.md:2"), (b"x" * 1_000_001, "conclusions.md")],
)
def test_conclusions_that_can_not_be_read_are_an_error(
    content: bytes, where: str, tmp_path: Path
) -> None:
    folder = described(tmp_path)
    (folder / "conclusions.md").write_bytes(content)

    assert refusal(folder) == [("conclusions/unreadable", where)]


def test_how_a_log_was_understood_is_said(tmp_path: Path) -> None:
    ((path, note),) = read_campaign(
        described(tmp_path, logs="    logs: [{file: ridge.csv, clock_ahead_s: 2.5}]")
    ).log_notes

    assert path == "ridge.csv"
    assert "Europe/Lisbon" in note
    assert "2.5 s ahead" in note
    assert "rssi_dbm" in note


def test_keys_of_photos_are_slugs_and_unique() -> None:
    """Figures are named by them."""
    names = ["IMG_1.jpg", "IMG_1.heic", "img 1-2.jpg", "Été à l'île.jpg", "雪.jpg", "雨.jpg"]

    assert list(unique_keys(names, "photo").values()) == [
        "img-1",
        "img-1-2",
        "img-1-2-2",
        "ete-a-l-ile",
        "photo",
        "photo-2",
    ]
    assert slug_of("--") == ""


def test_a_name_that_is_no_text_is_set_aside(tmp_path: Path) -> None:
    """Half a character in a file name would stop the writing of the site."""
    folder = photo_folder(described(tmp_path), "a.jpg")
    try:
        (folder / "photos" / "a.jpg").rename(folder / "photos" / "b\udcff.jpg")
    except (OSError, UnicodeError):
        pytest.skip("this file system takes text only as names")

    campaign = read_campaign(folder)

    assert codes(campaign) == ["photo/file-name"]
    assert campaign.photos == ()
    assert [(a.path, a.fault_count) for a in campaign.accounts[1:]] == [("photos/b\\udcff.jpg", 1)]


def test_a_name_longer_than_any_is_an_error_not_a_crash(tmp_path: Path) -> None:
    folder = described(tmp_path, logs=f"    logs: [{'x' * 5000}]")

    assert [code for code, _ in refusal(folder)] == ["path/unreadable"]
