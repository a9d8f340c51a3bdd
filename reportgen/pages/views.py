"""The small finished pieces that templates put in place: texts and booleans only."""

from __future__ import annotations

from dataclasses import dataclass

from reportgen.pages import formats
from reportgen.pages.units import METRIC, Units
from reportgen.pages.words import Words
from reportgen.pages.working import Working, bare, figure_label, notes_of, working_of
from reportgen.results.coarse import band_ends
from reportgen.results.figure import Figure, FigureBook


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureView:
    """A figure as a reader sees it.

    `text` is the number with its unit, or the word for "not known"; `reason` says why there is
    none; `is_unsure` that it rests on too few frames; `opens` that it can be asked for its
    working; `hint` is what shows on pointing: method,
    count, where it comes from; `spoken` is what is read aloud; `working` is what opens.
    """

    name: str
    text: str
    prefix: str
    is_absent: bool
    is_unsure: bool
    reason: str
    hint: str
    spoken: str
    working: Working
    method: str
    opens: bool = True

    @property
    def in_a_sentence(self) -> str:
        """The text with its honest prefix."""
        return f"{self.prefix} {self.text}" if self.prefix else self.text


@dataclass(frozen=True, slots=True, kw_only=True)
class Labelled:
    """A figure with what it is, and a note in small print."""

    label: str
    figure: FigureView
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A cell of a table: a text, or a figure."""

    text: str = ""
    figure: FigureView | None = None
    is_number: bool = False
    is_heading: bool = False
    href: str = ""
    range_text: str = ""

    @property
    def has_range(self) -> bool:
        """Whether to show the interval below the number."""
        return bool(self.range_text)

    @property
    def has_figure(self) -> bool:
        """Whether to draw the figure rather than the text."""
        return self.figure is not None


@dataclass(frozen=True, slots=True)
class PlacedCell:
    """A cell with the text of the heading above it, which a phone shows beside it."""

    cell: Cell
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """A table. Every row has as many cells as there are headings.

    On a phone each row stands by itself, its cells one below the other; a table whose columns are
    read from top to bottom (`is_compared`) stays a table there.
    """

    caption: str
    headings: tuple[Cell, ...]
    rows: tuple[tuple[Cell, ...], ...]
    is_compared: bool = False

    def __post_init__(self) -> None:
        if any(len(row) != len(self.headings) for row in self.rows):
            raise AssertionError(f"table {self.caption}: rows and headings differ in length")

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to show."""
        return not self.rows

    @property
    def is_stacked(self) -> bool:
        """Whether its rows stand one by one on a phone."""
        return not self.is_compared

    @property
    def placed_rows(self) -> tuple[tuple[PlacedCell, ...], ...]:
        """The rows, each cell with its heading's text."""
        labels = tuple(heading.text for heading in self.headings)
        return tuple(
            tuple(PlacedCell(*pair) for pair in zip(row, labels, strict=True)) for row in self.rows
        )


