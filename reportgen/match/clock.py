"""When a photo was taken, in UTC, and how that is known."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal
from zoneinfo import ZoneInfo

from reportgen.model.photo import CameraClock, PhotoMetadata

TimeHow = Literal["offset in the photo", "camera zone", "campaign zone", "GPS time", ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoTime:
    """Time of a photo, None where unknown.

    `corrected_s` is what was taken off for the camera's clock, and `corrected_by` whose word that
    was: the author's, or that of the camera's own photos. [s]
    """

    time_utc: dt.datetime | None
    how: TimeHow
    corrected_s: float = 0.0
    corrected_by: Literal["", "author", "photos"] = ""


UNKNOWN = PhotoTime(time_utc=None, how="")


NONE_FOUND: Mapping[str, float] = {}


def photo_time(
    metadata: PhotoMetadata,
    clocks: Sequence[CameraClock],
    campaign_zone: str,
    found_s: Mapping[str, float] = NONE_FOUND,
) -> PhotoTime:
    """Return when a photo was taken.

    The order of trust: the photo's own UTC offset; the zone the author states for the camera;
    the campaign's zone; and, without a camera time, the time of the last position fix, which can
    be minutes old. The author's clock error is taken off camera times, not off position fixes.

    Parameters
    ----------
    metadata : PhotoMetadata
    clocks : sequence of CameraClock
        What the author knows of cameras; one named like the photo's camera wins over one for all.
    campaign_zone : str
        IANA name.
    found_s : mapping of str to float
        By camera: how far its clock ran ahead by its own photos. Never used for a camera of
        which the author says anything. [s]
    """
    if metadata.local_time is None:
        if metadata.gps_time_utc is None:
            return UNKNOWN
        return PhotoTime(time_utc=metadata.gps_time_utc, how="GPS time")
    shown_utc, how = shown_time(metadata, clocks, campaign_zone)
    clock = clock_of(metadata.camera, clocks)
    found_ahead_s = found_s.get(metadata.camera, 0.0)
    ahead_s = (clock.ahead_s or 0.0) if clock.is_stated else found_ahead_s
    try:
        true_utc = shown_utc - dt.timedelta(seconds=ahead_s) if shown_utc else None
    except OverflowError:
        true_utc = None
    if true_utc is None:
        # A year 1 or 9999, as cameras without a battery write it, is no time at all.
        return UNKNOWN
    by: Literal["author", "photos"] = "author" if clock.is_stated else "photos"
    return PhotoTime(
        time_utc=true_utc, how=how, corrected_s=ahead_s, corrected_by=by if ahead_s else ""
    )


def shown_time(
    metadata: PhotoMetadata, clocks: Sequence[CameraClock], campaign_zone: str
) -> tuple[dt.datetime | None, TimeHow]:
    """Return the time that a camera's clock showed, in UTC by its zone, and whose zone that is."""
    if metadata.local_time is None:
        return None, ""
    stated_zone = clock_of(metadata.camera, clocks).time_zone
    how: TimeHow
    zone: dt.tzinfo
    if metadata.utc_offset_s is not None:
        zone, how = dt.timezone(dt.timedelta(seconds=metadata.utc_offset_s)), "offset in the photo"
    elif stated_zone:
        zone, how = ZoneInfo(stated_zone), "camera zone"
    else:
        zone, how = ZoneInfo(campaign_zone), "campaign zone"
    try:
        return metadata.local_time.replace(tzinfo=zone).astimezone(dt.UTC), how
    except OverflowError:
        return None, how


def clock_of(camera: str, clocks: Sequence[CameraClock]) -> CameraClock:
    """Return what the author says of this camera, or of every camera, or nothing."""
    named = [clock for clock in clocks if clock.camera and clock.camera == camera]
    general = [clock for clock in clocks if not clock.camera]
    return (*named, *general, CameraClock())[0]
