"""What a chart or map shows, before anybody draws it. All numbers are finite."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal


class Mark(StrEnum):
    """The site's one vocabulary of marks."""

    HEARD = "heard"
    MISSED = "missed"
    MISSED_PLACED = "missed-placed"
    OTHER_STATION = "other-station"


class LineStyle(StrEnum):
    """Lines and outlines of a map."""

    TRACK = "track"
    OVERLAY = "overlay"
    AREA = "area"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartWords:
    """The few words that a drawing prints of its own."""

    explore: str
    numbers: str
    north: str
    kilometre: str
    metre: str
    own_station: str
    other_station: str
    photo: str
    track: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """One axis. Times are seconds since 1970 of the campaign's wall clock, without zone."""

    label: str
    unit: str
    kind: Literal["linear", "time"]
    low: float
    high: float

    @property
    def title(self) -> str:
        """Label with its unit."""
        return f"{self.label} [{self.unit}]" if self.unit else self.label


@dataclass(frozen=True, slots=True, kw_only=True)
class PointSeries:
    """Points of one kind. `level` colours them; None: the mark's own colour."""

    name: str
    mark: Mark
    x: tuple[float, ...]
    y: tuple[float, ...]
    level: tuple[float, ...] | None
    hover: tuple[str, ...]
    ids: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LineSeries:
    """A line or the outline of an area."""

    name: str
    style: LineStyle
    x: tuple[float, ...]
    y: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A level line across a chart, with its label."""

    value: float
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Ends of the colour scale; `limit` marks the demodulation limit where it is known."""

    label: str
    unit: str
    low: float
    high: float
    limit: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DataTable:
    """The numbers behind a drawing, as texts; the first cell of a row names it."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """A chart of points over two axes."""

    key: str
    title: str
    summary: str
    x: Axis
    y: Axis
    series: tuple[PointSeries, ...]
    rules: tuple[Rule, ...]
    scale: Scale | None
    table: DataTable


@dataclass(frozen=True, slots=True, kw_only=True)
class MapStation:
    """A station on the map, metres east and north of the map's origin."""

    name: str
    x: float
    y: float
    is_own: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class MapPhoto:
    """A photo on the map; a wedge shows the way it looked where that is known from true north."""

    number: int
    label: str
    x: float
    y: float
    heading_deg: float | None
    half_angle_deg: float
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MapView:
    """A map in local metres around its origin, the own station where its place is known."""

    key: str
    title: str
    summary: str
    stations: tuple[MapStation, ...]
    points: tuple[PointSeries, ...]
    lines: tuple[LineSeries, ...]
    areas: tuple[LineSeries, ...]
    photos: tuple[MapPhoto, ...]
    has_rings: bool
    scale: Scale | None
    table: DataTable
