"""Figures of where in a photo the station stands: heading, field of view, pointer."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from reportgen.compute.declination import Declination, magnetic_declination, year_of
from reportgen.compute.photo_view import (
    field_of_view_deg,
    pointing_error_deg,
    relative_bearing_deg,
    share_across,
    true_bearing_deg,
)
from reportgen.match.join import Joined
from reportgen.match.photos import PhotoMatch
from reportgen.model.photo import PhotoMetadata
from reportgen.results.figure import Absent, Figure, Maker
from reportgen.results.stated import Stated

COMPASS_ERROR_DEG = 10.0
"""How far the compass of a telephone or camera is off at worst, away from iron; common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Heading:
    """A heading from true north with its error, or why there is none."""

    value_deg: float | None = None
    error_deg: float = COMPASS_ERROR_DEG
    absent: Absent = Absent.NO_HEADING


def aim_figures(
    make: Maker, match: PhotoMatch, joined: Joined, *, distance: Figure, bearing: Figure
) -> Iterator[Figure]:
    """Yield the way the camera looked, how much it saw, and where in that the station stands.

    Parameters
    ----------
    make : Maker
    match : PhotoMatch
    joined : Joined
    distance, bearing : Figure
        From the photo to the station.
    """
    metadata = match.photo.metadata
    yield make.figure(
        "heading_stated_deg", metadata.heading_deg, "deg", "photo-heading-stated",
        absent=Absent.NO_HEADING, inputs=("photos",),
    )  # fmt: skip
    declination = _declination(match, joined)
    if metadata.heading_reference == "magnetic":
        yield _declination_figure(make, declination, joined)
    heading = _heading(metadata, declination)
    yield _heading_figure(make, heading, metadata)
    view_deg = _view_deg(metadata)
    yield make.figure(
        "field_of_view_deg", view_deg, "deg", "field-of-view",
        absent=Absent.NO_LENS, inputs=("photos",),
    )  # fmt: skip
    error_m = max(joined.campaign.matching.position_error_m, metadata.position_error_m or 0.0)
    yield from _pointer(make, heading, view_deg, distance, bearing, error_m)


def _declination(match: PhotoMatch, joined: Joined) -> Declination | None:
    stated_deg = joined.campaign.declination_deg
    if stated_deg is not None:
        return Declination(value_deg=stated_deg, error_deg=0.0, model="")
    when = match.time.time_utc or joined.campaign.last_time_utc
    # Of a moved place no model knows the declination: it was worked out before, if it could be.
    is_moved = joined.campaign.publishing.place == "moved"
    if is_moved or match.position is None or when is None:
        return None
    return magnetic_declination(
        match.position.latitude_deg,
        match.position.longitude_deg,
        decimal_year=year_of(when),
    )


def _declination_figure(make: Maker, found: Declination | None, joined: Joined) -> Figure:
    key = "photos.declination_deg"
    is_model = found is not None and bool(found.model)
    error_deg = found.error_deg if found is not None and is_model else math.nan
    value_deg = found.value_deg if found is not None else math.nan
    return make.figure(
        "declination_deg", value_deg, "deg", "declination" if is_model else "declination-stated",
        absent=Absent.NO_DECLINATION,
        low=value_deg - error_deg if is_model else None,
        high=value_deg + error_deg if is_model else None,
        inputs=("photos",) if is_model else (key,),
        where=Stated.of(joined.campaign).places.get(key),
        source=found.model if found is not None else "",
    )  # fmt: skip


def _heading(metadata: PhotoMetadata, declination: Declination | None) -> _Heading:
    stated_deg = metadata.heading_deg
    if stated_deg is None:
        return _Heading()
    if metadata.heading_reference == "true":
        return _Heading(value_deg=stated_deg)
    if metadata.heading_reference is None:
        return _Heading(absent=Absent.NO_NORTH)
    if declination is None:
        return _Heading(absent=Absent.NO_DECLINATION)
    return _Heading(
        value_deg=float(true_bearing_deg(stated_deg, declination.value_deg)),
        error_deg=math.hypot(COMPASS_ERROR_DEG, declination.error_deg),
    )


