"""A figure: a number with its record, and the book that holds them all."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal

from reportgen.errors import ReportgenError, Where


def slug(text: str) -> str:
    """Return a text as a part of a figure's name; "x" where nothing of it can stand there."""
    return re.sub(r"[^a-z0-9]+", "-", text.casefold()).strip("-") or "x"


UNSURE_WIDTH_RATIO = 0.4
"""A share whose interval is wider than this says little, and is shown so (our choice)."""

Prefix = Literal["", "at least", "extrapolated"]


class Absent(StrEnum):
    """Why a figure can't be given. Each has a sentence in the catalogue of wording."""

    NOTHING_HEARD = "nothing-heard"
    NOTHING_SENT = "nothing-sent"
    NO_COUNTER = "no-counter"
    SOME_COUNTERS = "some-counters"
    UNSTEADY_COUNTER = "unsteady-counter"
    INTERVAL_NOT_KEPT = "interval-not-kept"
    LOG_LACKS_FRAMES = "log-lacks-frames"
    OUTSIDE_WALK = "outside-walk"
    NO_PLACE = "no-place"
    NO_TRACK = "no-track"
    NO_TIME = "no-time"
    NO_STATION_POSITION = "no-station-position"
    NO_HEIGHT = "no-height"
    NO_LEVEL = "no-level"
    SAME_PLACE = "same-place"
    TOO_FEW = "too-few"
    NEVER_BELOW_HALF = "never-below-half"
    BELOW_HALF_FROM_START = "below-half-from-start"
    NOT_STATED = "not-stated"
    NO_MATCH = "no-match"
    NEAR_FIELD = "near-field"
    CONTRADICTION = "contradiction"
    MISSING_INPUT = "missing-input"
    NO_LIMIT = "no-limit"
    NOT_EXERCISED = "not-exercised"
    ADAPTIVE_POWER = "adaptive-power"
    ADAPTIVE_UNKNOWN = "adaptive-unknown"
    TOO_FEW_HEARD = "too-few-heard"
    LEVEL_DOES_NOT_FALL = "level-does-not-fall"
    NO_SPREAD = "no-spread"
    TOO_FEW_CELLS = "too-few-cells"
    NOT_CONVERGED = "not-converged"
    NEVER_REACHED = "never-reached"
    FAR_BEYOND = "far-beyond"
    NO_COMMON_GROUND = "no-common-ground"
    TOO_FEW_PAIRS = "too-few-pairs"
    TOO_FEW_STRETCHES = "too-few-stretches"
    TOO_ALIKE = "too-alike"
    NOT_REPEATED = "not-repeated"
    NO_NOISE_SEEN = "no-noise-seen"
    ON_THE_EDGE = "on-the-edge"
    UNKNOWN_CABLE = "unknown-cable"
    ALL_TOO_STRONG = "all-too-strong"
    FASTER_THAN_FRAMES = "faster-than-frames"
    NOT_WALKED = "not-walked"
    NONE_THERE = "none-there"
    NO_CHANNEL = "no-channel"
    TOO_FEW_THIS_WAY = "too-few-this-way"
    ON_FLOOR = "on-floor"
    NO_NOISE = "no-noise"
    MIXED_SETTINGS = "mixed-settings"
    NO_PLAN = "no-plan"
    NOT_LOGGED = "not-logged"
    NO_HEADING = "no-heading"
    NO_NORTH = "no-north"
    NO_DECLINATION = "no-declination"
    NO_LENS = "no-lens"
    TOO_NEAR = "too-near"
    OUTSIDE_PICTURE = "outside-picture"
    FEW_PHOTOS = "few-photos"
    PHOTOS_OFF_TRACK = "photos-off-track"
    CLOCK_AMBIGUOUS = "clock-ambiguous"
    NO_GPS_TIMES = "no-gps-times"
    WITHHELD_MOVED = "withheld-moved"
    WITHHELD_COARSE = "withheld-coarse"


