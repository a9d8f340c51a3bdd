"""What a chart or map shows, before anybody draws it. All numbers are finite."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import pairwise
from typing import Literal

from reportgen.pages.charts.layers import Layers
from reportgen.pages.units import METRIC, Units

_KEY = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]*")
_SCHEME = re.compile(r"[^/?#]*:|[/\\]{2}")


class Mark(StrEnum):
    """The site's one vocabulary of marks: the same in charts, maps, keys and cards."""

    HEARD = "heard"
    MISSED = "missed"
    MISSED_PLACED = "missed-placed"
    OTHER_STATION = "other-station"
    PHOTO = "photo"
    PHOTO_UNAIMED = "photo-unaimed"
    STATION = "station"
    STATION_OTHER = "station-other"
    TRACK = "track"
    LINE = "line"
    AREA = "area"
    STATION_LINE = "station-line"
    RULE = "rule"


POINT_MARKS = (Mark.HEARD, Mark.MISSED, Mark.MISSED_PLACED, Mark.OTHER_STATION)
"""Marks that a series of points can have."""


class LineStyle(StrEnum):
    """Lines and outlines; `STATION` is a line about the station, in its colour."""

    TRACK = "track"
    OVERLAY = "overlay"
    AREA = "area"
    STATION = "station"


def _say_thinned(drawn: int, total: int) -> str:
    return f"{drawn} / {total}"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartWords:
    """The few words that a drawing prints of its own.

    `thinned` is given how many points are drawn and how many there are; `buttons` holds what the
    chart library's buttons are called by itself and on the site, () for English.
    """

    explore: str
    numbers: str
    north: str
    own_station: str
    other_station: str
    photo: str
    track: str
    photo_unaimed: str = ""
    keys: str = ""
    """What keys do in an interactive drawing."""
    units: Units = METRIC
    buttons: tuple[tuple[str, str], ...] = ()
    limit: str = ""
    no_data: str = ""
    picture: Callable[[str], str] = field(default=str)
    """Names a picture under a map, given its title."""
    tiles_ask: Callable[[str], str] = field(default=str)
    tiles_note: Callable[[str], str] = field(default=str)
    """What a button that fetches from a host says, and what stands beside it, given the host."""
    thinned: Callable[[int, int], str] = field(default=_say_thinned)
    rough: Callable[[str], str] = field(default=str)
    """Says by how much drawn lines may pass beside the true ones, given the length."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """One axis. Times are seconds since 1970 of the campaign's wall clock, without zone.

    `names` are texts that stand at values in place of numbers.
    """

    label: str
    unit: str
    kind: Literal["linear", "time", "log"]
    low: float
    high: float
    names: tuple[tuple[float, str], ...] = ()

    def __post_init__(self) -> None:
        _need_finite(f"axis {self.label}", (self.low, self.high))
        if not self.low < self.high or (self.kind == "log" and self.low <= 0):
            raise AssertionError(f"axis {self.label}: no way from {self.low} to {self.high}")

    @property
    def title(self) -> str:
        """Label with its unit."""
        return f"{self.label} [{self.unit}]" if self.unit else self.label


@dataclass(frozen=True, slots=True, kw_only=True)
class PointSeries:
    """Points of one kind. `level` colours them; None: the mark's own colour.

    `walk` is the number of the walk they show with, where a reader can choose one. A hover text
    may have several lines; ids are the same for the same frame in every drawing.
    """

    name: str
    mark: Mark
    x: tuple[float, ...]
    y: tuple[float, ...]
    level: tuple[float, ...] | None
    hover: tuple[str, ...]
    ids: tuple[str, ...]
    walk: str = ""

    def __post_init__(self) -> None:
        if self.mark not in POINT_MARKS:
            raise AssertionError(f"points {self.name}: {self.mark} is no mark for points")
        columns = (self.y, self.hover, self.ids, *(() if self.level is None else (self.level,)))
        if any(len(column) != len(self.x) for column in columns):
            raise AssertionError(f"points {self.name}: columns differ in length")
        _need_finite(f"points {self.name}", (*self.x, *self.y, *(self.level or ())))


@dataclass(frozen=True, slots=True, kw_only=True)
class LineSeries:
    """A line or the outline of an area; `breaks` are the indexes at which a new piece begins."""

    name: str
    style: LineStyle
    x: tuple[float, ...]
    y: tuple[float, ...]
    breaks: tuple[int, ...] = ()
    walk: str = ""

    def __post_init__(self) -> None:
        if len(self.x) != len(self.y):
            raise AssertionError(f"line {self.name}: columns differ in length")
        _need_finite(f"line {self.name}", (*self.x, *self.y))

    def pieces(self) -> tuple[tuple[tuple[float, float], ...], ...]:
        """Return the points of each unbroken piece."""
        points = tuple(zip(self.x, self.y, strict=True))
        ends = (0, *sorted(set(self.breaks)), len(points))
        cut = (points[start:end] for start, end in pairwise(ends))
        return tuple(piece for piece in cut if piece)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A line across a chart, with its label.

    Below a floor the axis has no meaning: it is shaded, and its ticks go without numbers.
    """

    value: float
    label: str
    orientation: Literal["horizontal", "vertical"] = "horizontal"
    is_floor: bool = False

    def __post_init__(self) -> None:
        _need_finite(f"rule {self.label}", (self.value,))


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Ends of the colour scale; `limit` marks the demodulation limit where it is known."""

    label: str
    unit: str
    low: float
    high: float
    limit: float | None

    def __post_init__(self) -> None:
        _need_finite(f"scale {self.label}", (self.low, self.high, self.limit or 0.0))
        if not self.low < self.high:
            raise AssertionError(f"scale {self.label}: no way from {self.low} to {self.high}")


@dataclass(frozen=True, slots=True, kw_only=True)
class DataTable:
    """The numbers behind a drawing, as texts; the first cell of a row names it."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def __post_init__(self) -> None:
        if any(len(row) != len(self.headings) for row in self.rows):
            raise AssertionError("table of a drawing: rows and headings differ in length")


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """A chart of points over two axes. `height` is that of the wide drawing, in its units."""

    key: str
    title: str
    summary: str
    x: Axis
    y: Axis
    series: tuple[PointSeries, ...]
    rules: tuple[Rule, ...]
    scale: Scale | None
    table: DataTable
    lines: tuple[LineSeries, ...] = ()
    height: float = 400.0
    note: str = ""
    points_in_all: int = 0
    """How many points there were before some were left out; 0 where none was."""

    def __post_init__(self) -> None:
        _need_key(self.key)


