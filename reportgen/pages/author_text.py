"""The author's own Markdown: figures called by name, everything else shown as text."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from xml.etree import ElementTree as ET

import markdown
from jinja2 import StrictUndefined, TemplateError, TemplateSyntaxError
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markdown.extensions import Extension
from markdown.treeprocessors import Treeprocessor
from markupsafe import Markup

from reportgen.errors import Problem, Severity, Where
from reportgen.results.figure import FigureBook, UnknownFigureError

MARK = "\ue000"
"""Private-use character around the number of a figure while Markdown is at work."""
SAFE_LINK = re.compile(r"^(https?:|mailto:|#|[\w./-]+\.html)", re.IGNORECASE)

PROBLEM_CODES = (
    ("conclusions/unknown-figure", "The conclusions call a figure that does not exist."),
    ("conclusions/template", "A {{ … }} of the conclusions can't be read."),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class AuthorText:
    """The rendered text, or the problems that stand in its way."""

    html: str | None
    problems: tuple[Problem, ...] = ()


def author_text(
    text: str, path: str, book: FigureBook, show: Callable[[str], Markup]
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
    """
    problems: list[Problem] = []
    called: list[str] = []
    lines = [
        _with_marks(line, Where(path=path, line=number), book, called, problems)
        for number, line in enumerate(text.splitlines(), start=1)
    ]
    if problems:
        return AuthorText(html=None, problems=tuple(problems))
    body = _html("\n".join(lines))
    return AuthorText(
        html=re.sub(f"{MARK}(\\d+){MARK}", lambda found: show(called[int(found[1])]), body)
    )


def _with_marks(
    line: str, where: Where, book: FigureBook, called: list[str], problems: list[Problem]
) -> str:
    """Put a mark in place of each figure called in a line."""
    line = line.replace(MARK, "")
    if "{{" not in line and "{%" not in line:
        return line

    def figure(name: str) -> str:
        book[name]
        called.append(name)
        return f"{MARK}{len(called) - 1}{MARK}"

    environment = ImmutableSandboxedEnvironment(undefined=StrictUndefined, autoescape=False)
    environment.globals.clear()
    environment.filters.clear()
    try:
        return str(environment.from_string(line).render(figure=figure))
    except UnknownFigureError as error:
        nearest = ", ".join(error.nearest) or "none is like it"
        problems.append(
            Problem(
                where=where,
                code="conclusions/unknown-figure",
                severity=Severity.ERROR,
                found=f'figure("{error.name}")',
                expected=f"the name of a figure; nearest: {nearest}",
                do="correct the name; data/figures.json of a built site lists them all",
            )
        )
    except (TemplateError, TypeError, ArithmeticError, ValueError) as error:
        detail = error.message if isinstance(error, TemplateSyntaxError) else str(error)
        problems.append(
            Problem(
                where=where,
                code="conclusions/template",
                severity=Severity.ERROR,
                found=f"{line.strip()[:120]} ({detail})",
                expected='{{ figure("name") }} and nothing else between the braces, on one line',
                do="correct the call, or write the braces as &#123;&#123;",
            )
        )
    return ""


def _html(text: str) -> str:
    # Tags are the author's text, not ours to run: what looks like one is shown.
    escaped = re.sub(r"&(?!#?\w+;)", "&amp;", text).replace("<", "&lt;")
    return markdown.markdown(
        escaped, extensions=["tables", "sane_lists", _Harmless()], output_format="html"
    )


class _Harmless(Extension):
    def extendMarkdown(self, md: markdown.Markdown) -> None:  # noqa: N802 - Markdown's name
        md.preprocessors.deregister("html_block")
        md.inlinePatterns.deregister("html")
        md.treeprocessors.register(_HarmlessLinks(md), "harmless-links", 0)


class _HarmlessLinks(Treeprocessor):
    """Drop links that run or leave by odd ways, and pictures, which could call elsewhere."""

    def run(self, root: ET.Element) -> None:
        for element in root.iter():
            if element.tag == "a" and not SAFE_LINK.match(element.get("href", "").strip()):
                element.attrib.pop("href", None)
            elif element.tag == "img":
                label = element.get("alt", "")
                element.attrib.clear()
                element.tag = "span"
                element.text = label
            elif element.tag == "h1":
                # The page has its own title; the author's headings stand below it.
                element.tag = "h2"
