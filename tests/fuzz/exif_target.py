"""Any bytes as the Exif block of a photo, or as the whole of its file."""

from __future__ import annotations

import datetime as dt
import math
import struct
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import piexif
from piexif import GPSIFD, ExifIFD, ImageIFD
from PIL import Image

from reportgen.read.photos import read_photo
from tests.read.log_files import written
from tests.read.made_photos import DEGREES, jpeg_bytes
from tests.read.promises import must_be_spelt_out

_LONGEST_SEGMENT = 65_533


def check(content: bytes, folder: Path) -> None:
    """Read the bytes as a photo; what begins like a JPEG or HEIC stands for itself."""
    is_whole = content[:2] == b"\xff\xd8" or content[4:8] == b"ftyp"
    file = written(folder, content if is_whole else with_exif(content), "any.jpg")
    metadata, problems = read_photo(file)
    if metadata is None:
        must_be_spelt_out(problems)
        return
    assert metadata.local_time is None or metadata.local_time.tzinfo is None
    assert metadata.gps_time_utc is None or metadata.gps_time_utc.tzinfo is dt.UTC
    if metadata.position is not None:
        assert abs(metadata.position.latitude_deg) <= 90
        assert abs(metadata.position.longitude_deg) <= 180
    numbers = (metadata.altitude_msl_m, metadata.heading_deg, metadata.focal_length_35mm_mm)
    assert all(number is None or math.isfinite(number) for number in numbers)
    if problems:
        must_be_spelt_out(problems)


def with_exif(block: bytes) -> bytes:
    """Return a small JPEG with these bytes where its Exif stands."""
    content = (b"Exif\0\0" + block)[:_LONGEST_SEGMENT]
    return b"\xff\xd8\xff\xe1" + struct.pack(">H", len(content) + 2) + content + _pixels()[2:]


@cache
def _pixels() -> bytes:
    return jpeg_bytes(Image.new("RGB", (8, 8), (90, 120, 150)))


def made_seeds() -> Mapping[str, bytes]:
    """Return blocks as cameras write them, and a HEIC head; binary, so made and not kept."""
    taken = {ExifIFD.DateTimeOriginal: b"2026:03:03 10:00:05", ExifIFD.OffsetTimeOriginal: b"Z"}
    fix = {
        **DEGREES,
        GPSIFD.GPSDateStamp: b"2026:03:03",
        GPSIFD.GPSTimeStamp: ((10, 1), (0, 1), (5, 1)),
        GPSIFD.GPSAltitude: (123, 10),
        GPSIFD.GPSAltitudeRef: 0,
        GPSIFD.GPSImgDirection: (9000, 100),
        GPSIFD.GPSImgDirectionRef: b"T",
        GPSIFD.GPSHPositioningError: (5, 1),
    }
    no_number = {**fix, GPSIFD.GPSLatitude: ((1, 0), (0, 0), (0, 0)), GPSIFD.GPSAltitude: (1, 0)}
    far_off = {**fix, GPSIFD.GPSLatitude: ((91, 1), (99, 1), (0, 1))}
    never = {ExifIFD.DateTimeOriginal: b"0000:00:00 00:00:00"}
    main = {ImageIFD.Make: b"Maker", ImageIFD.Model: b"Maker One", ImageIFD.Orientation: 6}
    return {
        "whole": _block(main, {**taken, ExifIFD.FocalLengthIn35mmFilm: 28}, fix),
        "time-alone": _block({}, taken, {}),
        "ratios-over-zero": _block(main, taken, no_number),
        "out-of-range": _block(main, never, far_off),
        "whole-file": with_exif(_block(main, taken, fix)),
        "cut-file": with_exif(_block(main, taken, fix))[:-40],
        "heic-head": b"\0\0\0\x18ftypheic\0\0\0\0mif1heic\0\0\0\x08meta",
    }


def _block(
    main: Mapping[int, object], exif: Mapping[int, object], gps: Mapping[int, object]
) -> bytes:
    block: bytes = piexif.dump({"0th": dict(main), "Exif": dict(exif), "GPS": dict(gps)})
    return block.removeprefix(b"Exif\0\0")
