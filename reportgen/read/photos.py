"""What a photo file says of itself: when, where, which way, with which lens."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from typing import Literal

from PIL.ExifTags import GPS, Base

from reportgen.errors import CampaignError, Problem, Severity
from reportgen.model.photo import PhotoMetadata
from reportgen.model.station import Position
from reportgen.read.exif_values import (
    clock_s_of,
    degrees_of,
    gps_date_of,
    is_blank_time,
    local_time_of,
    number_of,
    numbers_of,
    text_of,
    utc_offset_s_of,
)
from reportgen.read.picture_file import PictureFile, open_picture
from reportgen.read.reading import CampaignFile

PROBLEM_CODES = (
    ("photo/undated", "A photo has no time of its own."),
    ("photo/time-unreadable", "A photo's time or its offset from UTC can't be read."),
    ("photo/position-blanked", "A photo's position was blanked: zeros, or no numbers."),
    ("photo/position-unreadable", "A photo's position is damaged or lacks its hemisphere."),
    ("photo/position-in-xmp", "A photo's position stands in XMP alone, which is not read."),
)

_Tags = Mapping[int, object]

_QUARTER_TURNED = range(5, 9)
"""Orientations 5 to 8 lie on their side: CIPA DC-008, Orientation."""
_LOWEST_M, _HIGHEST_M = -12_000.0, 100_000.0
_COPY_BY_CABLE = (
    "copy the originals by cable or card: telephones blank positions in photos that are shared "
    "through a picker or a chat"
)


def read_photo(file: CampaignFile) -> tuple[PhotoMetadata | None, tuple[Problem, ...]]:
    """Read the metadata of a JPEG or HEIC file.

    Times, places and levels of trust are left to matching: nothing is converted or guessed here.

    Returns
    -------
    (metadata, problems)
        `metadata` is None where the file can't be opened; a damaged or missing value is None in
        it.
    """
    try:
        with open_picture(file) as picture:
            return _metadata(file, picture)
    except CampaignError as error:
        return None, error.problems


def _metadata(
    file: CampaignFile, picture: PictureFile
) -> tuple[PhotoMetadata, tuple[Problem, ...]]:
    exif, gps = picture.exif_tags, picture.gps_tags
    local_time, offset_s, time_problems = _taken(file, exif)
    position, place_problems = _position(file, picture)
    fix_utc, clock_s = _fix_time(gps)
    width_px, height_px = picture.image.size
    if picture.orientation in _QUARTER_TURNED:
        width_px, height_px = height_px, width_px
    metadata = PhotoMetadata(
        local_time=local_time,
        utc_offset_s=offset_s,
        gps_time_utc=fix_utc,
        gps_clock_s=clock_s,
        position=position,
        altitude_msl_m=_altitude_msl_m(gps) if position else None,
        position_error_m=_positive(gps.get(GPS.GPSHPositioningError)) if position else None,
        heading_deg=_heading_deg(gps),
        heading_reference=_heading_reference(gps),
        focal_length_35mm_mm=_positive(exif.get(Base.FocalLengthIn35mmFilm)),
        width_px=width_px,
        height_px=height_px,
        orientation=picture.orientation,
        camera=_camera(picture.main_tags),
    )
    if local_time is None and fix_utc is None and not time_problems:
        time_problems = [_undated(file)]
    return metadata, (*_damage(file, picture), *time_problems, *place_problems)


def _damage(file: CampaignFile, picture: PictureFile) -> tuple[Problem, ...]:
    if not picture.complaints:
        return ()
    return (
        Problem(
            where=file.where(),
            code="photo/damaged-exif",
            severity=Severity.WARNING,
            found="; ".join(picture.complaints),
            expected="undamaged metadata",
            do="check the photo's time and place on its page; copy the original again if need be",
        ),
    )


def _taken(file: CampaignFile, exif: _Tags) -> tuple[dt.datetime | None, int | None, list[Problem]]:
    text = text_of(exif.get(Base.DateTimeOriginal))
    offset_text = text_of(exif.get(Base.OffsetTimeOriginal))
    time = local_time_of(text, text_of(exif.get(Base.SubsecTimeOriginal)))
    if is_blank_time(text):
        time = None
    elif time is None:
        return None, None, [_unreadable_time(file, f"the time {text}", "2026:03:03 10:00:00")]
    offset_s = utc_offset_s_of(offset_text)
    # "   :  " is how Exif writes an unknown offset; an offset of zero has its sign.
    if offset_s is None and offset_text.strip(" :"):
        return time, None, [_unreadable_time(file, f"the offset {offset_text}", "+01:00")]
    return time, offset_s, []


def _unreadable_time(file: CampaignFile, found: str, example: str) -> Problem:
    return Problem(
        where=file.where(),
        code="photo/time-unreadable",
        severity=Severity.WARNING,
        found=found,
        expected=f"the form {example}",
        do="the value is not used; correct it in the file if the photo should be matched by it",
    )


def _undated(file: CampaignFile) -> Problem:
    return Problem(
        where=file.where(),
        code="photo/undated",
        severity=Severity.WARNING,
        found="no time of its own",
        expected="the time at which it was taken, as cameras write it",
        do="use the original from the camera; without a time it is matched by its position alone",
    )


def _fix_time(gps: _Tags) -> tuple[dt.datetime | None, float | None]:
    """Return the time of the last fix, or its clock alone where the file has no date for it."""
    date_text = text_of(gps.get(GPS.GPSDateStamp))
    date = gps_date_of(date_text)
    clock_s = clock_s_of(gps.get(GPS.GPSTimeStamp))
    if clock_s is None:
        return None, None
    if date is not None:
        midnight = dt.datetime(date.year, date.month, date.day, tzinfo=dt.UTC)
        return midnight + dt.timedelta(seconds=clock_s), None
    # 00:00:00 without a date is a blanked field far more often than midnight.
    return None, clock_s or None


def _position(file: CampaignFile, picture: PictureFile) -> tuple[Position | None, list[Problem]]:
    gps = picture.gps_tags
    raw = (gps.get(GPS.GPSLatitude), gps.get(GPS.GPSLongitude))
    if raw == (None, None):
        is_in_xmp = b"GPSLatitude" in _xmp(picture)
        return None, [_only_in_xmp(file)] if is_in_xmp else []
    if any(isinstance(value, str | bytes) for value in raw):
        return None, [_unreadable_position(file)]
    latitude, longitude = numbers_of(raw[0]), numbers_of(raw[1])
    if _is_blanked(raw[0], latitude) and _is_blanked(raw[1], longitude):
        return None, [_blanked(file)]
    latitude_deg = _signed_deg(latitude, gps.get(GPS.GPSLatitudeRef), "N", "S", 90.0)
    longitude_deg = _signed_deg(longitude, gps.get(GPS.GPSLongitudeRef), "E", "W", 180.0)
    if latitude_deg is None or longitude_deg is None:
        return None, [_unreadable_position(file)]
    return Position(latitude_deg=latitude_deg, longitude_deg=longitude_deg), []


def _is_blanked(raw: object, numbers: tuple[float, ...] | None) -> bool:
    """Return whether a co-ordinate is all zeros or, as 0/0, no number at all."""
    if numbers is None:
        return isinstance(raw, tuple) and all(number_of(item) is None for item in raw)
    return not any(numbers)


def _signed_deg(
    parts: tuple[float, ...] | None, reference: object, plus: str, minus: str, largest_deg: float
) -> float | None:
    degrees = degrees_of(parts) if parts is not None else None
    hemisphere = text_of(reference)[:1].upper()
    if degrees is None or degrees > largest_deg or hemisphere not in (plus, minus):
        return None
    return degrees if hemisphere == plus else -degrees


def _xmp(picture: PictureFile) -> bytes:
    xmp = picture.image.info.get("xmp", b"")
    return xmp if isinstance(xmp, bytes) else b""


def _only_in_xmp(file: CampaignFile) -> Problem:
    return Problem(
        where=file.where(),
        code="photo/position-in-xmp",
        severity=Severity.NOTE,
        found="no position in EXIF, one in XMP",
        expected="a position in EXIF, as cameras write it",
        do="use the original as it came from the camera if it is to be placed by its position",
    )


def _blanked(file: CampaignFile) -> Problem:
    return Problem(
        where=file.where(),
        code="photo/position-blanked",
        severity=Severity.NOTE,
        found="a position made of zeros",
        expected="a position, or none",
        do=_COPY_BY_CABLE,
    )


def _unreadable_position(file: CampaignFile) -> Problem:
    return Problem(
        where=file.where(),
        code="photo/position-unreadable",
        severity=Severity.WARNING,
        found="a position that can't be read as numbers with their hemisphere",
        expected="degrees, minutes and seconds as numbers, with N or S and E or W",
        do="the position is not used; the photo can still be placed by its time",
    )


def _altitude_msl_m(gps: _Tags) -> float | None:
    """Return the altitude; None where its reference is the ellipsoid (Exif 3.0) or unknown."""
    altitude_m = number_of(gps.get(GPS.GPSAltitude))
    sign = {0: 1.0, 1: -1.0}.get(_altitude_reference(gps.get(GPS.GPSAltitudeRef)))
    if altitude_m is None or sign is None or not _LOWEST_M <= altitude_m <= _HIGHEST_M:
        return None
    return sign * altitude_m if altitude_m >= 0 else altitude_m


def _altitude_reference(value: object) -> int:
    if isinstance(value, bytes):
        return value[0] if value else 0
    number = number_of(value)
    return 0 if number is None else int(number)


def _heading_deg(gps: _Tags) -> float | None:
    heading_deg = number_of(gps.get(GPS.GPSImgDirection))
    if heading_deg is None or not 0 <= heading_deg <= 360:
        return None
    return math.fmod(heading_deg, 360.0)


def _heading_reference(gps: _Tags) -> Literal["true", "magnetic"] | None:
    if _heading_deg(gps) is None:
        return None
    letter = text_of(gps.get(GPS.GPSImgDirectionRef)).upper()
    if letter == "T":
        return "true"
    return "magnetic" if letter == "M" else None


def _positive(value: object) -> float | None:
    number = number_of(value)
    return number if number is not None and number > 0 else None


def _camera(tags: _Tags) -> str:
    make, model = text_of(tags.get(Base.Make)), text_of(tags.get(Base.Model))
    if model.lower().startswith(make.lower()):
        return model
    return f"{make} {model}".strip()