@dataclass(frozen=True, slots=True, kw_only=True)
class MapStation:
    """A station on the map, metres east and north of the map's origin."""

    name: str
    x: float
    y: float
    is_own: bool

    def __post_init__(self) -> None:
        _need_finite(f"station {self.name}", (self.x, self.y))


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

    def __post_init__(self) -> None:
        _need_finite(
            f"photo {self.number}", (self.x, self.y, self.half_angle_deg, self.heading_deg or 0.0)
        )
        if _SCHEME.match(self.href):
            raise AssertionError(f"photo {self.number}: {self.href!r} leads out of the site")

    @property
    def anchor(self) -> str:
        """Name of the photo's place on the map: that of its card after ``map-``, or blank."""
        card = self.href.partition("#")[2]
        return f"map-{card}" if card else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MapPicture:
    """A picture under a map, by its sides in metres from the map's origin."""

    title: str
    href: str
    west: float
    east: float
    south: float
    north: float
    opacity_ratio: float

    def __post_init__(self) -> None:
        _need_finite(self.title, (self.west, self.east, self.south, self.north, self.opacity_ratio))
        if not (self.west < self.east and self.south < self.north):
            raise AssertionError(f"picture {self.title}: it has no ground")


@dataclass(frozen=True, slots=True, kw_only=True)
class MapTiles:
    """Pictures of a server that a reader may ask for; nothing of them is fetched before."""

    host: str
    attribution: str
    tiles: tuple[MapPicture, ...]


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
    note: str = ""
    points_in_all: int = 0
    """As of a chart."""
    layers: Layers | None = None
    squares_table: DataTable | None = None
    pictures: tuple[MapPicture, ...] = ()
    tiles: MapTiles | None = None
    is_live: bool = True
    """Whether a reader can explore it, or has the still drawing alone."""

    def __post_init__(self) -> None:
        _need_key(self.key)


def _need_finite(what: str, values: Iterable[float]) -> None:
    if not all(map(math.isfinite, values)):
        raise AssertionError(f"{what}: a number is missing or infinite")


def _need_key(key: str) -> None:
    """Keys become parts of HTML ids."""
    if not _KEY.fullmatch(key):
        raise AssertionError(f"drawing {key!r}: its key is no plain name")
