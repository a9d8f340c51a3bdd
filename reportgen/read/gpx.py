"""GPX tracks as a table of track points, with the account of those points.

GPX 1.0 and 1.1 (and files without namespace) name the elements of tracks alike.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import pandas as pd

from reportgen.model.accounts import FileAccount
from reportgen.model.columns import TRACK_POINTS
from reportgen.read.field_values import QUANTITIES, number_in
from reportgen.read.findings import Finding, Findings
from reportgen.read.gpx_elements import RawPoint, TrackElements, track_elements
from reportgen.read.reading import CampaignFile, Reading
from reportgen.read.text_files import empty_file, read_bytes
from reportgen.read.times import FIRST_YEAR, LAST_YEAR, parse_iso

PROBLEM_CODES = (
    ("gpx/no-position", "A track point has no usable latitude and longitude."),
    ("gpx/height", "The height of a track point can't be used; the point stands without it."),
    ("gpx/time-unreadable", "The time of a track point can't be read; the point has none."),
    ("gpx/time-without-zone", "The times of a track have no zone; they were taken as UTC."),
    ("gpx/times-useless", "The times of a track are all alike, or of a clock never set."),
    ("gpx/time-backwards", "The time runs backwards within a segment of a track."),
    ("gpx/not-track-points", "A file holds waypoints or route points, which are no track."),
    ("gpx/no-track-points", "A file holds no usable track point."),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Point:
    line: int
    segment: int
    latitude_deg: float
    longitude_deg: float
    height_msl_m: float
    time_utc: dt.datetime | None


def read_track(file: CampaignFile, walk: str) -> Reading:
    """Read the track points of one GPX file.

    Parameters
    ----------
    file : CampaignFile
    walk : str
        Key of the walk.

    Returns
    -------
    Reading
        The table follows `model.columns.TRACK_POINTS`; segments are numbered from 0 within the
        file, empty ones included. Waypoints and route points are no track points.

    Raises
    ------
    CampaignError
        If the file is too large, not well-formed XML, or not GPX.
    """
    content = read_bytes(file)
    if not content.strip():
        return _reading(file, walk, [], Findings(file), read=0, is_empty=True)
    elements = track_elements(file, content)
    findings = Findings(file)
    points = []
    for raw in elements.points:
        point = _point(raw, findings)
        if point is not None:
            points.append(point)
    _note_other_points(elements, findings)
    points = _without_useless_times(points, findings)
    _warn_of_backward_times(points, findings)
    if not points:
        findings.warn(0, _NO_TRACK_POINTS)
    return _reading(file, walk, points, findings, read=len(elements.points), is_empty=False)


def _reading(
    file: CampaignFile,
    walk: str,
    points: Sequence[_Point],
    findings: Findings,
    *,
    read: int,
    is_empty: bool,
) -> Reading:
    table = pd.DataFrame(
        {
            "walk": [walk] * len(points),
            "file": [file.name] * len(points),
            "line": [point.line for point in points],
            "segment": [point.segment for point in points],
            "time_utc": [point.time_utc for point in points],
            "latitude_deg": [point.latitude_deg for point in points],
            "longitude_deg": [point.longitude_deg for point in points],
            "height_msl_m": [point.height_msl_m for point in points],
        }
    )
    return Reading(
        table=TRACK_POINTS.of(table),
        account=FileAccount(
            path=file.name,
            walk=walk,
            unit="track points",
            read=read,
            used=len(points),
            set_aside=findings.set_aside(),
        ),
        problems=(empty_file(file),) if is_empty else findings.problems(),
    )


def _point(raw: RawPoint, findings: Findings) -> _Point | None:
    """Return a usable point; set it aside where it has no position."""
    latitude = _coordinate(raw.latitude, 90.0)
    longitude = _coordinate(raw.longitude, 180.0)
    if math.isnan(latitude) or math.isnan(longitude) or latitude == longitude == 0.0:
        found = f"lat {raw.latitude}, lon {raw.longitude}"[:80]
        findings.fault(raw.line, replace(_NO_POSITION, found=found))
        return None
    return _Point(
        line=raw.line,
        segment=raw.segment,
        latitude_deg=latitude,
        longitude_deg=longitude,
        height_msl_m=_height(raw, findings),
        time_utc=_time(raw, findings),
    )


def _coordinate(text: str | None, limit: float) -> float:
    read = number_in(text or "", ".")
    return read[0] if read and not read[1] and abs(read[0]) <= limit else math.nan


def _height(raw: RawPoint, findings: Findings) -> float:
    if raw.height is None:
        return math.nan
    quantity = QUANTITIES["height_m"]
    read = number_in(raw.height, ".")
    if read and not read[1] and quantity.low <= read[0] <= quantity.high:
        return read[0]
    findings.note(raw.line, replace(_HEIGHT, found=f"ele = {raw.height[:60]}"))
    return math.nan


def _time(raw: RawPoint, findings: Findings) -> dt.datetime | None:
    if raw.time is None:
        return None
    time = parse_iso(raw.time)
    if time is None:
        findings.warn(raw.line, replace(_TIME_UNREADABLE, found=f"time = {raw.time[:60]}"))
        return None
    if time.tzinfo is None:
        findings.note(raw.line, replace(_TIME_WITHOUT_ZONE, found=f"time = {raw.time[:60]}"))
        time = time.replace(tzinfo=dt.UTC)
    try:
        return time.astimezone(dt.UTC)
    except OverflowError:  # an offset at the very end of the calendar
        return dt.datetime.max.replace(tzinfo=dt.UTC)


def _without_useless_times(points: list[_Point], findings: Findings) -> list[_Point]:
    """Take away times that no clock showed: absurd years, or one time for all points."""
    timed = [point.time_utc for point in points if point.time_utc]
    is_standing = len(timed) > 1 and len(set(timed)) == 1
    kept = []
    for point in points:
        time = point.time_utc
        if time and (is_standing or not FIRST_YEAR <= time.year <= LAST_YEAR):
            found = f"time = {time:%Y-%m-%d %H:%M:%S}" + (" at every point" if is_standing else "")
            findings.warn(point.line, replace(_TIMES_USELESS, found=found))
            kept.append(replace(point, time_utc=None))
        else:
            kept.append(point)
    return kept


def _warn_of_backward_times(points: Sequence[_Point], findings: Findings) -> None:
    timed = [point for point in points if point.time_utc]
    for earlier, later in pairwise(timed):
        assert earlier.time_utc is not None
        assert later.time_utc is not None
        if earlier.segment == later.segment and later.time_utc < earlier.time_utc:
            found = f"{later.time_utc:%H:%M:%S} after {earlier.time_utc:%H:%M:%S}"
            findings.warn(later.line, replace(_TIME_BACKWARDS, found=found))


def _note_other_points(elements: TrackElements, findings: Findings) -> None:
    if elements.other_points:
        found = f"{elements.other_points} waypoints or route points"
        findings.note(0, replace(_NOT_TRACK_POINTS, found=found))


_NO_POSITION = Finding(
    code="gpx/no-position",
    reason="no usable latitude and longitude",
    found="",
    expected="lat from -90 to 90 and lon from -180 to 180, not both 0",
    do="nothing if the receiver had no fix; otherwise export the track again",
)
_HEIGHT = Finding(
    code="gpx/height",
    found="",
    expected="metres above mean sea level",
    do="nothing; the point stands without height",
)
_TIME_UNREADABLE = Finding(
    code="gpx/time-unreadable",
    found="",
    expected="a date and time such as 2026-03-03T10:00:00Z",
    do="export the track again; points without time place no log rows",
)
_TIME_WITHOUT_ZONE = Finding(
    code="gpx/time-without-zone",
    found="",
    expected="times that end in Z or an offset; these were taken as UTC",
    do="check that the program that wrote the track writes UTC",
)
_TIMES_USELESS = Finding(
    code="gpx/times-useless",
    found="",
    expected="the time when each point was passed",
    do="nothing if you need the line only; these points match no row and no photo by time",
)
_TIME_BACKWARDS = Finding(
    code="gpx/time-backwards",
    found="",
    expected="times that grow along a segment",
    do="look whether two recordings were joined; points are ordered by time for matching",
)
_NOT_TRACK_POINTS = Finding(
    code="gpx/not-track-points",
    found="",
    expected="track points",
    do="nothing; they are not read",
)
_NO_TRACK_POINTS = Finding(
    code="gpx/no-track-points",
    found="no usable track point",
    expected="a track (trk with trkseg and trkpt)",
    do="export the recorded track, not waypoints or a planned route",
)
