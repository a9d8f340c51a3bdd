"""Files that somebody made to do harm: small ones that grow, and paths that lead elsewhere."""

from __future__ import annotations

import gzip
import io
import json
import struct
import threading
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from reportgen.errors import CampaignError
from reportgen.read import pictures
from reportgen.read.folder import read_campaign
from reportgen.read.photos import read_photo
from reportgen.read.pictures import published_overlay, published_photo
from reportgen.read.reading import CampaignFile
from reportgen.read.starter import starter_files, write_starter
from tests.campaigns.made import LINE, row, track, write

SECRET = "the-secret-beyond-the-folder"
ROWS = tuple(row(10 * number, number, 13.0 * number) for number in range(20))
BOMB_SIDE = 50_000


def campaign(folder: Path) -> Path:
    """Return a sound campaign with a log and a track."""
    return write(folder / "campaign", "Sound", rows=ROWS, gpx=track(*LINE))


def edited(folder: Path, old: str, new: str) -> Path:
    path = folder / "campaign.yaml"
    text = path.read_text("utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), encoding="utf-8")
    return folder


def refusal(folder: Path) -> str:
    """Return what is said of a campaign that can't be used; what lies outside is not in it."""
    with pytest.raises(CampaignError) as caught:
        read_campaign(folder)
    assert SECRET not in str(caught.value)
    return str(caught.value)


# Bombs


def test_aliases_that_multiply_are_refused_before_they_are_followed(tmp_path: Path) -> None:
    """Nine lines of them make a thousand million words."""
    folder = campaign(tmp_path)
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 9)]
    (folder / "campaign.yaml").write_text("\n".join(lines), encoding="utf-8")

    assert "yaml/feature" in refusal(folder)


@pytest.mark.parametrize(
    "declaration",
    [
        '<!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa">'
        + "".join(f'<!ENTITY a{n} "{f"&a{n - 1 or str()};" * 10}">' for n in range(1, 9))
        + "]>",
        '<!DOCTYPE gpx [<!ENTITY a SYSTEM "../secret.csv">]>',
        '<!DOCTYPE gpx [<!ENTITY % a SYSTEM "../secret.csv"> %a;]>',
    ],
    ids=["multiplying", "external", "parameter"],
)
def test_entities_in_a_track_are_refused(tmp_path: Path, declaration: str) -> None:
    (tmp_path / "secret.csv").write_text(SECRET, encoding="utf-8")
    folder = campaign(tmp_path)
    text = (folder / "walk.gpx").read_text("utf-8")
    text = text.replace("?>", f"?>{declaration}", 1).replace("<trkseg>", "<name>&a;</name><trkseg>")
    (folder / "walk.gpx").write_text(text, encoding="utf-8")

    assert "gpx/dtd" in refusal(folder)


def jpeg_that_says(width: int, height: int) -> bytes:
    """Return a small JPEG whose frame header states another size (ITU-T T.81, B.2.2)."""
    out = io.BytesIO()
    Image.new("RGB", (16, 16), "red").save(out, "JPEG")
    content = bytearray(out.getvalue())
    at = content.index(b"\xff\xc0") + 5
    content[at : at + 4] = struct.pack(">HH", height, width)
    return bytes(content)


def png_that_says(width: int, height: int, *, chunks: bytes = b"", rows: int = 0) -> bytes:
    """Return a PNG of 8 grey bits by its chunks alone (W3C PNG, section 11.2)."""
    header = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    pixels = zlib.compress(bytes(width + 1) * rows)
    parts = (b"IHDR", header), (b"IDAT", pixels), (b"IEND", b"")
    written = [_chunk(kind, content) for kind, content in parts]
    return b"\x89PNG\r\n\x1a\n" + written[0] + chunks + b"".join(written[1:])


def _chunk(kind: bytes, content: bytes) -> bytes:
    sum_ = struct.pack(">I", zlib.crc32(kind + content))
    return struct.pack(">I", len(content)) + kind + content + sum_


def made(folder: Path, name: str, content: bytes) -> CampaignFile:
    (folder / name).write_bytes(content)
    return CampaignFile(path=folder / name, name=name)


def test_a_photo_that_says_it_is_enormous_is_not_decoded(tmp_path: Path) -> None:
    file = made(tmp_path, "bomb.jpg", jpeg_that_says(BOMB_SIDE, BOMB_SIDE))

    metadata, problems = read_photo(file)
    published, again = published_photo(file, "bomb")

    assert (metadata, published.pictures) == (None, ())
    assert [problem.code for problem in (*problems, *again)] == ["photo/too-large"] * 2


