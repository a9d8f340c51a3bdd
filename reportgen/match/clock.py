"""When a photo was taken, in UTC, and how that is known."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal
from zoneinfo import ZoneInfo

from reportgen.model.photo import CameraClock, PhotoMetadata

TimeHow = Literal["offset in the photo", "camera zone", "campaign zone", "GPS time", ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoTime:
    """Time of a photo, None where unknown.

    `corrected_s` is what was taken off for the camera's clock. [s]
    """

    time_utc: dt.datetime | None
    how: TimeHow
    corrected_s: float = 0.0


UNKNOWN = PhotoTime(time_utc=None, how="")


def photo_time(
    metadata: PhotoMetadata, clocks: Sequence[CameraClock], campaign_zone: str
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
    """
    if metadata.local_time is None:
        if metadata.gps_time_utc is None:
            return UNKNOWN
        return PhotoTime(time_utc=metadata.gps_time_utc, how="GPS time")
    clock = clock_of(metadata.camera, clocks)
    how: TimeHow
    zone: dt.tzinfo
    if metadata.utc_offset_s is not None:
        zone, how = dt.timezone(dt.timedelta(seconds=metadata.utc_offset_s)), "offset in the photo"
    elif clock.time_zone:
        zone, how = ZoneInfo(clock.time_zone), "camera zone"
    else:
        zone, how = ZoneInfo(campaign_zone), "campaign zone"
    try:
        shown_utc = metadata.local_time.replace(tzinfo=zone).astimezone(dt.UTC)
        true_utc = shown_utc - dt.timedelta(seconds=clock.ahead_s)
    except OverflowError:
        # A year 1 or 9999, as cameras without a battery write it, is no time at all.
        return UNKNOWN
    return PhotoTime(
        time_utc=true_utc,
        how=how,
        corrected_s=clock.ahead_s,
    )


def clock_of(camera: str, clocks: Sequence[CameraClock]) -> CameraClock:
    """Return what the author says of this camera, or of every camera, or nothing."""
    named = [clock for clock in clocks if clock.camera and clock.camera == camera]
    general = [clock for clock in clocks if not clock.camera]
    return (*named, *general, CameraClock())[0]
