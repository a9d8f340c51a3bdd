"""Photos, drawn: the picture, where the mast's top is in it, and the file with its Exif."""

from __future__ import annotations

import datetime as dt
import io
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import piexif
from PIL import Image

from tests.generators.island.boxes import Colour, shaded
from tests.generators.island.chance import stream
from tests.generators.island.ground import to_degrees
from tests.generators.island.painting import hazy, paint
from tests.generators.island.rendering import (
    Depths,
    Pixels,
    View,
    draw_polygon,
    ground_depths,
    project,
    view_of,
)
from tests.generators.island.scenario import ZONE
from tests.generators.island.scenery import all_faces, mast_line
from tests.generators.island.shots import Shot

FINER = 2
"""Each side is drawn this many times larger and scaled down, which smooths edges."""
QUALITY = 80
_FIX_ERROR_M = 2.5
EDITED = "2026:06:21 22:13:07"
"""When each photo was looked through at home, after the walks."""
AREA = "Saltlarder Row 3, Tolverra"
"""What a telephone writes of the place it thinks it is at: a street and a number."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """An upright picture, and the mast's top in it: None where it is outside or hidden."""

    image: Image.Image
    mast_top_px: tuple[float, float] | None


def drawn(shot: Shot) -> Picture:
    """Return the picture of a photo."""
    view = view_of(shot, FINER)
    depths = ground_depths(view)
    pixels = paint(view, depths, shot.key)
    for face in all_faces():
        ahead, _ = view.ahead_right(face.corners[:, 0], face.corners[:, 1])
        colour = hazy(shaded(face), float(max(ahead.mean(), 0.0)))
        draw_polygon(view, pixels, depths, face.corners, colour)
    mast_top_px = _mast_top_px(view, depths)
    _draw_mast(view, pixels, depths)
    image = Image.fromarray(pixels).reduce(FINER)
    return Picture(image=image, mast_top_px=mast_top_px)


def _mast_top_px(view: View, depths: Depths) -> tuple[float, float] | None:
    (x_m, y_m), _, top_m = mast_line()
    columns, rows, ahead = project(view, np.array([[x_m, y_m, top_m]]))
    column, row = float(columns[0]), float(rows[0])
    if ahead[0] <= 0 or not (0 <= column < view.width and 0 <= row < view.height):
        return None
    if depths[int(row), int(column)] < ahead[0] - 1.0:
        return None
    return column / view.finer, row / view.finer


def _draw_mast(view: View, pixels: Pixels, depths: Depths) -> None:
    """Draw the mast in red and white and its antenna; never thinner than can be seen."""
    (x_m, y_m), foot_m, top_m = mast_line()
    ahead, _ = view.ahead_right(np.array([x_m]), np.array([y_m]))
    if ahead[0] < 1.0:
        return
    thin = 2.0 * view.finer * float(ahead[0]) / view.focal_px
    antenna_m = top_m - 2.0
    bands = np.linspace(foot_m, antenna_m, 6)
    parts: list[tuple[float, float, float, Colour]] = [
        (low, high, max(0.16, thin), ((204, 58, 46), (248, 247, 244))[number % 2])
        for number, (low, high) in enumerate(pairwise(bands))
    ]
    parts.append((antenna_m, top_m, max(0.08, 0.8 * thin), (44, 52, 60)))
    for low, high, wide, colour in parts:
        # Upright and facing the camera, a hand's breadth nearer than the building it stands on.
        turn = np.radians(view.heading_deg)
        side = np.array([np.cos(turn), -np.sin(turn), 0.0]) * wide / 2
        near = -0.05 * np.array([np.sin(turn), np.cos(turn), 0.0])
        foot, head = (np.array([x_m, y_m, up]) + near for up in (low, high))
        corners = np.array([foot - side, foot + side, head + side, head - side])
        draw_polygon(view, pixels, depths, corners, hazy(colour, float(ahead[0]) / 3))


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """What a photo's file says, as it can be read back from it."""

    local_time: str | None
    sub_seconds: str | None
    latitude_deg: float | None
    longitude_deg: float | None
    time_utc_s: float | None
    """The moment that the stated time means once the camera's clock error is taken off."""


def stated(shot: Shot) -> Stated:
    """Return what the file of a photo says."""
    latitude, longitude = _fix(shot)
    parts = [_from_rationals(_rationals(value)) for value in (latitude, longitude)]
    clock = _clock(shot)
    return Stated(
        local_time=clock.strftime("%Y:%m:%d %H:%M:%S") if clock else None,
        sub_seconds=f"{clock.microsecond // 10_000:02d}" if clock else None,
        latitude_deg=parts[0] if shot.states_place else None,
        longitude_deg=-parts[1] if shot.states_place else None,
        time_utc_s=_seconds(clock) - shot.camera.clock_ahead_s if clock else None,
    )


def _clock(shot: Shot) -> dt.datetime | None:
    """Return what the camera's clock showed, to the hundredth."""
    if shot.time_s is None or not shot.states_time:
        return None
    shown = dt.datetime.fromtimestamp(round(shot.time_s + shot.camera.clock_ahead_s, 2), ZONE)
    hundredths = round(shown.microsecond / 10_000) % 100
    return shown.replace(microsecond=10_000 * hundredths)


def _seconds(moment: dt.datetime) -> float:
    return round(moment.timestamp(), 2)


def _fix(shot: Shot) -> tuple[float, float]:
    east, north = stream(f"fix {shot.key}").standard_normal(2) * _FIX_ERROR_M / np.sqrt(2)
    x_m, y_m = shot.place_m
    latitude, longitude = to_degrees(np.array([x_m + east]), np.array([y_m + north]))
    return float(latitude[0]), float(longitude[0])