def _heading_figure(make: Maker, heading: _Heading, metadata: PhotoMetadata) -> Figure:
    is_magnetic = metadata.heading_reference == "magnetic"
    stated, turned = f"{make.path}.heading_stated_deg", f"{make.path}.declination_deg"
    return make.figure(
        "heading_deg", heading.value_deg, "deg",
        "photo-heading-turned" if is_magnetic else "photo-heading",
        absent=heading.absent, inputs=(stated, turned) if is_magnetic else (stated,),
        low=None if heading.value_deg is None else (heading.value_deg - heading.error_deg) % 360.0,
        high=None if heading.value_deg is None else (heading.value_deg + heading.error_deg) % 360.0,
    )  # fmt: skip


def _view_deg(metadata: PhotoMetadata) -> float | None:
    if metadata.focal_length_35mm_mm is None or min(metadata.width_px, metadata.height_px) < 2:
        return None
    return float(
        field_of_view_deg(metadata.focal_length_35mm_mm, metadata.width_px, metadata.height_px)
    )


def _pointer(
    make: Maker,
    heading: _Heading,
    view_deg: float | None,
    distance: Figure,
    bearing: Figure,
    error_m: float,
) -> Iterator[Figure]:
    """Yield the angle to the station, how far it can be off, and where that is in the picture."""
    path = make.path
    turn = error = None
    absent = heading.absent
    if heading.value_deg is not None:
        absent = distance.absent_reason or bearing.absent_reason or Absent.TOO_NEAR
        if bearing.number is not None and distance.number is not None:
            error_deg = float(pointing_error_deg(heading.error_deg, error_m, distance.number))
            if not math.isnan(error_deg):
                error = error_deg
                turn = float(relative_bearing_deg(heading.value_deg, bearing.number))
    yield make.figure(
        "pointer_error_deg", error, "deg", "pointer-error", absent=absent,
        inputs=(f"{path}.heading_deg", f"{path}.distance_m", "setup.radio.position_error_m"),
    )  # fmt: skip
    yield make.figure(
        "pointer_turn_deg", turn, "deg", "pointer-turn", absent=absent,
        low=None if turn is None or error is None else turn - error,
        high=None if turn is None or error is None else turn + error,
        inputs=(f"{path}.bearing_deg", f"{path}.heading_deg", f"{path}.pointer_error_deg"),
    )  # fmt: skip
    yield _share(make, turn, error, view_deg, absent)


def _share(
    make: Maker, turn_deg: float | None, error_deg: float | None, view_deg: float | None,
    absent: Absent,
) -> Figure:  # fmt: skip
    inputs = (f"{make.path}.pointer_turn_deg", f"{make.path}.field_of_view_deg")
    if turn_deg is None or error_deg is None or view_deg is None:
        reason = absent if turn_deg is None else Absent.NO_LENS
        return make.figure("pointer_share", None, "1", "pointer", absent=reason, inputs=inputs)
    share = float(share_across(turn_deg, view_deg))
    return make.figure(
        "pointer_share", share if 0.0 <= share <= 1.0 else None, "1", "pointer",
        absent=Absent.OUTSIDE_PICTURE,
        low=_share_at(turn_deg - error_deg, view_deg),
        high=_share_at(turn_deg + error_deg, view_deg),
        inputs=inputs,
    )  # fmt: skip


def _share_at(turn_deg: float, view_deg: float) -> float:
    """Return an end of an interval as a share of the picture, at its edge where it is outside."""
    clipped_deg = min(max(turn_deg, -view_deg / 2.0), view_deg / 2.0)
    return min(max(float(share_across(clipped_deg, view_deg)), 0.0), 1.0)
