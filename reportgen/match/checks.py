"""What joining shows to be doubtful: clocks that miss the track, jumps, photos that disagree."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.frame_counting import LONGEST_GAP
from reportgen.compute.geodesy import distance_m
from reportgen.compute.send_interval import MOST_MISSED
from reportgen.errors import Problem, Severity, Where, number_of
from reportgen.match.photos import PhotoMatch
from reportgen.match.positions import TrackOfWalk, epoch_s
from reportgen.match.sequences import UNSTEADY_COUNTER
from reportgen.model.campaign import Campaign
from reportgen.model.station import Station
from reportgen.model.walk import Walk

FARTHEST_STEP_M = 2_000.0
"""A receiver that was carried switched off so far has left the walk (our choice)."""
FARTHEST_START_M = 100_000.0
"""A campaign on foot that never comes nearer to its station has a wrong position somewhere."""

PROBLEM_CODES = (
    ("match/log-outside-track", "Rows of a log lie before or after everything in the track."),
    ("match/log-in-track-gap", "Rows of a log fall into a gap of the track."),
    ("match/no-place", "A log has neither positions nor a track."),
    ("match/track-jump", "A track goes far from one point to the next."),
    ("match/photo-alone", "A photo matches nothing, by time or by place."),
    ("match/photo-disagrees", "A photo's place and time tell different stories."),
    (
        "match/photo-zone-unknown",
        "A photo's time was read in the campaign's zone for want of its own.",
    ),
    ("match/photo-unsure", "A photo was placed across a long gap of the track."),
    ("match/own-station-silent", "The logs name stations, but never this own one."),
    ("match/far-from-station", "Everything walked lies very far from the own station."),
    ("match/counter-unsteady", "The counters of a walk can't be followed."),
    ("match/counter-gap", "A gap between frames is too long to be filled, or for its time."),
)


def join_problems(
    campaign: Campaign,
    records: pd.DataFrame,
    tracks: Mapping[str, TrackOfWalk],
    photos: Iterable[PhotoMatch],
) -> tuple[Problem, ...]:
    """Return everything doubtful about the joined campaign, in a stable order."""
    problems: list[Problem] = []
    for (walk, file), part in records.groupby(["walk", "file"], sort=False):
        problems += _unplaced(str(file), part, tracks.get(str(walk)), campaign)
    for walk in campaign.walks:
        if walk.key in tracks:
            problems += _jumps(walk.key, tracks[walk.key], campaign.track_points)
    matches = tuple(photos)
    for photo in matches:
        problems += _photo_problems(photo, campaign)
    return (*problems, *_zone_notes(matches, campaign))


def _zone_notes(matches: tuple[PhotoMatch, ...], campaign: Campaign) -> list[Problem]:
    """Return one note for all photos whose zone nobody stated."""
    guessed = [match for match in matches if match.time.how == "campaign zone"]
    return [
        Problem(
            where=Where(path=match.photo.path),
            code="match/photo-zone-unknown",
            severity=Severity.NOTE,
            found=f"a time without zone, read as {campaign.time_zone}",
            expected="an offset in the photo, or time_zone under photos: cameras:",
            do="state the zone that the camera was set to, if it was another",
            count=len(guessed),
        )
        for match in guessed[:1]
    ]


def station_problems(
    campaign: Campaign, stations: tuple[Station, ...], receptions: pd.DataFrame
) -> tuple[Problem, ...]:
    """Return what speaks against the description of the own stations."""
    where = Where(path=campaign.description_path)
    seen = set(receptions["station"].unique())
    unlisted = sum(not station.is_listed for station in stations)
    problems = [
        Problem(
            where=where,
            code="match/own-station-silent",
            severity=Severity.WARNING,
            found=f"no row of any log names the own station {station.key}, but {unlisted} stations "
            "that are not described turned up",
            expected="its identifiers under ids, as they stand in the logs",
            do="compare ids with the identifiers that `reportgen check` lists under Stations",
        )
        for station in stations
        if station.is_own and unlisted and station.key not in seen
    ]
    own = receptions[receptions["is_own"] & receptions["distance_m"].notna()]
    nearest_m = own["distance_m"].min()
    if len(own) and nearest_m > FARTHEST_START_M:
        problems.append(
            Problem(
                where=where,
                code="match/far-from-station",
                severity=Severity.WARNING,
                found=f"the nearest frame heard is {nearest_m / 1000:.0f} km from the station",
                expected=f"some within {FARTHEST_START_M / 1000:g} km",
                do="check the station's position: latitude and longitude may have changed places",
            )
        )
    return tuple(problems)


def counter_problems(
    walks: tuple[Walk, ...], frames: pd.DataFrame, long_gaps: Mapping[str, int]
) -> list[Problem]:
    """Return walks whose frame counters can't be followed, or not all the way."""
    problems = []
    unsteady = frames.loc[frames["uncounted"] == UNSTEADY_COUNTER, "walk"].value_counts()
    for walk in walks:
        lost = int(unsteady.get(walk.key, 0))
        gaps = long_gaps.get(walk.key, 0)
        where = Where(path=walk.logs[0] if walk.logs else walk.key)
        if lost:
            problems.append(
                Problem(
                    where=where,
                    code="match/counter-unsteady",
                    severity=Severity.WARNING,
                    found=f"{number_of(lost, 'frame')} whose counters jump back and forth, "
                    "leave long gaps or have no times",
                    expected="a counter that rises by one with each frame",
                    do="check the counter's column, and that the clocks of all stations agree; "
                    "without it there is no delivery ratio",
                    count=lost,
                )
            )
        elif gaps:
            problems.append(
                Problem(
                    where=where,
                    code="match/counter-gap",
                    severity=Severity.NOTE,
                    found=f"{number_of(gaps, 'gap')} of more frames than the time between holds, "
                    "or than anybody can tell from a node that was off",
                    expected=f"frames that follow each other: at most {LONGEST_GAP} counters "
                    "missing in a row, at the pace of the others, or "
                    f"{MOST_MISSED} frames by a stated interval",
                    do="nothing if the node joined anew, was off or was used elsewhere meanwhile; "
                    "what it sent in the gaps is not counted",
                    count=gaps,
                )
            )
    return problems