Rationals = tuple[tuple[int, int], ...]


def _rationals(degrees: float) -> Rationals:
    ten_thousandths = round(abs(degrees) * 3600 * 10_000)
    minutes, seconds = divmod(ten_thousandths, 60 * 10_000)
    return (minutes // 60, 1), (minutes % 60, 1), (seconds, 10_000)


def _from_rationals(parts: Rationals) -> float:
    whole, minutes, seconds = (top / bottom for top, bottom in parts)
    return whole + minutes / 60 + seconds / 3600


def jpeg_of(shot: Shot, picture: Picture) -> bytes:
    """Return the file of a photo; an upright one is stored on its side, as cameras do."""
    image = picture.image
    if shot.is_upright:
        image = image.transpose(Image.Transpose.ROTATE_90)
    buffer = io.BytesIO()
    # piexif leaves out the four zeros that end a last block; readers call such a file damaged.
    exif = piexif.dump(_exif(shot)) + bytes(4)
    image.save(
        buffer, "JPEG", quality=QUALITY, exif=exif, xmp=_xmp(shot), extra=_iptc(shot),
        comment=f"scanned by {shot.camera.owner}".encode(),
    )  # fmt: skip
    return buffer.getvalue()


def _xmp(shot: Shot) -> bytes:
    """Return an XMP packet (ISO 16684-1) that names the owner and when the file was edited."""
    return (
        '<?xpacket begin="" id="W5M0MpCehiHzreSzNTczkc9d"?>'
        '<x:xmpmeta xmlns:x="adobe:ns:meta/">'
        '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" '
        'xmlns:xmp="http://ns.adobe.com/xap/1.0/" '
        f'xmp:CreatorTool="{shot.camera.software}" xmp:ModifyDate="2026-06-21T22:13:07+01:00">'
        f"<dc:creator><rdf:Seq><rdf:li>{shot.camera.owner}</rdf:li></rdf:Seq></dc:creator>"
        '</rdf:Description></rdf:RDF></x:xmpmeta><?xpacket end="w"?>'
    ).encode()


def _iptc(shot: Shot) -> bytes:
    """Return an APP13 segment with the by-line of IPTC IIM (dataset 2:80) and the town (2:90)."""
    data = b""
    for dataset, text in ((80, shot.camera.owner), (90, AREA)):
        value = text.encode()
        data += b"\x1c\x02" + bytes([dataset]) + len(value).to_bytes(2, "big") + value
    block = b"8BIM\x04\x04\x00\x00" + len(data).to_bytes(4, "big") + data
    body = b"Photoshop 3.0\x00" + block + b"\x00" * (len(data) % 2)
    return b"\xff\xed" + (len(body) + 2).to_bytes(2, "big") + body


def _exif(shot: Shot) -> dict[str, dict[int, object]]:
    main: dict[int, object] = {
        piexif.ImageIFD.Make: shot.camera.make,
        piexif.ImageIFD.Model: shot.camera.model,
        piexif.ImageIFD.Orientation: 6 if shot.is_upright else 1,
        piexif.ImageIFD.Artist: shot.camera.owner,
        piexif.ImageIFD.Copyright: f"(c) {shot.camera.owner}",
        piexif.ImageIFD.Software: shot.camera.software,
        piexif.ImageIFD.DateTime: EDITED,
    }
    taken: dict[int, object] = {
        piexif.ExifIFD.FocalLengthIn35mmFilm: shot.focal_35mm,
        piexif.ExifIFD.CameraOwnerName: shot.camera.owner,
        piexif.ExifIFD.BodySerialNumber: shot.camera.serial,
        piexif.ExifIFD.MakerNote: f"DRAWN\0 serial {shot.camera.serial}\0".encode(),
    }
    says = stated(shot)
    if says.local_time and says.sub_seconds:
        taken[piexif.ExifIFD.DateTimeOriginal] = says.local_time
        taken[piexif.ExifIFD.SubSecTimeOriginal] = says.sub_seconds
        if shot.camera.offset:
            taken[piexif.ExifIFD.OffsetTimeOriginal] = shot.camera.offset
    place = _gps(shot, says)
    # An empty block would be written as a damaged one.
    return {"0th": main, "Exif": taken} | ({"GPS": place} if place else {})


def _gps(shot: Shot, says: Stated) -> dict[int, object]:
    tags: dict[int, object] = {}
    if shot.states_place:
        latitude, longitude = _fix(shot)
        tags |= {
            piexif.GPSIFD.GPSAreaInformation: b"ASCII\0\0\0" + AREA.encode(),
            piexif.GPSIFD.GPSLatitudeRef: "N",
            piexif.GPSIFD.GPSLatitude: _rationals(latitude),
            piexif.GPSIFD.GPSLongitudeRef: "W",
            piexif.GPSIFD.GPSLongitude: _rationals(longitude),
            piexif.GPSIFD.GPSAltitudeRef: 0,
            piexif.GPSIFD.GPSAltitude: (round(shot.ground_m * 10), 10),
        }
        if says.time_utc_s is not None and shot.camera.offset:
            # The last fix is a second or two old, in whole seconds.
            fix = dt.datetime.fromtimestamp(int(says.time_utc_s) - 1, dt.UTC)
            tags[piexif.GPSIFD.GPSDateStamp] = fix.strftime("%Y:%m:%d")
            tags[piexif.GPSIFD.GPSTimeStamp] = (fix.hour, 1), (fix.minute, 1), (fix.second, 1)
    if shot.states_heading:
        tags[piexif.GPSIFD.GPSImgDirectionRef] = shot.camera.north
        tags[piexif.GPSIFD.GPSImgDirection] = (round(shot.written_heading_deg * 10), 10)
    return tags