@pytest.mark.parametrize("size", [(BOMB_SIDE, BOMB_SIDE), (12_000, 9_000)], ids=str)
def test_a_drawing_that_says_it_is_enormous_is_not_decoded(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    """A PNG of one colour holds a thousand pixels in a byte, and is decoded whole."""
    file = made(tmp_path, "bomb.png", png_that_says(*size))

    published, problems = published_overlay(file, "bomb")

    assert published.pictures == ()
    assert [problem.code for problem in problems] == ["photo/too-large"]


@pytest.mark.parametrize("size", [(100_000, 2), (2, 100_000)], ids=str)
def test_a_drawing_of_an_absurd_shape_is_published_in_bounds(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    file = made(tmp_path, "strip.png", png_that_says(*size, rows=size[1]))

    published, problems = published_overlay(file, "strip")

    (picture,) = published.pictures
    assert problems == ()
    assert 1 <= picture.width_px <= 1200
    assert 1 <= picture.height_px <= 3600


def test_a_comment_that_unpacks_without_end_is_not_unpacked(tmp_path: Path) -> None:
    """A compressed text of a PNG (zTXt); 200 MB of blanks are 200 kB."""
    packed = b"Comment\0\0" + zlib.compress(bytes(200_000_000), 9)
    chunks = _chunk(b"zTXt", packed)
    file = made(tmp_path, "bomb.png", png_that_says(40, 20, chunks=chunks, rows=20))

    published, problems = published_overlay(file, "bomb")

    assert published.pictures == ()
    assert [problem.code for problem in problems] == ["photo/undecodable"]


def test_of_large_pictures_one_is_decoded_at_a_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each of them fits into memory, but not as many as there are threads."""
    monkeypatch.setattr(pictures, "LARGE_PIXELS", 500)
    large = made(tmp_path, "large.png", png_that_says(40, 20, rows=20))
    small = made(tmp_path, "small.png", png_that_says(20, 20, rows=20))
    done = threading.Event()

    def publish() -> None:
        published_overlay(large, "large")
        done.set()

    thread = threading.Thread(target=publish)
    with pictures._ONE_LARGE:
        thread.start()
        is_through = done.wait(0.3)
        published, _ = published_overlay(small, "small")
    thread.join(5)

    assert not is_through
    assert len(published.pictures) == 1
    assert done.is_set()


def zipped(content: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("log.csv", content)
    return out.getvalue()


@pytest.mark.parametrize("pack", [gzip.compress, zipped], ids=["gzip", "zip"])
@pytest.mark.parametrize("name", ["log.csv", "walk.gpx"])
def test_a_packed_file_is_not_unpacked(
    tmp_path: Path, name: str, pack: Callable[[bytes], bytes]
) -> None:
    """Only its own bytes are looked at, and none of them is a row."""
    folder = campaign(tmp_path)
    (folder / name).write_bytes(pack((folder / name).read_bytes() + bytes(50_000_000)))

    assert name in refusal(folder)


# Paths

OUTWARD = {
    "up": "../secret",
    "up from inside": "inner/../../secret",
    "absolute": "{outside}/secret",
    "link": "link",
    "folder link": "linked/secret",
    "device": "device",
}
CORNERS = """
    corners:
      north_west: {latitude_deg: 47.6, longitude_deg: -31.3}
      south_east: {latitude_deg: 47.4, longitude_deg: -31.2}
"""
PLACES = {
    "log": ("logs: [log.csv]", "logs: [PATH.csv]"),
    "log with format": ("logs: [log.csv]", "logs: [{file: PATH.csv}]"),
    "track": ("tracks: [walk.gpx]", "tracks: [PATH.gpx]"),
    "overlay": ("walks:\n", "overlays: [{file: PATH.geojson}]\nwalks:\n"),
    "picture": ("walks:\n", f"overlays:\n  - file: PATH.png{CORNERS}walks:\n"),
    "conclusions": ("walks:\n", "conclusions: PATH.md\nwalks:\n"),
    "photos": ("walks:\n", "photos: {folder: PATH.folder}\nwalks:\n"),
}


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("outward", OUTWARD)
def test_no_path_leads_out_of_the_folder(tmp_path: Path, place: str, outward: str) -> None:
    """What the description names must lie in the folder itself, however the path is written."""
    folder = campaign(tmp_path)
    (folder / "inner").mkdir()
    (folder / "linked").symlink_to(tmp_path)
    old, new = PLACES[place]
    path = OUTWARD[outward].format(outside=tmp_path)
    ending = new.partition("PATH")[2].split("}")[0].split("]")[0].split("\n")[0]
    secret = tmp_path / f"secret{ending}"
    if ending == ".folder":
        secret.mkdir()
    else:
        secret.write_text(SECRET, encoding="utf-8")
    (folder / f"link{ending}").symlink_to(secret)
    (folder / f"device{ending}").symlink_to("/dev/zero")

    assert "path/outside" in refusal(edited(folder, old, new.replace("PATH", path)))


@pytest.mark.parametrize("target", ["secret.txt", "/dev/zero"])
def test_a_description_that_is_a_link_out_of_the_folder_is_not_read(
    tmp_path: Path, target: str
) -> None:
    (tmp_path / "secret.txt").write_text(f"title: {SECRET}\n{SECRET}: 1\n", encoding="utf-8")
    folder = campaign(tmp_path)
    (folder / "campaign.yaml").unlink()
    (folder / "campaign.yaml").symlink_to(tmp_path / target)

    assert "path/outside" in refusal(folder)


def test_a_photo_that_is_a_link_out_of_the_folder_is_not_published(tmp_path: Path) -> None:
    """It stands in the folder of the photos, so no path in the description shows it."""
    Image.new("RGB", (20, 20)).save(tmp_path / "private.jpg")
    folder = campaign(tmp_path)
    (folder / "photos").mkdir()
    (folder / "photos" / "view.jpg").symlink_to(tmp_path / "private.jpg")

    assert "path/outside" in refusal(folder)


def test_beginning_reads_nothing_outside_of_its_folder(tmp_path: Path) -> None:
    """Headings, identifiers and cameras of what a link leads to would stand in the description."""
    outside, folder = tmp_path / "outside", tmp_path / "campaign"
    outside.mkdir()
    folder.mkdir()
    (outside / "a.csv").write_text(f"time,rssi,{SECRET}\n2026-03-03,-80,1\n", encoding="utf-8")
    Image.new("RGB", (9, 9)).save(outside / "a.jpg", exif=_camera(SECRET))
    for name in ("a.csv", "a.jpg"):
        (folder / name).symlink_to(outside / name)
    (folder / "zero.csv").symlink_to("/dev/zero")
    (folder / "walks").symlink_to(outside)
    (folder / "up").symlink_to("..")

    texts = dict(starter_files(folder))

    assert SECRET not in "".join(texts.values())
    assert "walks/" not in texts["campaign.yaml"]


def _camera(name: str) -> Image.Exif:
    exif = Image.Exif()
    exif[0x0110] = name
    return exif


def test_beginning_does_not_write_through_a_link(tmp_path: Path) -> None:
    folder = tmp_path / "campaign"
    folder.mkdir()
    (folder / "conclusions.md").symlink_to(tmp_path / "not there yet.md")

    with pytest.raises(CampaignError):
        write_starter(folder)

    assert not (tmp_path / "not there yet.md").exists()


STRANGE = [
    "a\nb",
    "a\x1b[2Jb",
    "a\rb",
    "a\x07b",
    "\u202eb",
    "a\u2028b",
    "-rf",
    "a{{ 7*7 }}b",
    "a'\"<b",
]


@pytest.mark.parametrize("stem", STRANGE, ids=ascii)
def test_a_file_of_a_strange_name_steers_nothing(tmp_path: Path, stem: str) -> None:
    """It is read where the description names it, or passed over; messages stay in their lines."""
    folder = campaign(tmp_path)
    (folder / f"{stem}.csv").write_bytes((folder / "log.csv").read_bytes() + b"broken\n")
    (folder / f"{stem}-2.csv").write_bytes(b"")
    named = edited(folder, "logs: [log.csv]", f"logs: [{json.dumps(stem + '.csv')}]")

    found = read_campaign(named)

    assert len(found.records) == len(ROWS)
    for problem in found.problems:
        assert len(str(problem).splitlines()) == 4
        assert str(problem).replace("\n", "").replace("\u202f", "").isprintable()


# Numbers


@pytest.mark.parametrize("number", ["1e308", "-1e308", "1e999", "NaN", "9" * 400])
def test_a_coordinate_beyond_all_bounds_is_not_drawn(tmp_path: Path, number: str) -> None:
    """A map made to hold it would show nothing else; the line is parted there, and that is said."""
    folder = edited(campaign(tmp_path), "walks:\n", "overlays: [{file: o.geojson}]\nwalks:\n")
    sound = "[-31.25, 47.5], [-31, 47]"
    points = f"[{sound}, [{number}, 47.5], {sound}]"
    text = f'{{"type": "LineString", "coordinates": {points}}}'
    (folder / "o.geojson").write_text(text, encoding="utf-8")

    found = read_campaign(folder)

    drawn = [point for item in found.overlays for line in item.lines for point in line]
    assert drawn == [(47.5, -31.25), (47.0, -31.0)] * 2
    assert [problem.code for problem in found.problems] == ["overlay/bad-coordinates"]
