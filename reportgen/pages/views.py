"""The small finished pieces that templates put in place: texts and booleans only."""

from __future__ import annotations

from dataclasses import dataclass

from reportgen.pages import formats
from reportgen.pages.words import Words
from reportgen.results.figure import Figure, FigureBook


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureView:
    """A figure as a reader sees it.

    `text` is the number with its unit, or the word for "not known"; `reason` says why there is
    none; `working` is what shows on pointing: method, count, where it comes from.
    """

    name: str
    text: str
    prefix: str
    is_absent: bool
    reason: str
    working: str
    method: str

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

    @property
    def has_figure(self) -> bool:
        """Whether to draw the figure rather than the text."""
        return self.figure is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """A table. Every row has as many cells as there are headings."""

    caption: str
    headings: tuple[Cell, ...]
    rows: tuple[tuple[Cell, ...], ...]

    def __post_init__(self) -> None:
        if any(len(row) != len(self.headings) for row in self.rows):
            raise AssertionError(f"table {self.caption}: rows and headings differ in length")

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to show."""
        return not self.rows


@dataclass(frozen=True, slots=True)
class FigureWriter:
    """Turns figures into views by one set of rules."""

    words: Words
    book: FigureBook
    zone: str

    def view(self, name: str) -> FigureView:
        """Return the figure of that name as a reader sees it."""
        return self.view_of(self.book[name])

    def view_of(self, figure: Figure) -> FigureView:
        """Return a figure as a reader sees it."""
        absent = figure.value is None
        reason = self.words.say(f"absent.{figure.absent_reason}") if figure.absent_reason else ""
        return FigureView(
            name=figure.name,
            text=self.words.say("figure.absent") if absent else self._text(figure),
            prefix=self.words.say("figure.at_least") if figure.prefix else "",
            is_absent=absent,
            reason=reason,
            working=self._working(figure, reason),
            method=figure.method,
        )

    def _text(self, figure: Figure) -> str:
        if figure.unit == "UTC":
            return formats.clock_text(formats.iso_time(str(figure.value)), self.zone)
        if figure.unit == "text":
            return self.words.say(f"reach.{str(figure.value).replace(' ', '_')}")
        if figure.unit == "1" and isinstance(figure.value, int):
            return formats.number_text(figure.value)
        written = formats.BY_METHOD.get(figure.method) or formats.BY_UNIT[figure.unit]
        return written(float(figure.value or 0.0))

    def _working(self, figure: Figure, reason: str) -> str:
        parts = [self.words.say(f"methods.{figure.method}.title")]
        if reason:
            parts.append(reason)
        if figure.count is not None:
            parts.append(self.words.say("figure.rests_on", n=formats.number_text(figure.count)))
        if figure.where is not None:
            parts.append(self.words.say("figure.from_row", where=str(figure.where)))
        return " · ".join(parts)

    def labelled(self, name: str, label: str, note: str = "") -> Labelled:
        """Return a figure with its label; the reason stands for the note where there is none."""
        figure = self.view(name)
        return Labelled(label=label, figure=figure, note="" if figure.is_absent else note)

    def cell(self, name: str) -> Cell:
        """Return a table cell for a figure; blank where no such figure was made."""
        if name not in self.book:
            return Cell(text="", is_number=True)
        return Cell(figure=self.view(name), is_number=True)


def text_cell(text: str, *, href: str = "", number: bool = False, heading: bool = False) -> Cell:
    """Return a table cell of plain text."""
    return Cell(text=text, href=href, is_number=number, is_heading=heading)


def headings(*texts: str, numbers_from: int = 1) -> tuple[Cell, ...]:
    """Return column headings; those from `numbers_from` on stand above numbers."""
    return tuple(
        Cell(text=text, is_number=index >= numbers_from, is_heading=True)
        for index, text in enumerate(texts)
    )
