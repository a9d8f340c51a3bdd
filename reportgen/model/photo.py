"""What a photo says of itself, and what the author says of it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from reportgen.model.station import Position

PictureFormat = Literal["jpeg", "webp", "avif"]
"""What published pictures may be written as."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoMetadata:
    """What was read from the file, unconverted.

    Attributes
    ----------
    local_time : datetime or None
        DateTimeOriginal with its sub-seconds, without zone.
    utc_offset_s : int or None
        OffsetTimeOriginal. [s east of UTC]
    gps_time_utc : datetime or None
        GPSDateStamp with GPSTimeStamp: UTC of the last fix, which can be minutes old.
    gps_clock_s : float or None
        GPSTimeStamp where the file has no GPS date. [s since UTC midnight]
    position : Position or None
    altitude_msl_m : float or None
    position_error_m : float or None
        GPSHPositioningError.
    heading_deg : float or None
        GPSImgDirection, clockwise from north, [0, 360).
    heading_reference : "true", "magnetic" or None
        None: the file does not say which north.
    focal_length_35mm_mm : float or None
    width_px, height_px : int
        Upright, as a person sees the picture.
    orientation : int
        Exif Orientation, 1 to 8 (1 where absent, and for HEIC, whose container turns the pixels).
    camera : str
        Make and model, blank where absent.
    """

    local_time: dt.datetime | None = None
    utc_offset_s: int | None = None
    gps_time_utc: dt.datetime | None = None
    gps_clock_s: float | None = None
    position: Position | None = None
    altitude_msl_m: float | None = None
    position_error_m: float | None = None
    heading_deg: float | None = None
    heading_reference: Literal["true", "magnetic"] | None = None
    focal_length_35mm_mm: float | None = None
    width_px: int
    height_px: int
    orientation: int = 1
    camera: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HiddenBox:
    """A part of the upright picture that is not shown, in shares of its width and height, 0-1.

    Left and top are 0 at the upper left corner.
    """

    name: str
    left_ratio: float
    top_ratio: float
    right_ratio: float
    bottom_ratio: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A photo of the campaign. `path` is relative to the campaign folder."""

    key: str
    path: str
    metadata: PhotoMetadata
    caption: str = ""
    sight_line: Literal["clear", "partly blocked", "blocked", ""] = ""
    blocked_by: str = ""
    walk: str = ""
    hidden: tuple[HiddenBox, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraClock:
    """What the author knows of a camera's clock. `camera` "" stands for every other camera.

    `ahead_s` is how far the clock ran ahead of the true time: true = shown - ahead; None where the
    author does not say. [s]
    """

    camera: str = ""
    time_zone: str | None = None
    ahead_s: float | None = None

    @property
    def is_stated(self) -> bool:
        """Whether anything is said of the clock or its zone: a clock said to be right is, too."""
        return self.time_zone is not None or self.ahead_s is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """One published size of a photo: re-encoded pixels without any metadata.

    `name` is made of the content's hash, so that neither date nor original name is let out.
    """

    name: str
    width_px: int
    height_px: int
    content: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedPhoto:
    """All published sizes of one photo, smallest first; empty where it can't be decoded."""

    photo: str
    pictures: tuple[Picture, ...]
