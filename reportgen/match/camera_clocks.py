"""What a camera's own photos say of its clock: their places and the tracks, and their GPS times."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from reportgen.compute.camera_clock import (
    LEAST_PLACES,
    LEAST_SHIFT_S,
    ClockEstimate,
    NoClock,
    TimedPath,
    clock_ahead,
)
from reportgen.compute.geodesy import local_metres
from reportgen.match.clock import clock_of, shown_time
from reportgen.match.positions import TrackOfWalk
from reportgen.model.campaign import Campaign
from reportgen.model.photo import PhotoMetadata
from reportgen.model.station import Position

FRESH_S = 5.0
"""GPS times that lie so near the freshest, against the camera's clock, are taken as fresh: those
of old fixes lag by ages that differ."""
GPS_SLACK_S = 15.0
"""A fresh fix can still be so old (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraFinding:
    """One camera and its clock.

    Attributes
    ----------
    number : int
        From 1, in the order of its first photo: the site does not name cameras.
    camera : str
        Make and model; blank where the photos do not say.
    timed_photos : int
        Photos with a time of the camera's own.
    is_stated : bool
        The author says something of this clock or its zone, which then is what counts.
    stated_s : float
        How far ahead the author states it, else 0. [s]
    estimate : ClockEstimate or NoClock
        By the photos' places and the tracks.
    gps_ahead_s : float or None
        By the freshest GPS times in the photos, where enough of them agree. [s]
    """

    number: int
    camera: str
    timed_photos: int
    is_stated: bool
    stated_s: float
    estimate: ClockEstimate | NoClock
    gps_ahead_s: float | None

    @property
    def found(self) -> ClockEstimate | None:
        """The estimate, where there is one."""
        return None if isinstance(self.estimate, NoClock) else self.estimate

    @property
    def is_denied_by_gps(self) -> bool:
        """Whether the GPS times in the photos speak against the estimate."""
        if self.found is None or self.gps_ahead_s is None:
            return False
        low_s, high_s = self.found.low_s - GPS_SLACK_S, self.found.high_s + GPS_SLACK_S
        return not low_s <= self.gps_ahead_s <= high_s

    @property
    def is_used(self) -> bool:
        """Whether the estimate corrects this camera's times."""
        is_clear = self.found is not None and self.found.is_clear
        return is_clear and not self.is_stated and not self.is_denied_by_gps

    @property
    def used_s(self) -> float:
        """What is taken off this camera's times; a wrong zone is off by round numbers. [s]"""
        if self.found is None or not self.is_used:
            return self.stated_s
        return self.found.zone_error_s or self.found.ahead_s

    @property
    def gps_differs(self) -> bool:
        """Whether the GPS times alone, for want of an estimate, say that the clock is off."""
        if self.gps_ahead_s is None or self.found is not None:
            return False
        return abs(self.gps_ahead_s - self.stated_s) >= LEAST_SHIFT_S


def camera_findings(
    campaign: Campaign, tracks: Mapping[str, TrackOfWalk]
) -> tuple[CameraFinding, ...]:
    """Return what the photos say of each camera that took one.

    Parameters
    ----------
    campaign : Campaign
    tracks : mapping of str to TrackOfWalk
        By key of the walk.
    """
    by_camera: dict[str, list[PhotoMetadata]] = {}
    for photo in campaign.photos:
        by_camera.setdefault(photo.metadata.camera, []).append(photo.metadata)
    return tuple(
        _finding(number, camera, photos, campaign, tracks)
        for number, (camera, photos) in enumerate(by_camera.items(), start=1)
    )


def found_clocks(findings: Sequence[CameraFinding]) -> dict[str, float]:
    """Return by camera what its photos say that its clock was ahead, where that is used. [s]"""
    return {finding.camera: finding.used_s for finding in findings if finding.is_used}


def _finding(
    number: int,
    camera: str,
    photos: Sequence[PhotoMetadata],
    campaign: Campaign,
    tracks: Mapping[str, TrackOfWalk],
) -> CameraFinding:
    clocks = campaign.cameras
    shown = [(photo, shown_time(photo, clocks, campaign.time_zone)[0]) for photo in photos]
    timed = [(photo, time.timestamp()) for photo, time in shown if time is not None]
    clock = clock_of(camera, clocks)
    stated_s = clock.ahead_s or 0.0
    return CameraFinding(
        number=number,
        camera=camera,
        timed_photos=len(timed),
        is_stated=clock.is_stated,
        stated_s=stated_s,
        estimate=_estimate(timed, campaign, tracks, stated_s),
        gps_ahead_s=_gps_ahead_s(timed),
    )


def _estimate(
    timed: Sequence[tuple[PhotoMetadata, float]],
    campaign: Campaign,
    tracks: Mapping[str, TrackOfWalk],
    stated_s: float,
) -> ClockEstimate | NoClock:
    placed = [(photo.position, time_s) for photo, time_s in timed if photo.position is not None]
    if not placed:
        return NoClock.TOO_FEW
    origin = placed[0][0]
    east, north = metres_of(
        [place.latitude_deg for place, _ in placed],
        [place.longitude_deg for place, _ in placed],
        origin,
    )
    return clock_ahead(
        [time_s for _, time_s in placed],
        east,
        north,
        [timed_path(track, origin) for track in tracks.values()],
        position_error_m=max(campaign.matching.position_error_m, 1.0),
        longest_gap_s=campaign.matching.longest_track_gap_s,
        stated_s=stated_s,
    )


def timed_path(track: TrackOfWalk, origin: Position) -> TimedPath:
    """Return a track in metres around an origin, its points in order of time."""
    order = np.argsort(track.time_s, kind="stable")
    east, north = metres_of(track.latitude_deg[order], track.longitude_deg[order], origin)
    return TimedPath(time_s=track.time_s[order], east_m=east, north_m=north)


def metres_of(
    latitude_deg: object, longitude_deg: object, origin: Position
) -> tuple[np.ndarray, np.ndarray]:
    """Return places as metres east and north of an origin."""
    return local_metres(
        np.asarray(latitude_deg, dtype=np.float64),
        np.asarray(longitude_deg, dtype=np.float64),
        origin.latitude_deg,
        origin.longitude_deg,
    )


def _gps_ahead_s(timed: Sequence[tuple[PhotoMetadata, float]]) -> float | None:
    """Return how far the clock is ahead of the freshest fixes: a fix is never newer than it."""
    ahead_s = np.array(
        [
            time_s - photo.gps_time_utc.timestamp()
            for photo, time_s in timed
            if isinstance(photo.gps_time_utc, dt.datetime)
        ]
    )
    fresh_s = ahead_s[ahead_s <= ahead_s.min() + FRESH_S] if ahead_s.size else ahead_s
    return float(np.median(fresh_s)) if fresh_s.size >= LEAST_PLACES else None
