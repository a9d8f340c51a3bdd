"""A whole site before the author's text is in it, and the same as bytes that can be kept."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
from collections.abc import Iterator
from dataclasses import dataclass

from reportgen.errors import Problem, Severity, Where
from reportgen.pages.author_part import AuthorNeeds
from reportgen.pages.page import Asset, Page, Section, SiteContent
from reportgen.results.figure import Absent, Figure, FigureBook


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """Everything about a build but the author's text.

    Attributes
    ----------
    content : SiteContent
        With marks where the text goes.
    needs : AuthorNeeds
    conclusions : str or None
        The text that was there.
    problems : tuple of Problem
        Those that count for strictness.
    picture_problems : tuple of Problem
    remark : str
    """

    content: SiteContent
    needs: AuthorNeeds
    conclusions: str | None
    problems: tuple[Problem, ...]
    picture_problems: tuple[Problem, ...]
    remark: str


def packed(made: Made) -> tuple[bytes, ...]:
    """Return everything as pieces: a line of JSON that says what follows, then texts and files."""
    content = made.content
    pieces = [page.markdown.encode() for page in content.pages]
    pieces += [asset.content for asset in content.assets]
    head = {
        "lengths": [len(piece) for piece in pieces],
        "pages": [
            [page.path, page.title, page.description, page.has_charts] for page in content.pages
        ],
        "assets": [asset.path for asset in content.assets],
        "site": [
            content.title, content.description, content.network, content.language,
            content.picture_source,
            None if content.as_of_utc is None else content.as_of_utc.isoformat(),
        ],
        "navigation": [[section.title, section.pages] for section in content.navigation],
        "needs": [
            made.needs.language, made.needs.time_zone, made.needs.units, made.needs.pages,
            made.needs.photo_keys,
        ],
        "figures": [_figure_row(figure) for figure in made.needs.figures],
        "conclusions": made.conclusions,
        "problems": [_problem_row(problem) for problem in made.problems],
        "picture_problems": [_problem_row(problem) for problem in made.picture_problems],
        "remark": made.remark,
    }  # fmt: skip
    return (json.dumps(head).encode(), b"\n", *pieces)


def unpacked(kept: bytes) -> Made:
    """Return what `packed` made, its pieces one after the other.

    Raises
    ------
    ValueError, KeyError, TypeError
        If it is something else.
    """
    line, _, body = kept.partition(b"\n")
    head = json.loads(line)
    pieces = _pieces(body, head["lengths"])
    title, description, network, language, picture_source, as_of = head["site"]
    units_language, time_zone, units, pages, photo_keys = head["needs"]
    content = SiteContent(
        title=title, description=description, network=network, language=language,
        pages=tuple(
            Page(path=path, title=name, markdown=next(pieces).decode(), description=said,
                 has_charts=has_charts)
            for path, name, said, has_charts in head["pages"]
        ),
        navigation=tuple(
            Section(title=name, pages=tuple(paths)) for name, paths in head["navigation"]
        ),
        assets=tuple(Asset(path=path, content=next(pieces)) for path in head["assets"]),
        as_of_utc=None if as_of is None else dt.datetime.fromisoformat(as_of),
        picture_source=picture_source,
    )  # fmt: skip
    return Made(
        content=content,
        needs=AuthorNeeds(
            language=units_language, time_zone=time_zone, units=units, pages=tuple(pages),
            photo_keys=tuple((own, shown) for own, shown in photo_keys),
            figures=FigureBook.of(_figure(row) for row in head["figures"]),
        ),
        conclusions=head["conclusions"],
        problems=tuple(_problem(row) for row in head["problems"]),
        picture_problems=tuple(_problem(row) for row in head["picture_problems"]),
        remark=head["remark"],
    )  # fmt: skip


def _pieces(body: bytes, lengths: list[int]) -> Iterator[bytes]:
    start = 0
    for length in lengths:
        yield body[start : start + length]
        start += length


_FIGURE = tuple(field.name for field in dataclasses.fields(Figure))
_PROBLEM = tuple(field.name for field in dataclasses.fields(Problem))


def _figure_row(figure: Figure) -> list[object]:
    return [_plain(getattr(figure, name)) for name in _FIGURE]


def _figure(row: list[object]) -> Figure:
    values = dict(zip(_FIGURE, row, strict=True))
    values["inputs"] = tuple(values["inputs"])  # type: ignore[arg-type]
    values["where"] = _where(values["where"])
    if values["absent_reason"] is not None:
        values["absent_reason"] = Absent(str(values["absent_reason"]))
    return Figure(**values)  # type: ignore[arg-type]


def _problem_row(problem: Problem) -> list[object]:
    return [_plain(getattr(problem, name)) for name in _PROBLEM]


def _problem(row: list[object]) -> Problem:
    values = dict(zip(_PROBLEM, row, strict=True))
    values["where"] = _where(values["where"])
    values["severity"] = Severity(str(values["severity"]))
    return Problem(**values)  # type: ignore[arg-type]


def _plain(value: object) -> object:
    """Return a value as JSON has it; a number of numpy's is one of Python's."""
    if isinstance(value, Where):
        return [value.path, value.line, value.column]
    return value.item() if hasattr(value, "item") else value


def _where(value: object) -> Where | None:
    if not isinstance(value, list):
        return None
    path, line, column = value
    return Where(path=path, line=line, column=column)
