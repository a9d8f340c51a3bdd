"""The working of a figure: what it was made of, how and after whom, for whoever opens it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from reportgen.pages import formats
from reportgen.pages.file_names import file_label, place_label
from reportgen.pages.words import Words
from reportgen.results.figure import Figure, FigureBook


@dataclass(frozen=True, slots=True, kw_only=True)
class InputView:
    """One thing that a figure was made of; `text` is its value, empty where it has none to show."""

    label: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """What opens at a figure. Every text is finished; an empty one is left out.

    `label` says what the number is where the method's title alone does not.
    """

    title: str
    label: str
    value: str
    interval: str
    formula: str
    inputs: tuple[InputView, ...]
    notes: str
    source: str
    onward: str

    @property
    def has_inputs(self) -> bool:
        """Whether anything is named that it was made of."""
        return bool(self.inputs)


def working_of(
    figure: Figure, book: FigureBook, words: Words, written: Callable[[Figure], str]
) -> Working:
    """Return the working of a figure.

    Parameters
    ----------
    figure : Figure
    book : FigureBook
        Where the figures stand that it was made of.
    words : Words
    written : callable
        Returns the value of a figure with its unit, or why there is none.
    """
    say, method = words.say, f"methods.{figure.method}"
    title, label = say(f"{method}.title"), figure_label(figure.name, figure, words)
    return Working(
        title=title,
        label="" if label == title else label,
        value=written(figure),
        interval=_interval(figure, words, written),
        formula=say(f"{method}.formula"),
        inputs=tuple(_inputs(figure, book, words, written)),
        notes=" · ".join(notes_of(figure, words, is_counted=_counts_rows(figure, words))),
        source=say("figure.source", source=figure.source or say(f"{method}.source")),
        onward=say("figure.onward"),
    )


def notes_of(figure: Figure, words: Words, *, is_counted: bool = False) -> Iterator[str]:
    """Yield what a figure rests on, unless that is told already, and where it stands."""
    if figure.count is not None and not is_counted:
        yield words.say("figure.rests_on", n=formats.number_text(figure.count))
    if figure.where is not None:
        yield words.say("figure.from_row", where=place_label(words, figure.where))


def input_figures(figure: Figure, book: FigureBook) -> tuple[tuple[str, Figure | None], ...]:
    """Return the name of each input with its figure; None for tables, files and keys."""
    return tuple((name, book.by_name.get(name)) for name in figure.inputs)


def figure_label(name: str, figure: Figure, words: Words) -> str:
    """Return what a figure is called: by the end of its name, else its method, else its name."""
    keys = (f"inputs.{name.rsplit('.', 1)[-1]}", f"methods.{figure.method}.title")
    return next((words.say(key) for key in keys if words.has(key)), name)


def _interval(figure: Figure, words: Words, written: Callable[[Figure], str]) -> str:
    if figure.low is None:
        return ""
    low = written(bare(figure, figure.low))
    if figure.high is None:
        return words.say("figure.interval_open", low=low)
    return words.say("figure.interval", low=low, high=written(bare(figure, figure.high)))


def bare(figure: Figure, value: float) -> Figure:
    """Return an end of an interval as a figure, so that it is written like the value between."""
    return Figure(name=figure.name, value=value, unit=figure.unit, method=figure.method)


def _inputs(
    figure: Figure, book: FigureBook, words: Words, written: Callable[[Figure], str]
) -> Iterator[InputView]:
    sources = input_figures(figure, book)
    for (name, source), label in zip(sources, _labels(sources, words), strict=True):
        if source is not None:
            yield InputView(label=label, text=written(source))
        elif _counts_rows(figure, words) and words.has(f"inputs.tables.{name}"):
            rows = words.count("figure.rows_used", figure.count or 0)
            yield InputView(label=label, text=rows)
        else:
            yield InputView(label=label, text="")


def _counts_rows(figure: Figure, words: Words) -> bool:
    """Whether the count says how many rows of one table were used: there is no other table."""
    tables = [name for name in figure.inputs if words.has(f"inputs.tables.{name}")]
    return figure.count is not None and len(tables) == 1


def _labels(sources: Sequence[tuple[str, Figure | None]], words: Words) -> list[str]:
    """Return a label for each input; those that would be called the same say whose they are."""
    labels = [_label(name, source, words) for name, source in sources]
    return [
        label if labels.count(label) == 1 else _told_apart(name, label, labels, sources, words)
        for (name, _), label in zip(sources, labels, strict=True)
    ]


def _label(name: str, source: Figure | None, words: Words) -> str:
    """Return the label of a figure or table; a file or key of the description goes by its name."""
    if source is not None:
        return figure_label(name, source, words)
    table = f"inputs.tables.{name}"
    return words.say(table) if words.has(table) else file_label(words, name)


def _told_apart(
    name: str,
    label: str,
    labels: Sequence[str],
    sources: Sequence[tuple[str, Figure | None]],
    words: Words,
) -> str:
    alike = [other for (other, _), same in zip(sources, labels, strict=True) if same == label]
    shared = set.intersection(*(set(other.split(".")) for other in alike))
    whose = " ".join(part for part in name.split(".") if part not in shared)
    return words.say("figure.whose", label=label, whose=whose) if whose else name
