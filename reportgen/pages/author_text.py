"""The author's own Markdown: figures called by name, everything else shown as text."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from urllib.parse import urlsplit
from xml.etree import ElementTree as ET

import markdown
from markdown.extensions import Extension
from markdown.treeprocessors import Treeprocessor
from markupsafe import Markup

from reportgen.errors import Problem, Severity, Where
from reportgen.results.figure import FigureBook, UnknownFigureError

MARK = "\ue000"
"""Private-use character around the number of a figure while Markdown is at work."""
CALL = re.compile(r"""\{\{\s*figure\(\s*(["'])([^"'{}]+)\1\s*\)\s*\}\}""")
"""The one thing that may stand between double braces."""
NO_KEYS: Mapping[str, str] = MappingProxyType({})
OUTSIDE = ("http", "https", "mailto")
MOST_BRACKETS = 100
"""Brackets in one paragraph beyond which Markdown takes for ever; nobody writes so many."""

PROBLEM_CODES = (
    ("conclusions/unknown-figure", "The conclusions call a figure that does not exist."),
    ("conclusions/call", "A {{ … }} of the conclusions is no call of a figure."),
    ("conclusions/brackets", "The conclusions nest brackets or lists too deeply to be read."),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class AuthorText:
    """The rendered text, or the problems that stand in its way."""

    html: str | None
    problems: tuple[Problem, ...] = ()


def author_text(
    text: str,
    path: str,
    book: FigureBook,
    show: Callable[[str], Markup],
    pages: Iterable[str] | None = (),
    photo_keys: Mapping[str, str] = NO_KEYS,
) -> AuthorText:
    """Render the author's Markdown.

    Parameters
    ----------
    text : str
        Markdown in which ``{{ figure("name") }}`` calls a figure.
    path : str
        Name of the file, for problems.
    book : FigureBook
    show : callable
        Returns the HTML of a figure by its name.
    pages : iterable of str, optional
        Pages of the site that a link may lead to; None where there is no site around the text.
    photo_keys : mapping of str to str
        By a photo's key after its file, the key that its figures go by.
    """
    problems: list[Problem] = []
    called: list[str] = []
    lines = [
        _with_marks(line, Where(path=path, line=number), book, called, problems, photo_keys)
        for number, line in enumerate(text.splitlines(), start=1)
    ]
    problems += _tangles(text, path)
    if problems:
        return AuthorText(html=None, problems=tuple(problems))
    try:
        body = _html("\n".join(lines), None if pages is None else frozenset(pages))
    except RecursionError:
        return AuthorText(html=None, problems=(_tangle(Where(path=path)),))
    return AuthorText(
        html=re.sub(f"{MARK}(\\d+){MARK}", lambda found: show(called[int(found[1])]), body)
    )


def _with_marks(
    line: str,
    where: Where,
    book: FigureBook,
    called: list[str],
    problems: list[Problem],
    photo_keys: Mapping[str, str],
) -> str:
    """Put a mark in place of each figure called in a line."""

    def mark(call: re.Match[str]) -> str:
        name = _published_name(call[2], photo_keys)
        try:
            book[name]
        except UnknownFigureError as error:
            problems.append(_unknown(where, error))
            return ""
        called.append(name)
        return f"{MARK}{len(called) - 1}{MARK}"

    marked = CALL.sub(mark, line.replace(MARK, ""))
    if "{{" in marked or "{%" in marked:
        problems.append(
            Problem(
                where=where,
                code="conclusions/call",
                severity=Severity.ERROR,
                found=line.strip()[:120],
                expected='{{ figure("name") }} and nothing else between the braces, on one line',
                do="correct the call, or write the braces as &#123;&#123;",
            )
        )
    return marked


def _published_name(name: str, photo_keys: Mapping[str, str]) -> str:
    """Return the name that a figure goes by on the site: photos are numbered there."""
    first, _, rest = name.partition(".")
    key, dot, last = rest.partition(".")
    return f"photo.{photo_keys.get(key, key)}{dot}{last}" if first == "photo" else name


def _unknown(where: Where, error: UnknownFigureError) -> Problem:
    return Problem(
        where=where,
        code="conclusions/unknown-figure",
        severity=Severity.ERROR,
        found=f'figure("{error.name}")',
        expected=f"the name of a figure; nearest: {', '.join(error.nearest) or 'none is like it'}",
        do="correct the name; data/figures.json of a built site lists them all",
    )


def _tangles(text: str, path: str) -> list[Problem]:
    """Return the first paragraph that Markdown could not read in a lifetime."""
    line = 1
    for paragraph in re.split(r"(\n\s*\n)", text):
        if sum(paragraph.count(bracket) for bracket in "[(*_`") > MOST_BRACKETS * 10 or (
            paragraph.count("[") > MOST_BRACKETS
        ):
            return [_tangle(Where(path=path, line=line))]
        line += paragraph.count("\n")
    return []


def _tangle(where: Where) -> Problem:
    return Problem(
        where=where,
        code="conclusions/brackets",
        severity=Severity.ERROR,
        found="brackets, emphasis or lists in hundreds, or nested in hundreds",
        expected="Markdown that a person would write",
        do="take the tangle apart",
    )


def _html(text: str, pages: frozenset[str] | None) -> str:
    # Tags are the author's text, not ours to run: what looks like one is shown.
    escaped = re.sub(r"&(?!#?\w+;)", "&amp;", text).replace("<", "&lt;")
    return markdown.markdown(
        escaped, extensions=["tables", "sane_lists", _Harmless(pages)], output_format="html"
    )


def _is_safe_link(target: str, pages: frozenset[str] | None) -> bool:
    """Whether a link leads to a page of this site or openly to another."""
    if MARK in target:
        return False
    try:
        parts = urlsplit(target.strip())
    except ValueError:
        return False
    if parts.scheme:
        return parts.scheme.lower() in OUTSIDE and bool(parts.netloc or parts.path)
    if pages is None or parts.netloc:
        return False
    return not parts.path or parts.path in pages


class _Harmless(Extension):
    def __init__(self, pages: frozenset[str] | None) -> None:
        super().__init__()
        self._pages = pages

    def extendMarkdown(self, md: markdown.Markdown) -> None:  # noqa: N802 - Markdown's name
        md.preprocessors.deregister("html_block")
        md.inlinePatterns.deregister("html")
        md.treeprocessors.register(_HarmlessLinks(md, self._pages), "harmless-links", 0)


class _HarmlessLinks(Treeprocessor):
    """Drop links that run or lead nowhere, and pictures, which could call elsewhere."""

    def __init__(self, md: markdown.Markdown, pages: frozenset[str] | None) -> None:
        super().__init__(md)
        self._pages = pages

    def run(self, root: ET.Element) -> None:
        for element in root.iter():
            if element.tag == "a":
                self._keep_if_safe(element)
            elif element.tag == "img":
                label = element.get("alt", "")
                element.attrib.clear()
                element.tag = "span"
                element.text = label
            elif element.tag == "h1":
                # The page has its own title; the author's headings stand below it.
                element.tag = "h2"

    def _keep_if_safe(self, link: ET.Element) -> None:
        link.attrib.pop("title", None)
        if not _is_safe_link(link.get("href", ""), self._pages):
            link.attrib.pop("href", None)