@dataclass(frozen=True, slots=True)
class FigureWriter:
    """Turns figures into views by one set of rules."""

    words: Words
    book: FigureBook
    zone: str
    units: Units = METRIC
    opens: bool = True

    def view(self, name: str) -> FigureView:
        """Return the figure of that name as a reader sees it."""
        return self.view_of(self.book[name])

    def view_of(self, figure: Figure) -> FigureView:
        """Return a figure as a reader sees it."""
        reason = self._reason(figure)
        text = self._text(figure)
        prefix = self._prefix(figure)
        return FigureView(
            name=figure.name,
            text=text,
            prefix=prefix,
            is_absent=figure.value is None,
            is_unsure=figure.is_unsure,
            reason=reason,
            hint=self._hint(figure, reason),
            spoken=self.words.say(
                "figure.spoken",
                value=f"{prefix} {text}".strip(),
                label=figure_label(figure.name, figure, self.words),
            ),
            working=working_of(figure, self.book, self.words, self._written),
            method=figure.method,
            opens=self.opens,
        )

    def _reason(self, figure: Figure) -> str:
        return self.words.say(f"absent.{figure.absent_reason}") if figure.absent_reason else ""

    def _written(self, figure: Figure) -> str:
        """Return the value with its honest prefix, or that it is not known and why."""
        text = self._text(figure)
        if figure.value is None:
            return self.words.say("figure.absent_because", absent=text, reason=self._reason(figure))
        return f"{self._prefix(figure)} {text}".strip()

    def _prefix(self, figure: Figure) -> str:
        key = f"figure.{figure.prefix.replace(' ', '_')}"
        return self.words.say(key) if figure.prefix else ""

    def _text(self, figure: Figure) -> str:
        if figure.value is None:
            short = f"absent_short.{figure.absent_reason}"
            return self.words.say(short if self.words.has(short) else "figure.absent")
        if figure.unit == "UTC":
            return formats.clock_text(formats.iso_time(str(figure.value)), self.zone)
        band = band_ends(figure)
        if band is not None:
            return self._band_text(*band)
        if isinstance(figure.value, str):
            key = f"reach.{figure.value.replace(' ', '_')}"
            return self.words.say(key) if self.words.has(key) else figure.value
        return self._number_text(figure, float(figure.value))

    def _band_text(self, low_m: float, high_m: float | None) -> str:
        """Return a distance that is told only between two ends."""
        if high_m is None:
            return self.words.say("place.band_beyond", low=self.units.length(low_m))
        return self.units.band(low_m, high_m)

    def _number_text(self, figure: Figure, value: float) -> str:
        if figure.unit == "1" and isinstance(figure.value, int):
            return formats.number_text(value)
        written = (
            formats.BY_METHOD.get(figure.method)
            or self.units.writer(figure.method, figure.unit)
            or formats.BY_UNIT.get(figure.unit)
        )
        if written is None:
            return _plain_text(value, figure.unit)
        text = written(value)
        form = "one" if text.strip(f"+{formats.MINUS}") == "1" else "other"
        word = f"unit.{figure.unit}.{form}"
        return formats.with_unit(text, self.words.say(word)) if self.words.has(word) else text

    def _hint(self, figure: Figure, reason: str) -> str:
        title = self.words.say(f"methods.{figure.method}.title")
        parts = (title, reason, *notes_of(figure, self.words))
        return " · ".join(part for part in parts if part)

    def ends(self, figure: Figure) -> tuple[str, str]:
        """Return both ends of an interval, written like the value between them."""
        low, high = (
            "" if end is None else self._text(bare(figure, end))
            for end in (figure.low, figure.high)
        )
        return low, high

    def labelled(self, name: str, label: str, note: str = "") -> Labelled:
        """Return a figure with its label; the reason stands for the note where there is none."""
        figure = self.view(name)
        return Labelled(label=label, figure=figure, note="" if figure.is_absent else note)

    def cell(self, name: str) -> Cell:
        """Return a table cell for a figure; blank where no such figure was made."""
        if name not in self.book:
            return Cell(text="", is_number=True)
        return Cell(figure=self.view(name), is_number=True, range_text=self._range(self.book[name]))

    def _range(self, figure: Figure) -> str:
        """Return the interval of a share in short, with a word where it says little."""
        if figure.unit != "1" or figure.low is None or figure.high is None:
            return ""
        low, high = self.ends(figure)
        key = "figure.range_unsure" if figure.is_unsure else "figure.range"
        return self.words.say(key, low=low, high=high)


def _plain_text(value: float, unit: str) -> str:
    """Return a number of a unit without rules of its own, to no more than three decimals."""
    decimals = next(n for n in range(4) if n == 3 or round(value, n) == value)
    return formats.with_unit(formats.number_text(value, decimals), unit)


def text_cell(text: str, *, href: str = "", number: bool = False, heading: bool = False) -> Cell:
    """Return a table cell of plain text."""
    return Cell(text=text, href=href, is_number=number, is_heading=heading)


def headings(*texts: str, numbers_from: int = 1) -> tuple[Cell, ...]:
    """Return column headings; those from `numbers_from` on stand above numbers."""
    return tuple(
        Cell(text=text, is_number=index >= numbers_from, is_heading=True)
        for index, text in enumerate(texts)
    )
