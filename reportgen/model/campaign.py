"""A campaign: what was set up, what was walked, what was recorded."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

import pandas as pd

from reportgen.errors import Problem, Where
from reportgen.model.accounts import BrokenFrame, FileAccount
from reportgen.model.photo import CameraClock, Photo, PictureFormat
from reportgen.model.station import Node, Position, Station
from reportgen.model.walk import ChosenComparison, Walk


@dataclass(frozen=True, slots=True, kw_only=True)
class Radio:
    """What all radios of the campaign share.

    `counter_scope` says what one frame counter counts: every frame of a node, or the frames of
    one data rate (a node that sends the same number once per data rate). `rssi_scope` says what
    receivers report as RSSI. `coding_rate` is the denominator of 4/5 to 4/8.
    """

    frequency_hz: float | None = None
    bandwidth_hz: float | None = None
    spreading_factors: tuple[int, ...] = ()
    regional_plan: str | None = None
    sensitivity_dbm: float | None = None
    payload_bytes: int | None = None
    interval_s: float | None = None
    counter_scope: Literal["node", "data rate"] = "node"
    rssi_scope: Literal["channel", "signal"] = "channel"
    rssi_error_db: float = 3.0
    overhead_bytes: int | None = None
    coding_rate: int = 5
    preamble_symbols: int = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Matching:
    """Limits the author may set for matching."""

    photo_radius_m: float = 50.0
    longest_track_gap_s: float = 120.0
    longest_photo_gap_s: float = 300.0
    position_error_m: float = 10.0


Place = Literal["exact", "moved", "coarse"]
"""How much a site tells of where the station stands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Ground that the author keeps out of the report: all within a radius of a place."""

    position: Position
    radius_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Publishing:
    """What the author lets out, and in which units of length: metric, imperial or both.

    Where the author says nothing of the place, it is not given away: `moved`.
    """

    identifiers: bool = False
    file_names: bool = False
    units: Literal["metric", "imperial", "both"] = "metric"
    language: str = "en"
    pictures: PictureFormat = "jpeg"
    cuts: tuple[Cut, ...] = ()
    place: Place = "moved"


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlay:
    """A GeoJSON file of the author's that is drawn under the walks; one ring or line per part."""

    path: str
    title: str
    lines: tuple[tuple[tuple[float, float], ...], ...]
    """Each line is a tuple of (latitude_deg, longitude_deg)."""
    areas: tuple[tuple[tuple[float, float], ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureOverlay:
    """A picture of the author's, north up, that is drawn under everything. `opacity_ratio` 0-1."""

    path: str
    title: str
    north_west: Position
    south_east: Position
    opacity_ratio: float

    @property
    def key(self) -> str:
        """What its published picture is called by; no photo's key has such a form."""
        return f"overlay:{self.path}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiles:
    """Map tiles that a reader may have fetched: Web Mercator, numbered from the north-west."""

    address: str
    """With {z}, {x} and {y} in it."""
    source: str
    """Scheme and host of the address: all that a page may fetch from."""
    attribution: str
    largest_zoom: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Campaign:
    """Everything that was read, typed and counted. Tables follow `model.columns`."""

    title: str
    summary: str
    network: str
    authors: tuple[str, ...]
    data_licence: str
    time_zone: str
    radio: Radio
    matching: Matching
    publishing: Publishing
    stations: tuple[Station, ...]
    nodes: tuple[Node, ...]
    walks: tuple[Walk, ...]
    cameras: tuple[CameraClock, ...]
    photos: tuple[Photo, ...]
    overlays: tuple[Overlay, ...]
    conclusions: str | None
    """The author's own Markdown, or None where there is no such file."""
    records: pd.DataFrame
    track_points: pd.DataFrame
    accounts: tuple[FileAccount, ...]
    problems: tuple[Problem, ...]
    description_path: str
    chosen_comparisons: tuple[ChosenComparison, ...] = ()
    picture_overlays: tuple[PictureOverlay, ...] = ()
    tiles: Tiles | None = None
    declination_deg: float | None = None
    """Of magnetic north from true north where the photos were taken, east positive; None where
    the author does not state it."""
    broken_frames: tuple[BrokenFrame, ...] = ()
    log_notes: tuple[tuple[str, str], ...] = ()
    """(path, how its columns, zone and units were understood) of every log."""
    stated_at: tuple[tuple[str, Where], ...] = ()
    """(key, place) of everything the description states, keys dotted: what is not in it, the
    program took by default."""
    input_checksums: tuple[tuple[str, str], ...] = ()
    """(path, SHA-256) of every file read, sorted by path."""

    @property
    def own_stations(self) -> tuple[Station, ...]:
        """The campaign's own stations, the first of them being "the station" of every page."""
        return tuple(station for station in self.stations if station.is_own)

    @property
    def last_time_utc(self) -> dt.datetime | None:
        """Time of the newest record or track point: the report's own date."""
        newest = [
            table["time_utc"].max()
            for table in (self.records, self.track_points)
            if table["time_utc"].notna().any()
        ]
        return max(newest).to_pydatetime() if newest else None