def _unplaced(
    file: str, part: pd.DataFrame, track: TrackOfWalk | None, campaign: Campaign
) -> list[Problem]:
    lost = part[part["latitude_deg"].isna()]
    if track is not None and part["time_utc"].notna().all():
        # A log with places of its own can still be hours off: its photos would be, too.
        all_s = epoch_s(part["time_utc"])
        if ((all_s < track.time_s.min()) | (all_s > track.time_s.max())).all():
            first = Where(path=file, line=int(part["line"].min()))
            return [_outside(first, all_s, len(part), track, campaign.time_zone)]
    if lost.empty:
        return []
    where = Where(path=file, line=int(lost["line"].min()))
    if track is None:
        return [
            Problem(
                where=where,
                code="match/no-place",
                severity=Severity.WARNING,
                found=f"{number_of(len(lost), 'row')} without position, and no timed track for "
                "this walk",
                expected="positions in the log, or a GPX track of the same walk",
                do="add the track under 'tracks', or map latitude_deg and longitude_deg",
                count=len(lost),
            )
        ]
    time_s = epoch_s(lost["time_utc"])
    outside = (time_s < track.time_s.min()) | (time_s > track.time_s.max())
    problems = []
    if outside.any():
        problems.append(_outside(where, time_s[outside], len(part), track, campaign.time_zone))
    inside = int((~outside).sum())
    if inside:
        problems.append(
            Problem(
                where=where,
                code="match/log-in-track-gap",
                severity=Severity.NOTE,
                found=f"{number_of(inside, 'row')} at times when the track has no points nearby",
                expected=f"track points at most {campaign.matching.longest_track_gap_s:g} s apart",
                do="nothing if the receiver was off; these rows count, but have no place",
                count=inside,
            )
        )
    return problems


def _outside(
    where: Where, time_s: NDArray[np.float64], rows: int, track: TrackOfWalk, zone: str
) -> Problem:
    off_s = np.where(
        time_s > track.time_s.max(), time_s - track.time_s.max(), track.time_s.min() - time_s
    )
    hint = (
        f"check the time zone of the log (the campaign's {zone} if its format names none), the "
        "order of day and month in its time_format, and the logger's clock"
        if len(time_s) == rows
        else "nothing if the track was started late or stopped early; these rows have no place"
    )
    return Problem(
        where=where,
        code="match/log-outside-track",
        severity=Severity.WARNING,
        found=f"{len(time_s)} of {number_of(rows, 'row')} outside the track's time, "
        f"by {_range(float(off_s.min()), float(off_s.max()))}",
        expected="times within those of the track",
        do=hint,
        count=len(time_s),
    )


def _range(low_s: float, high_s: float) -> str:
    low, high = _duration(low_s), _duration(high_s)
    return low if low == high else f"{low} to {high}"


def _duration(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    if hours:
        return f"{hours} h {minutes:02d} min"
    return f"{minutes} min {rest:02d} s" if minutes else f"{rest} s"


def _jumps(walk: str, track: TrackOfWalk, points: pd.DataFrame) -> list[Problem]:
    order = np.argsort(track.time_s, kind="stable")
    latitude, longitude = track.latitude_deg[order], track.longitude_deg[order]
    step_m = distance_m(latitude[:-1], longitude[:-1], latitude[1:], longitude[1:])
    jumps = int((step_m > FARTHEST_STEP_M).sum())
    if not jumps:
        return []
    file = str(points.loc[points["walk"] == walk, "file"].iloc[0])
    return [
        Problem(
            where=Where(path=file),
            code="match/track-jump",
            severity=Severity.WARNING,
            found=f"{number_of(jumps, 'step')} farther than {FARTHEST_STEP_M / 1000:g} km from one "
            "point to the next",
            expected="a track of one walk",
            do="cut the track to the walk, or set its start and end in the description",
            count=jumps,
        )
    ]


def _photo_problems(match: PhotoMatch, campaign: Campaign) -> list[Problem]:
    where = Where(path=match.photo.path)
    problems = []
    if not match.is_matched:
        has = "a time" if match.time.time_utc else "no time"
        has += " and a place" if match.position else " and no place"
        problems.append(
            Problem(
                where=where,
                code="match/photo-alone",
                severity=Severity.NOTE,
                found=f"{has}, nothing of the campaign near it",
                expected="a time during a walk, or a place",
                do="set exclude: true for it if it belongs elsewhere; otherwise check the camera's "
                "clock and zone",
            )
        )
    if match.disagreement_m is not None:
        problems.append(
            Problem(
                where=where,
                code="match/photo-disagrees",
                severity=Severity.WARNING,
                found=f"its own place is {match.disagreement_m:.0f} m from where its time puts it",
                expected=f"at most {campaign.matching.photo_radius_m:g} m",
                do="check the camera's clock (clock_ahead_s, time_zone); the place is used",
            )
        )
    if match.on_track is not None and match.position_how == "track" and not match.on_track.is_sure:
        problems.append(
            Problem(
                where=where,
                code="match/photo-unsure",
                severity=Severity.WARNING,
                found=f"placed across a gap of {_duration(match.on_track.gap_s)} in the track",
                expected=f"track points at most {campaign.matching.longest_track_gap_s:g} s apart",
                do="take its distance and bearing as rough",
            )
        )
    return problems
