"""Makes each fault of the table in DEVELOPERS.md, in each kind of file that can have it."""

from __future__ import annotations

import os
import shutil
import struct
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import pytest
from piexif import GPSIFD, ExifIFD
from PIL import Image

from reportgen.read import gpx_elements, text_files
from reportgen.read.intake import Intake
from reportgen.read.reading import CampaignFile
from tests.read.made_photos import DEGREES, photo
from tests.read.whole_campaign import FILES, HEADINGS, point, record, row, track

TABLES = ("CSV log", "sent log")
LOGS = (*TABLES, "JSON log")
JSON_FILES = ("JSON log", "overlay")
TEXTS = ("description", *LOGS, "track", "overlay", "conclusions")
NAMED = (*LOGS, "track", "photo", "overlay", "picture", "conclusions")
ALL = ("description", *NAMED)
FOLDER = "folder"


@dataclass(frozen=True, slots=True, kw_only=True)
class Victim:
    """A sound campaign, and the file of it that is to be broken."""

    folder: Path
    kind: str
    monkeypatch: pytest.MonkeyPatch

    @property
    def path(self) -> Path:
        """The file."""
        return self.folder / FILES[self.kind]

    def write(self, content: str | bytes) -> None:
        """Put other content into the file."""
        self.path.write_bytes(content if isinstance(content, bytes) else content.encode())

    def edit(self, old: str, new: str, kind: str = "") -> None:
        """Change a text that stands in the file, or in that of another kind."""
        path = self.folder / FILES[kind or self.kind]
        text = path.read_text("utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), "utf-8")

    def photo(self, exif: Mapping[int, object], gps: Mapping[int, object]) -> None:
        """Write the photo anew."""
        photo(self.path.parent, name=self.path.name, exif=exif, gps=gps)


Break = Callable[[Victim], None]
CASES: dict[tuple[str, str], Break] = {}
"""By row of the table and kind of file."""


def case(row_name: str, *kinds: str) -> Callable[[Break], Break]:
    """Register what makes a fault."""

    def registered(broken: Break) -> Break:
        for kind in kinds:
            assert (row_name, kind) not in CASES
            CASES[row_name, kind] = broken
        return broken

    return registered


@case("not there", *ALL)
def _(victim: Victim) -> None:
    victim.path.unlink()


@case("a folder in its place", *ALL)
def _(victim: Victim) -> None:
    victim.path.unlink()
    victim.path.mkdir()


@case("a named pipe, socket or device", *ALL)
def _(victim: Victim) -> None:
    if not hasattr(os, "mkfifo"):
        pytest.skip("this system has no named pipes")
    victim.path.unlink()
    os.mkfifo(victim.path)


@case("a link out of the campaign folder", *ALL)
def _(victim: Victim) -> None:
    outside = victim.folder.parent / "outside"
    shutil.move(victim.path, outside)
    victim.path.symlink_to(outside)


@case("a link to itself", *ALL)
def _(victim: Victim) -> None:
    victim.path.unlink()
    victim.path.symlink_to(victim.path)


@case("no right to read it", *ALL)
def _(victim: Victim) -> None:
    # Not by the rights themselves, which bind no administrator.
    def refusing(path: Path, *arguments: object, **options: object) -> object:
        if path.name == victim.path.name:
            raise PermissionError(13, "Permission denied")
        return opened(path, *arguments, **options)  # type: ignore[call-overload]

    opened = Path.open
    victim.monkeypatch.setattr(Path, "open", refusing)


@case("of absurd size", *ALL)
def _(victim: Victim) -> None:
    os.truncate(victim.path, 10**11)


@case("empty", *(kind for kind in ALL if kind != "conclusions"))
def _(victim: Victim) -> None:
    victim.write("")


@case("NUL bytes only", *ALL)
def _(victim: Victim) -> None:
    victim.write(b"\0" * 4096)


@case("an archive or spreadsheet under its name", *ALL)
def _(victim: Victim) -> None:
    victim.write(b"PK\x03\x04" + bytes(range(256)))


@case("a web page under its name", *ALL)
def _(victim: Victim) -> None:
    victim.write("<!DOCTYPE html>\n<html><body>Please sign in, then try again</body></html>")


@case("another kind of file", "description", *TABLES)
def _(victim: Victim) -> None:
    victim.write("prose\nalone\n")


@case("another kind of file", "JSON log")
def _(victim: Victim) -> None:
    victim.write("a,b\n1,2\n")


@case("another kind of file", "track")
def _(victim: Victim) -> None:
    victim.write("<kml><Document/></kml>")


@case("another kind of file", "photo", "picture")
def _(victim: Victim) -> None:
    Image.new("RGB", (8, 8)).save(victim.path, "GIF")


@case("another kind of file", "overlay")
def _(victim: Victim) -> None:
    victim.write("[1, 2]")


@case("cut off", "description", "track", "overlay")
def _(victim: Victim) -> None:
    text = victim.path.read_text("utf-8")
    victim.write(text[: text.rindex("{") + 1] if "{" in text else text[:60])


@case("cut off", *LOGS)
def _(victim: Victim) -> None:
    victim.write(victim.path.read_bytes()[:-45])


@case("cut off", "photo", "picture")
def _(victim: Victim) -> None:
    content = victim.path.read_bytes()
    victim.write(content[: len(content) * 3 // 5])


@case("Windows-1252 instead of UTF-8", *TABLES, "JSON log")
def _(victim: Victim) -> None:
    victim.edit("n-1", "höhe")
    victim.write(victim.path.read_text("utf-8").encode("cp1252"))


@case("Windows-1252 instead of UTF-8", "description", "track", "overlay", "conclusions")
def _(victim: Victim) -> None:
    text = victim.path.read_text("utf-8")
    where = text.index(" ") + 1
    victim.write((text[:where] + "é" + text[where:]).encode("cp1252"))


@case("UTF-16 without mark", *(kind for kind in TEXTS if kind != "track"))
def _(victim: Victim) -> None:
    victim.write(victim.path.read_text("utf-8").encode("utf-16-le"))


@case("another encoding than stated", *LOGS)
def _(victim: Victim) -> None:
    start = {"CSV log": "  table:\n", "sent log": "  own:\n", "JSON log": "  lines:\n"}[victim.kind]
    victim.edit(start, f"{start}    encoding: utf-8\n", "description")
    victim.write(victim.path.read_bytes().replace(b"n-1", b"n\xff1", 1))


@case("another encoding than stated", "track")
def _(victim: Victim) -> None:
    victim.write('<?xml version="1.0" encoding="no-such"?>' + victim.path.read_text("utf-8"))


@case("another separator than stated", *TABLES)
def _(victim: Victim) -> None:
    start = {"CSV log": "  table:\n", "sent log": "  own:\n"}[victim.kind]
    victim.edit(start, f'{start}    separator: ";"\n', "description")


@case("a column or pointer that is not there", *TABLES)
def _(victim: Victim) -> None:
    victim.edit("node", "Knoten")


@case("a column or pointer that is not there", "JSON log")
def _(victim: Victim) -> None:
    victim.edit("receptions: /rx", "receptions: /heard", "description")


@case("changed while it is read", *ALL)
def _(victim: Victim) -> None:
    def changed(intake: Intake) -> None:
        with victim.path.open("ab") as stream:
            stream.write(b"\n")
        looked(intake)

    looked = Intake.note_changed
    victim.monkeypatch.setattr(Intake, "note_changed", changed)


@case("gone while it is read", *ALL)
def _(victim: Victim) -> None:
    def taken(intake: Intake, name: str, *arguments: object) -> CampaignFile | None:
        file = take(intake, name, *arguments)  # type: ignore[arg-type]
        if file is not None and file.path == victim.path.resolve():
            victim.path.unlink()
        return file

    take = Intake.take
    victim.monkeypatch.setattr(Intake, "take", taken)


@case("nested beyond reason", "description")
def _(victim: Victim) -> None:
    victim.write("a: " + "[" * 10_000)


@case("nested beyond reason", "JSON log")
def _(victim: Victim) -> None:
    victim.write(victim.path.read_text("utf-8") + '{"rx":' * 100_000 + "\n")


@case("nested beyond reason", "track")
def _(victim: Victim) -> None:
    victim.write("<gpx>" + "<a>" * 10_000)


@case("nested beyond reason", "overlay")
def _(victim: Victim) -> None:
    victim.write('{"type":' * 100_000)


@case("more receptions in a record than there are stations", "JSON log")
def _(victim: Victim) -> None:
    received = [{"station": "gw-1", "rssi": -80}] * 1001
    victim.write(victim.path.read_text("utf-8") + record(59, rx=received) + "\n")


@case("a pattern that can take hours", "description")
def _(victim: Victim) -> None:
    victim.edit("rssi_dbm: rssi", "rssi_dbm: {column: rssi, pattern: (a+)+}")


@case("small, but grows when read", "description")
def _(victim: Victim) -> None:
    victim.write("a: &a [x, x]\nb: &b [*a, *a]\nc: &c [*b, *b]\n")


@case("small, but grows when read", "track")
def _(victim: Victim) -> None:
    victim.write('<!DOCTYPE gpx [<!ENTITY a "b"><!ENTITY c "&a;&a;">]><gpx>&c;</gpx>')


@case("small, but grows when read", "photo")
def _(victim: Victim) -> None:
    content = victim.path.read_bytes()
    at = content.index(b"\xff\xc0") + 5  # height and width in the frame header
    victim.write(content[:at] + struct.pack(">HH", 65_000, 65_000) + content[at + 4 :])


@case("small, but grows when read", "picture")
def _(victim: Victim) -> None:
    Image.new("1", (20_000, 20_000)).save(victim.path, "PNG")


@case("more points than any walk makes", "track")
def _(victim: Victim) -> None:
    victim.monkeypatch.setattr(gpx_elements, "MOST_POINTS", 3)


@case("more lines than any walk makes", *LOGS)
def _(victim: Victim) -> None:
    victim.monkeypatch.setattr(text_files, "MOST_LINES", 2)


@case("a line longer than any row", *LOGS)
def _(victim: Victim) -> None:
    victim.monkeypatch.setattr(text_files, "LONGEST_LINE_BYTES", 20)


@case("a tab for indentation", "description")
def _(victim: Victim) -> None:
    victim.edit("    name: Quay", "\tname: Quay")


@case("a key, heading or name twice", "description")
def _(victim: Victim) -> None:
    victim.edit("time_zone:", "title: again\ntime_zone:")


@case("a key, heading or name twice", *TABLES)
def _(victim: Victim) -> None:
    victim.edit("station", "node")


@case("a key, heading or name twice", "JSON log")
def _(victim: Victim) -> None:
    victim.edit('"node"', '"node": 1, "node"')


@case("a key that is not known", "description")
def _(victim: Victim) -> None:
    victim.edit("time_zone", "tiem_zone")


@case("a name that nothing has", "description")
def _(victim: Victim) -> None:
    victim.edit("nodes: [one]", "nodes: [won]")


@case("a number that is none", "description")
def _(victim: Victim) -> None:
    victim.edit("40.44,", ".inf,")


@case("a number that is none", "CSV log")
def _(victim: Victim) -> None:
    victim.edit("-80", "1e999")


@case("a number that is none", "sent log")
def _(victim: Victim) -> None:
    victim.edit("40.446", "NaN")


@case("a number that is none", "JSON log")
def _(victim: Victim) -> None:
    victim.write(record(0, lat=float("nan")) + "\n" + record(9).replace("-80", "9" * 5000))


@case("a number that is none", "track")
def _(victim: Victim) -> None:
    victim.edit("40.446", "NaN")


@case("a number that is none", "photo")
def _(victim: Victim) -> None:
    zeros = ((1, 0), (0, 0), (0, 0))
    gps = {**DEGREES, GPSIFD.GPSLatitude: zeros, GPSIFD.GPSLongitude: zeros}
    victim.photo({ExifIFD.DateTimeOriginal: b"2026:03:03 10:00:05"}, gps)


@case("a number that is none", "overlay")
def _(victim: Victim) -> None:
    victim.write('{"type":"LineString","coordinates":[[1e999,0],[1,1],[2,2],[NaN,3]]}')


@case("a value out of its range", "description")
def _(victim: Victim) -> None:
    victim.edit("40.44,", "91,")


@case("a value out of its range", *TABLES, "track")
def _(victim: Victim) -> None:
    victim.edit("40.446", "91")


@case("a value out of its range", "JSON log")
def _(victim: Victim) -> None:
    victim.edit("40.446", "91")


@case("a value out of its range", "photo")
def _(victim: Victim) -> None:
    gps = {**DEGREES, GPSIFD.GPSLatitude: ((91, 1), (0, 1), (0, 1))}
    victim.photo({ExifIFD.DateTimeOriginal: b"2026:03:03 10:00:05"}, gps)


@case("a value out of its range", "overlay")
def _(victim: Victim) -> None:
    victim.write('{"type":"LineString","coordinates":[[500000,4000000],[1,1],[2,2]]}')


@case("a value out of its range", "picture")
def _(victim: Victim) -> None:
    victim.edit("40.5", "40.3", "description")


@case("a time that is none", "description")
def _(victim: Victim) -> None:
    victim.edit("2026-03-03 09:00", "2026-13-03 09:00")


@case("a time that is none", *TABLES)
def _(victim: Victim) -> None:
    victim.edit(row(0), row(0, lat="", lon="").replace("10:00:00", "25:61:00"))


@case("a time that is none", "JSON log")
def _(victim: Victim) -> None:
    victim.write(record(0) + "\n" + record(9, time="noon", lat=None, lon=None) + "\n")


@case("a time that is none", "track")
def _(victim: Victim) -> None:
    victim.edit("10:00:10Z", "25:61:00Z")


@case("a time that is none", "photo")
def _(victim: Victim) -> None:
    victim.photo({ExifIFD.DateTimeOriginal: b"2026:13:45 10:00:05"}, DEGREES)


@case("a time of a clock never set", *LOGS, "track")
def _(victim: Victim) -> None:
    victim.edit("2026", "1970")


@case("a time of a clock never set", "photo")
def _(victim: Victim) -> None:
    victim.photo({ExifIFD.DateTimeOriginal: b"0000:00:00 00:00:00"}, DEGREES)


@case("half a position", *TABLES)
def _(victim: Victim) -> None:
    victim.edit("-31.25", "")


@case("half a position", "JSON log")
def _(victim: Victim) -> None:
    victim.write(record(0, lon=None) + "\n" + record(9) + "\n")


@case("half a position", "track")
def _(victim: Victim) -> None:
    victim.edit(' lon="-31.25"', "")


@case("half a position", "photo")
def _(victim: Victim) -> None:
    gps = {tag: DEGREES[tag] for tag in (GPSIFD.GPSLatitude, GPSIFD.GPSLatitudeRef)}
    victim.photo({ExifIFD.DateTimeOriginal: b"2026:03:03 10:00:05"}, gps)


@case("half a position", "overlay")
def _(victim: Victim) -> None:
    victim.write('{"type":"LineString","coordinates":[[1],[1,1],[2,2]]}')


@case("NUL bytes amid text", *TEXTS)
def _(victim: Victim) -> None:
    content = victim.path.read_bytes()
    at = len(content) * 2 // 3
    victim.write(content[:at] + b"\0" * 512 + content[at:])


@case("a quote that is not closed, or a cell without end", *TABLES)
def _(victim: Victim) -> None:
    victim.write(victim.path.read_text("utf-8") + f'"{"x" * 200_000}",n-1\n')


@case("more cells than headings", *TABLES)
def _(victim: Victim) -> None:
    victim.edit(row(10), row(10) + ",5,6,7")


@case("the headings once more", *TABLES)
def _(victim: Victim) -> None:
    victim.write(victim.path.read_text("utf-8") + HEADINGS + "\n")


@case("a row said twice", *TABLES)
def _(victim: Victim) -> None:
    victim.edit(row(10), row(10) + "\n" + row(10))


@case("a row said twice", "JSON log")
def _(victim: Victim) -> None:
    victim.write(f"{record(0)}\n{record(0)}\n")


@case("rows, but none that can be used", *LOGS)
def _(victim: Victim) -> None:
    victim.write(victim.path.read_text("utf-8").replace("n-1", "n-9"))


@case("rows, but none that can be used", "track")
def _(victim: Victim) -> None:
    victim.write(track(point(0, lat="none")))


@case("rows, but none that can be used", "overlay")
def _(victim: Victim) -> None:
    victim.write('{"type": "FeatureCollection", "features": []}')


@case("damaged metadata", "photo")
def _(victim: Victim) -> None:
    content = victim.path.read_bytes()
    at = content.index(b"Exif\0\0MM\0*") + 10
    victim.write(content[:at] + struct.pack(">I", 0x7FFF) + content[at + 4 :])


@case("there is none", FOLDER)
def _(victim: Victim) -> None:
    shutil.rmtree(victim.folder)


@case("a file has its name", FOLDER)
def _(victim: Victim) -> None:
    shutil.rmtree(victim.folder)
    victim.folder.write_text("x", "utf-8")


@case("it holds no campaign.yaml", FOLDER)
def _(victim: Victim) -> None:
    (victim.folder / "campaign.yaml").unlink()


@case("its photos are not where it says", FOLDER)
def _(victim: Victim) -> None:
    victim.edit("folder: photos, files: {a.jpg: {caption: The quay}}", "folder: no", "description")


@case("its photos lie outside of it", FOLDER)
def _(victim: Victim) -> None:
    victim.edit("folder: photos", "folder: ..", "description")


@case("its photos' folder may not be read", FOLDER)
def _(victim: Victim) -> None:
    def refusing(path: Path) -> object:
        if path.name == "photos":
            raise PermissionError(13, "Permission denied")
        return listed(path)

    listed = Path.iterdir
    victim.monkeypatch.setattr(Path, "iterdir", refusing)


@case("a walk names one file twice", FOLDER)
def _(victim: Victim) -> None:
    victim.edit("tracks: [ridge.gpx]", "tracks: [ridge.gpx, ./ridge.gpx]", "description")


@case("rows of one log count for two walks", FOLDER)
def _(victim: Victim) -> None:
    victim.edit("logs: [{file: quay", "logs: [{file: ridge.csv, format: table}, {file: quay",
                "description")  # fmt: skip


@case("a file that nothing names", FOLDER)
def _(victim: Victim) -> None:
    (victim.folder / "forgotten.csv").write_text("x", "utf-8")


@case("a photo's name is no text", FOLDER)
def _(victim: Victim) -> None:
    try:
        shutil.copy(victim.folder / "photos" / "a.jpg", victim.folder / "photos" / "b\udcff.jpg")
    except (OSError, UnicodeError):
        pytest.skip("this file system takes text only as names")