WITHHELD = (Absent.WITHHELD_MOVED, Absent.WITHHELD_COARSE)
"""Known, and left out of the site by the author's choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One number with everything a doubter may ask.

    Attributes
    ----------
    name : str
        Path of slugs, such as ``walk.north.station.harbour.delivery_ratio``.
    value : float, int, str or None
        None exactly when `absent_reason` is given.
    unit : str
        SI symbol, "dBm", "dB", "deg", "1" for ratios, "frames" and so on, "UTC" for times.
    low, high : float or None
        95 % interval where one can be given.
    count : int or None
        How many rows, frames or points the value rests on.
    method : str
        Key of the method in the catalogue: formula, source, limits.
    inputs : tuple of str
        Names of figures, keys of the description or tables it was made of.
    where : Where or None
        File and line, where the figure is one row's.
    prefix : "", "at least", or "extrapolated" beyond the ground that was walked
    source : str
        Where this very value was published, for methods whose values come from several places.
    """

    name: str
    value: float | int | str | None
    unit: str
    low: float | None = None
    high: float | None = None
    count: int | None = None
    method: str
    inputs: tuple[str, ...] = ()
    where: Where | None = None
    absent_reason: Absent | None = None
    prefix: Prefix = ""
    source: str = ""

    def __post_init__(self) -> None:
        if (self.value is None) != (self.absent_reason is not None):
            raise AssertionError(f"{self.name}: a figure has a value or a reason, never both")
        if isinstance(self.value, float) and not math.isfinite(self.value):
            raise AssertionError(f"{self.name}: {self.value} is no value")

    @property
    def number(self) -> float | None:
        """The value as a number, None where absent or a text."""
        return float(self.value) if isinstance(self.value, int | float) else None

    @property
    def is_unsure(self) -> bool:
        """Whether it is a share of so few frames that it could be almost anything."""
        if self.unit != "1" or self.low is None or self.high is None:
            return False
        return self.high - self.low > UNSURE_WIDTH_RATIO


class UnknownFigureError(ReportgenError):
    """Somebody asked for a figure that does not exist."""

    def __init__(self, name: str, nearest: tuple[str, ...]) -> None:
        self.name = name
        self.nearest = nearest
        hint = f"; nearest: {', '.join(nearest)}" if nearest else ""
        super().__init__(f"no figure is named {name}{hint}")


@dataclass(frozen=True, slots=True)
class FigureBook:
    """All figures by name, in the order in which they were made."""

    by_name: Mapping[str, Figure] = field(default_factory=dict)

    @classmethod
    def of(cls, figures: Iterable[Figure]) -> FigureBook:
        """Return a book; two figures of one name are a fault of the program."""
        by_name: dict[str, Figure] = {}
        for figure in figures:
            if figure.name in by_name:
                raise AssertionError(f"figure {figure.name} was made twice")
            by_name[figure.name] = figure
        return cls(by_name)

    def __getitem__(self, name: str) -> Figure:
        try:
            return self.by_name[name]
        except KeyError:
            nearest = difflib.get_close_matches(name, self.by_name, n=3, cutoff=0.5)
            raise UnknownFigureError(name, tuple(nearest)) from None

    def __contains__(self, name: str) -> bool:
        return name in self.by_name

    def shows(self, name: str) -> bool:
        """Whether there is such a figure, and the author does not keep it off the site."""
        return name in self.by_name and self.by_name[name].absent_reason not in WITHHELD

    def __iter__(self) -> Iterator[Figure]:
        return iter(self.by_name.values())

    def __len__(self) -> int:
        return len(self.by_name)


@dataclass(frozen=True, slots=True, kw_only=True)
class Maker:
    """Makes figures under one path, so that the path is written once."""

    path: str

    def under(self, *parts: str) -> Maker:
        """Return a maker one or more steps further down."""
        return Maker(path=".".join((self.path, *parts)))

    def figure(
        self,
        name: str,
        value: float | str | None,
        unit: str,
        method: str,
        *,
        absent: Absent | None = None,
        count: int | None = None,
        inputs: tuple[str, ...] = (),
        where: Where | None = None,
        prefix: Prefix = "",
        low: float | None = None,
        high: float | None = None,
        source: str = "",
    ) -> Figure:
        """Return a figure; a value of None or NaN becomes the reason `absent`."""
        missing = value is None or (isinstance(value, float) and math.isnan(value))
        if missing and absent is None:
            raise AssertionError(f"{self.path}.{name}: absent without a reason")
        return Figure(
            name=f"{self.path}.{name}",
            value=None if missing else value,
            unit=unit,
            method=method,
            absent_reason=absent if missing else None,
            count=count,
            inputs=inputs,
            where=None if missing else where,
            prefix="" if missing else prefix,
            low=None if missing else low,
            high=None if missing else high,
            source=source,
        )
