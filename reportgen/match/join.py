"""Joins what was read: records to stations, places and frames, photos to log points."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from reportgen.compute.geodesy import distance_and_bearing
from reportgen.compute.receiver import demodulation_snr_limit_db
from reportgen.errors import Problem
from reportgen.match.camera_checks import camera_problems
from reportgen.match.camera_clocks import CameraFinding, camera_findings, found_clocks
from reportgen.match.checks import counter_problems, join_problems, station_problems
from reportgen.match.copies import accounts_less_copies, without_copies
from reportgen.match.cut import without_cuts
from reportgen.match.doubt import doubtful
from reportgen.match.found_frames import found_frames
from reportgen.match.jumps import (
    JUMP_CODE,
    JUMP_REASON,
    jump_problems,
    jumped_points,
    jumped_records,
    without_place,
)
from reportgen.match.moved_campaign import moved
from reportgen.match.off_track import off_track_problems
from reportgen.match.photos import PhotoMatch, match_photos
from reportgen.match.positions import TrackOfWalk, placed, track_of_walk
from reportgen.match.sent_log import SENT, SentLogUse
from reportgen.match.sent_log_checks import accounts_less_unused, sent_log_problems
from reportgen.match.set_aside import accounts_less
from reportgen.match.setup_checks import setup_problems
from reportgen.match.stations import KnownStations, known_stations, station_key
from reportgen.model.accounts import FileAccount
from reportgen.model.campaign import Campaign
from reportgen.model.columns import DOWNLINKS, FRAMES, RECEPTIONS
from reportgen.model.parts import parts_by
from reportgen.model.station import Station


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """A campaign with everything tied together.

    Attributes
    ----------
    stations : tuple of Station
        Described ones first, then unlisted ones under aliases.
    frames, receptions, downlinks : DataFrame
        As declared in `model.columns`. Distances of frames are to the first own station,
        distances of receptions and downlinks to the station of the row.
    tracks : dict of str to TrackOfWalk
        By walk; empty tracks are left out.
    photos : tuple of PhotoMatch
    cameras : tuple of CameraFinding
        What the photos of each camera say of its clock.
    accounts : tuple of FileAccount
        Of every file, copies of frames set aside.
    problems : tuple of Problem
        Those of reading and those met here.
    long_gaps : dict of str to int
        By walk: gaps between frames that are not filled.
    sent_logs : tuple of SentLogUse
        What became of the nodes' own logs.
    """

    campaign: Campaign
    stations: tuple[Station, ...]
    frames: pd.DataFrame
    receptions: pd.DataFrame
    downlinks: pd.DataFrame
    tracks: dict[str, TrackOfWalk]
    photos: tuple[PhotoMatch, ...]
    cameras: tuple[CameraFinding, ...]
    accounts: tuple[FileAccount, ...]
    problems: tuple[Problem, ...]
    long_gaps: dict[str, int]
    sent_logs: tuple[SentLogUse, ...]
    unlisted_ids: tuple[tuple[str, str], ...]
    """(key, identifier in the logs) of unlisted stations: for the author's eyes, not the site's."""
    photo_keys: tuple[tuple[str, str], ...] = ()
    """(key by the file's name, published key) of photos that go by another key on the site: the
    author's text may call either."""

    @property
    def home(self) -> Station:
        """The own station that distances and headline figures speak of."""
        return next(station for station in self.stations if station.is_own)


def join(campaign: Campaign) -> Joined:
    """Tie the records, tracks and photos of a campaign together.

    Where its place is not to be told, all of it is moved first: nothing behind this knows better.
    """
    if campaign.publishing.place == "moved":
        campaign = moved(campaign)
    jumped, astray = jumped_points(campaign.track_points), jumped_records(campaign.records)
    campaign = _without_jumps(campaign, jumped, astray)
    known = known_stations(
        campaign.stations,
        campaign.records.loc[campaign.records["measured_at"] != SENT, ["time_utc", "station_id"]]
        .sort_values("time_utc", kind="stable")["station_id"]
        .unique(),
        show_identifiers=campaign.publishing.identifiers,
    )
    points = parts_by(campaign.track_points, "walk")
    tracks = {
        walk.key: track_of_walk(points[walk.key]) for walk in campaign.walks if walk.key in points
    }
    tracks = {key: track for key, track in tracks.items() if not track.is_empty}
    records = _placed_records(campaign, tracks)
    found = found_frames(campaign, records, tracks)
    frames = found.frames.assign(is_doubtful=doubtful(campaign, found, known))
    receptions, copies = without_copies(_levels(found.uplink, known))
    downlinks = _levels(records[records["measured_at"] == "node"], known)
    # Nobody counts a station's frames here: each row is a frame of its own.
    downlinks = downlinks.assign(frame=np.arange(len(downlinks)))
    home = next(station for station in known.stations if station.is_own)
    receptions = RECEPTIONS.of(receptions)
    cameras = camera_findings(campaign, tracks)
    photos = match_photos(
        campaign,
        _positioned(receptions),
        _positioned(receptions[receptions["is_own"]]),
        tracks,
        found_clocks(cameras),
    )
    joined = Joined(
        campaign=campaign,
        stations=known.stations,
        frames=FRAMES.of(_with_geometry(frames, (home,), "")),
        receptions=receptions,
        downlinks=DOWNLINKS.of(downlinks),
        tracks=tracks,
        photos=photos,
        cameras=cameras,
        accounts=accounts_less_unused(accounts_less_copies(campaign.accounts, copies), found.logs),
        problems=(
            *campaign.problems,
            *jump_problems(jumped, astray),
            *join_problems(campaign, _by_clock(records), tracks, photos),
            *off_track_problems(campaign, _by_clock(records), tracks),
            *camera_problems(campaign, cameras),
            *setup_problems(campaign),
            *station_problems(campaign, known.stations, receptions),
            *counter_problems(campaign.walks, frames, found.long_gaps),
            *sent_log_problems(found.logs),
        ),
        long_gaps=found.long_gaps,
        sent_logs=found.logs,
        unlisted_ids=tuple(
            (key, identifier)
            for identifier, key in known.key_of_id.items()
            if key not in {station.key for station in campaign.stations}
        ),
    )
    return without_cuts(joined)


def _without_jumps(campaign: Campaign, jumped: pd.DataFrame, astray: pd.DataFrame) -> Campaign:
    """Return the campaign without places where nobody can have been."""
    return replace(
        campaign,
        track_points=campaign.track_points.drop(index=jumped.index),
        records=without_place(campaign.records, astray),
        accounts=accounts_less(
            campaign.accounts, jumped, code=JUMP_CODE, reason=JUMP_REASON, is_fault=True
        ),
    )


def _by_clock(records: pd.DataFrame) -> pd.DataFrame:
    """Return the records whose own times count: where stations heard frames, theirs do."""
    heard_on = records.loc[records["measured_at"] == "station", "walk"]
    return records[(records["measured_at"] != SENT) | ~records["walk"].isin(heard_on)]


def _positioned(table: pd.DataFrame) -> pd.DataFrame:
    return table[table["latitude_deg"].notna()]


def _placed_records(campaign: Campaign, tracks: dict[str, TrackOfWalk]) -> pd.DataFrame:
    parts = [
        placed(
            part,
            tracks.get(walk, track_of_walk(campaign.track_points.iloc[:0])),
            longest_gap_s=campaign.matching.longest_track_gap_s,
            word="track",
        )
        for walk, part in parts_by(campaign.records, "walk").items()
    ]
    return pd.concat(parts) if parts else campaign.records.assign(place_known="")


def _levels(records: pd.DataFrame, known: KnownStations) -> pd.DataFrame:
    """Return records with station, margin, distance and bearing."""
    own = {station.key for station in known.stations if station.is_own}
    station = records["station_id"].map(lambda identifier: station_key(known, identifier))
    limit_db = demodulation_snr_limit_db(
        records["spreading_factor"].astype("Float64").to_numpy(dtype=np.float64, na_value=np.nan)
    )
    levels = records.assign(
        station=station.astype("str"),
        is_own=station.isin(own).astype(bool),
        snr_margin_db=records["snr_db"] - limit_db,
    ).drop(columns=["station_id", "measured_at"])
    return _with_geometry(levels, known.stations, "station")


def _with_geometry(table: pd.DataFrame, stations: tuple[Station, ...], column: str) -> pd.DataFrame:
    """Return `table` with distance and bearing from the station named in `column`.

    A blank `column` stands for the first of `stations`, whatever the row.
    """
    away_m = np.full(len(table), np.nan)
    bearing_deg = np.full(len(table), np.nan)
    latitude = table["latitude_deg"].to_numpy(dtype=np.float64)
    longitude = table["longitude_deg"].to_numpy(dtype=np.float64)
    for station in stations:
        rows = (
            (table[column] == station.key).to_numpy(dtype=bool)
            if column
            else np.ones(len(table), dtype=bool)
        )
        place = station.position
        if place is None or not rows.any():
            continue
        ends = (place.latitude_deg, place.longitude_deg, latitude[rows], longitude[rows])
        away_m[rows], bearing_deg[rows] = distance_and_bearing(*ends)
    return table.assign(distance_m=away_m, bearing_deg=bearing_deg)
