"""Which log point a photo belongs to, by time and by place, and whether the two agree."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import pandas as pd

from reportgen.compute.geodesy import distance_m, maybe_within
from reportgen.match.clock import NONE_FOUND, PhotoTime, photo_time
from reportgen.match.positions import TrackOfWalk, epoch_s
from reportgen.model.campaign import Campaign
from reportgen.model.photo import Photo
from reportgen.model.station import Position

LONGEST_INTERPOLATION_S = 3600.0
"""A photo is placed on a track across gaps up to this; beyond the campaign's own limit the place
is called unsure."""

NEAR_M = 100.0
"""Within this much a point is mostly found, and the others need not be looked at."""
FARTHEST_POINT_M = 5_000.0
"""A log point farther from a photo than this has nothing to say about it."""

PositionHow = Literal["photo", "track", "log", ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class NearestPoint:
    """A log or track point beside a photo.

    Attributes
    ----------
    walk : str
        Key of its walk.
    row : int
        Row of the table it was found in.
    position : Position
    time_utc : datetime or None
    time_residual_s : float or None
        Time of the point minus time of the photo; None where either is unknown. [s]
    distance_m : float or None
        From the photo's place; None where that is unknown. [m]
    """

    walk: str
    row: int
    position: Position
    time_utc: dt.datetime | None
    time_residual_s: float | None
    distance_m: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackPlace:
    """Where the track was at the time of a photo.

    `gap_s` is the time between the track points on either side; `is_sure` is False where it is
    longer than the campaign's limit.
    """

    walk: str
    position: Position
    height_msl_m: float | None
    gap_s: float
    is_sure: bool
    nearest: NearestPoint


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoMatch:
    """A photo, when and where it was taken, and what lies nearest.

    Attributes
    ----------
    position, position_how
        The place used for every figure of this photo: the photo's own, else the track's at that
        time, else that of the nearest log point by time; None and "" where none can be had.
    height_msl_m : float or None
        Height of the camera's ground as the photo or track has it. [m]
    by_time, by_place : NearestPoint or None
        Nearest log point, within the campaign's limit of time, or within `FARTHEST_POINT_M`.
    on_track : TrackPlace or None
    own_reception : NearestPoint or None
        Nearest reception of an own station, by place.
    walk : str
        The walk it belongs to, "" where nothing tells.
    disagreement_m : float or None
        How far the photo's own place lies from where time puts it, given only when that is more
        than the matching radius: time and place do not tell the same story. [m]
    """

    photo: Photo
    time: PhotoTime
    position: Position | None
    position_how: PositionHow
    height_msl_m: float | None
    by_time: NearestPoint | None
    by_place: NearestPoint | None
    on_track: TrackPlace | None
    own_reception: NearestPoint | None
    walk: str
    disagreement_m: float | None

    @property
    def is_matched(self) -> bool:
        """Whether the photo is tied to the campaign by time or by place."""
        return bool(self.by_time or self.by_place or self.on_track)


def match_photos(
    campaign: Campaign,
    log_points: pd.DataFrame,
    own_receptions: pd.DataFrame,
    tracks: Mapping[str, TrackOfWalk],
    found_s: Mapping[str, float] = NONE_FOUND,
) -> tuple[PhotoMatch, ...]:
    """Match every photo of a campaign.

    Parameters
    ----------
    campaign : Campaign
    log_points : DataFrame
        Positioned records, heard by anybody, with walk, time and place.
    own_receptions : DataFrame
        Positioned receptions of own stations.
    tracks : mapping of str to TrackOfWalk
        By key of the walk.
    found_s : mapping of str to float
        By camera, how far its own photos say that its clock ran ahead. [s]
    """
    return tuple(
        _match(
            photo,
            photo_time(photo.metadata, campaign.cameras, campaign.time_zone, found_s),
            campaign,
            log_points,
            own_receptions,
            tracks,
        )
        for photo in campaign.photos
    )


def _match(
    photo: Photo,
    time: PhotoTime,
    campaign: Campaign,
    log_points: pd.DataFrame,
    own_receptions: pd.DataFrame,
    tracks: Mapping[str, TrackOfWalk],
) -> PhotoMatch:
    limits = campaign.matching
    chosen = _of_walk(log_points, photo.walk)
    on_track = _place_on_tracks(time.time_utc, tracks, photo.walk, limits.longest_track_gap_s)
    by_time = _nearest_in_time(time.time_utc, chosen, limits.longest_photo_gap_s)
    position, how = _position(photo, on_track, by_time)
    by_place = _nearest_in_place(position, time.time_utc, chosen) if how == "photo" else None
    if by_time is not None:
        by_time = _with_distance(by_time, position if how != "log" else None)
    if on_track is not None:
        on_track = _track_with_distance(on_track, position if how == "photo" else None)
    return PhotoMatch(
        photo=photo,
        time=time,
        position=position,
        position_how=how,
        height_msl_m=_height(photo, on_track),
        by_time=by_time,
        by_place=by_place,
        on_track=on_track,
        own_reception=_nearest_in_place(position, time.time_utc, own_receptions),
        walk=_walk(photo, by_time, on_track, by_place, limits.photo_radius_m),
        disagreement_m=_disagreement_m(photo, on_track, by_time, limits.photo_radius_m),
    )


def _of_walk(points: pd.DataFrame, walk: str) -> pd.DataFrame:
    return points[points["walk"] == walk] if walk else points


def _position(
    photo: Photo, on_track: TrackPlace | None, by_time: NearestPoint | None
) -> tuple[Position | None, PositionHow]:
    if photo.metadata.position is not None:
        return photo.metadata.position, "photo"
    if on_track is not None:
        return on_track.position, "track"
    if by_time is not None:
        return by_time.position, "log"
    return None, ""


def _height(photo: Photo, on_track: TrackPlace | None) -> float | None:
    if photo.metadata.altitude_msl_m is not None:
        return photo.metadata.altitude_msl_m
    return on_track.height_msl_m if on_track is not None else None


def _walk(
    photo: Photo,
    by_time: NearestPoint | None,
    on_track: TrackPlace | None,
    by_place: NearestPoint | None,
    radius_m: float,
) -> str:
    if photo.walk:
        return photo.walk
    for candidate in (by_time, on_track):
        if candidate is not None:
            return candidate.walk
    # Place alone names a walk only where the photo stands on its ground.
    if by_place is not None and (by_place.distance_m or 0.0) <= radius_m:
        return by_place.walk
    return ""


def _nearest_in_time(
    time_utc: dt.datetime | None, points: pd.DataFrame, longest_s: float
) -> NearestPoint | None:
    timed = points[points["time_utc"].notna()]
    if time_utc is None or timed.empty:
        return None
    residual_s = epoch_s(timed["time_utc"]) - time_utc.timestamp()
    index = int(np.argmin(np.abs(residual_s)))
    if abs(residual_s[index]) > longest_s:
        return None
    return _point(timed, index, time_utc, None)


def _nearest_in_place(
    position: Position | None, time_utc: dt.datetime | None, points: pd.DataFrame
) -> NearestPoint | None:
    if position is None or points.empty:
        return None
    latitude_deg, longitude_deg = (
        points[name].to_numpy(dtype=np.float64) for name in ("latitude_deg", "longitude_deg")
    )
    here = (position.latitude_deg, position.longitude_deg)
    for within_m in (NEAR_M, FARTHEST_POINT_M):
        rows = maybe_within(*here, latitude_deg, longitude_deg, within_m)
        nearby = points.iloc[rows]
        away_m = distance_m(*here, latitude_deg[rows], longitude_deg[rows])
        if away_m.size and np.nanmin(away_m) <= within_m:
            index = int(np.nanargmin(away_m))
            return _point(nearby, index, time_utc, float(away_m[index]))
    return None


def _point(
    points: pd.DataFrame, index: int, time_utc: dt.datetime | None, away_m: float | None
) -> NearestPoint:
    row = points.iloc[index]
    point_utc = None if pd.isna(row["time_utc"]) else row["time_utc"].to_pydatetime()
    residual_s = (
        None if time_utc is None or point_utc is None else (point_utc - time_utc).total_seconds()
    )
    return NearestPoint(
        walk=row["walk"],
        row=int(points.index[index]),
        position=Position(
            latitude_deg=float(row["latitude_deg"]), longitude_deg=float(row["longitude_deg"])
        ),
        time_utc=point_utc,
        time_residual_s=residual_s,
        distance_m=away_m,
    )


def between_m(a: Position, b: Position) -> float:
    """Return the geodesic distance of two places. [m]"""
    return float(distance_m(a.latitude_deg, a.longitude_deg, b.latitude_deg, b.longitude_deg))


def _with_distance(point: NearestPoint, position: Position | None) -> NearestPoint:
    away_m = None if position is None else between_m(position, point.position)
    return replace(point, distance_m=away_m)


def _place_on_tracks(
    time_utc: dt.datetime | None,
    tracks: Mapping[str, TrackOfWalk],
    walk: str,
    longest_gap_s: float,
) -> TrackPlace | None:
    if time_utc is None:
        return None
    time_s = time_utc.timestamp()
    found = [
        place
        for key, track in tracks.items()
        if (not walk or key == walk) and track.spans(time_s)
        for place in [_place_on_track(time_utc, key, track, longest_gap_s)]
        if place is not None
    ]
    return min(found, key=lambda place: place.gap_s, default=None)


def _place_on_track(
    time_utc: dt.datetime, walk: str, track: TrackOfWalk, longest_gap_s: float
) -> TrackPlace | None:
    time_s = time_utc.timestamp()
    place = track.at(np.array([time_s]), LONGEST_INTERPOLATION_S)
    if np.isnan(place.latitude_deg[0]):
        return None
    residual_s = track.time_s - time_s
    index = int(np.argmin(np.abs(residual_s)))
    nearest = NearestPoint(
        walk=walk,
        row=index,
        position=Position(
            latitude_deg=float(track.latitude_deg[index]),
            longitude_deg=float(track.longitude_deg[index]),
        ),
        time_utc=dt.datetime.fromtimestamp(track.time_s[index], dt.UTC),
        time_residual_s=float(residual_s[index]),
        distance_m=None,
    )
    gap_s = float(place.gap_s[0])
    height_m = float(place.height_m[0])
    return TrackPlace(
        walk=walk,
        position=Position(
            latitude_deg=float(place.latitude_deg[0]), longitude_deg=float(place.longitude_deg[0])
        ),
        height_msl_m=None if np.isnan(height_m) else height_m,
        gap_s=gap_s,
        is_sure=gap_s <= longest_gap_s,
        nearest=nearest,
    )


def _track_with_distance(place: TrackPlace, position: Position | None) -> TrackPlace:
    return replace(place, nearest=_with_distance(place.nearest, position or place.position))


def _disagreement_m(
    photo: Photo, on_track: TrackPlace | None, by_time: NearestPoint | None, radius_m: float
) -> float | None:
    own = photo.metadata.position
    elsewhere = on_track.position if on_track is not None and on_track.is_sure else None
    if elsewhere is None and by_time is not None:
        elsewhere = by_time.position
    if own is None or elsewhere is None:
        return None
    apart_m = between_m(own, elsewhere)
    allowed_m = max(radius_m, photo.metadata.position_error_m or 0.0)
    return apart_m if apart_m > allowed_m else None
