"""What of a campaign folder is nobody's business, collected without a line of the package."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path

from PIL import ExifTags, Image
from ruamel.yaml import YAML

OURS = {"campaign.yaml", "campaign.schema.json", "campaign-keys.md", "conclusions.md"}
"""Names that the program itself gives."""
IDENTIFIER = re.compile(r"\b[0-9A-Fa-f]{16}\b")
BROKEN_CELLS = {
    "logs/quay-first.csv": "491,953820",
    "logs/hill-sf10-stub.csv": "2026-06-12T25:61:00Z",
}
"""Cells of rows that are set aside; a problem quotes them to the author."""

_TEXTS = (
    ExifTags.Base.Artist, ExifTags.Base.Copyright, ExifTags.Base.Software, ExifTags.Base.DateTime,
    ExifTags.Base.Model, ExifTags.Base.CameraOwnerName, ExifTags.Base.BodySerialNumber,
    ExifTags.Base.DateTimeOriginal,
)  # fmt: skip


def private_values(folder: Path) -> dict[str, set[str]]:
    """Return the private texts of a campaign folder by what they are."""
    found: dict[str, set[str]] = {}
    for kind, text in (*_of_files(folder), *_of_rows(folder), *_of_photos(folder)):
        found.setdefault(kind, set()).add(text)
    return found


def _of_files(folder: Path) -> Iterator[tuple[str, str]]:
    """Yield names of files; a stem that the author also wrote as a word of theirs is public."""
    public = _words_of(folder)
    for path in sorted(folder.rglob("*")):
        if path.is_dir() or path.name in OURS:
            continue
        yield "file name", path.name
        if path.stem.casefold() not in public:
            yield "file stem", path.stem


def _words_of(folder: Path) -> str:
    """Return what the author wrote for readers: everything but what names files."""
    tree = YAML(typ="safe").load((folder / "campaign.yaml").read_text("utf-8"))
    return "\n".join(_strings(tree)).casefold()


def _strings(value: object) -> Iterator[str]:
    if isinstance(value, dict):
        for key, inner in value.items():
            if key in ("file", "tracks", "logs", "ids"):
                continue
            is_named_by_file = key == "files"
            yield "" if is_named_by_file else str(key)
            yield from _strings(list(inner.values()) if is_named_by_file else inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _strings(inner)
    elif isinstance(value, str):
        yield value


def _of_rows(folder: Path) -> Iterator[tuple[str, str]]:
    for path in (folder / "campaign.yaml", *sorted((folder / "logs").iterdir())):
        for identifier in IDENTIFIER.findall(path.read_text("utf-8")):
            yield "identifier", identifier.casefold()
    for name, cell in BROKEN_CELLS.items():
        assert cell in (folder / name).read_text("utf-8")
        yield "broken cell", cell


def _of_photos(folder: Path) -> Iterator[tuple[str, str]]:
    for path in sorted((folder / "photos").iterdir()):
        with Image.open(path) as image:
            exif = image.getexif()
            inner, place = exif.get_ifd(ExifTags.IFD.Exif), exif.get_ifd(ExifTags.IFD.GPSInfo)
            for tag in _TEXTS:
                text = exif.get(tag) or inner.get(tag)
                if text:
                    yield tag.name, str(text)
            yield "maker note", inner[ExifTags.Base.MakerNote].strip(b"\0").decode().split()[-1]
            if ExifTags.GPS.GPSAreaInformation in place:
                yield "area", place[ExifTags.GPS.GPSAreaInformation][8:].decode()
            yield "comment", image.info["comment"].decode()
            yield from (("iptc", text) for text in _iptc(image.info["photoshop"][1028]))
            yield from (("xmp", text) for text in _xmp(image.info["xmp"]))


def _iptc(block: bytes) -> Iterator[str]:
    """Yield the texts of IPTC IIM datasets: a mark, record, number, length, text."""
    while block[:1] == b"\x1c":
        length = int.from_bytes(block[3:5], "big")
        yield block[5 : 5 + length].decode()
        block = block[5 + length :]


def _xmp(packet: bytes) -> Iterator[str]:
    for element in ET.fromstring(packet.decode()).iter():
        yield from (value for value in element.attrib.values() if value)
        if element.text and element.text.strip():
            yield element.text
