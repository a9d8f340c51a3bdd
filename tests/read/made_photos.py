"""Photos made for the tests, with Exif written by another library than the one that reads it."""

from __future__ import annotations

import io
from collections.abc import Mapping
from pathlib import Path

import piexif
from PIL import Image

from reportgen.read.reading import CampaignFile

Tags = Mapping[int, object]
DEGREES = {
    piexif.GPSIFD.GPSLatitudeRef: b"N",
    piexif.GPSIFD.GPSLatitude: ((40, 1), (26, 1), (46302, 1000)),
    piexif.GPSIFD.GPSLongitudeRef: b"W",
    piexif.GPSIFD.GPSLongitude: ((31, 1), (15, 1), (0, 1)),
}
"""A sound position: 40.446195 N, 31.25 W."""


def photo(
    folder: Path,
    *,
    main: Tags | None = None,
    exif: Tags | None = None,
    gps: Tags | None = None,
    size: tuple[int, int] = (60, 40),
    name: str = "made.jpg",
) -> CampaignFile:
    """Write a JPEG with these tags."""
    block = piexif.dump({"0th": dict(main or {}), "Exif": dict(exif or {}), "GPS": dict(gps or {})})
    path = folder / name
    Image.new("RGB", size, (90, 120, 150)).save(path, "JPEG", exif=block)
    return CampaignFile(path=path, name=name)


def corners(size: tuple[int, int] = (400, 200)) -> Image.Image:
    """Return a picture with a red corner at the top left and a blue one at the top right."""
    image = Image.new("RGB", size, "white")
    width, height = size
    image.paste("red", (0, 0, width // 4, height // 4))
    image.paste("blue", (width - width // 4, 0, width, height // 4))
    return image


def jpeg_bytes(image: Image.Image, **options: object) -> bytes:
    """Return an image as JPEG."""
    buffer = io.BytesIO()
    image.save(buffer, "JPEG", **options)
    return buffer.getvalue()


def hue(image: Image.Image, at: tuple[int, int]) -> str:
    """Return "red" or "blue" where a pixel is clearly that, blank otherwise."""
    red, _, blue = image.convert("RGB").crop((*at, at[0] + 1, at[1] + 1)).tobytes()
    if min(red, blue) > 80 or max(red, blue) < 150:
        return ""
    return "red" if red > blue else "blue"
