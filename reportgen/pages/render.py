"""Fills the templates: everything is escaped unless a component made it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined, TemplateError
from markupsafe import Markup

from reportgen.errors import PageError
from reportgen.pages.words import Words

_OPENING = re.compile(r' (popovertarget|popover id)="how-(\d+)"')


@dataclass(frozen=True, slots=True)
class Renderer:
    """A template folder ready to be filled."""

    environment: Environment
    words: Words

    def page(self, template: str, view: object) -> str:
        """Return the Markdown of a page: one block of HTML that Markdown passes through.

        Raises
        ------
        PageError
            If the template can't be read, or asks for what the view does not hold.
        """
        try:
            text = self.environment.get_template(f"pages/{template}").render(
                view=view, w=self.words.groups
            )
        except TemplateError as error:
            raise PageError(f"template {template}: {error}") from error
        # A blank line could end the block for a stricter Markdown reader.
        whole = "\n".join(line for line in text.splitlines() if line.strip()) + "\n"
        return numbered_from_one(whole)

    def figure(self, view: object, up: str) -> Markup:
        """Return one figure for the author's own text."""
        module = self.environment.get_template("components/figure.html.jinja").module
        return Markup(module.linked(view, up))  # type: ignore[attr-defined]  # noqa: S704 - escaped by the macro


def numbered_from_one(page: str) -> str:
    """Return a page whose figures that open are numbered from 1, whatever was rendered before."""
    numbers: dict[str, int] = {}
    return _OPENING.sub(
        lambda found: f' {found[1]}="how-{numbers.setdefault(found[2], len(numbers) + 1)}"', page
    )


def renderer(folder: Path, words: Words) -> Renderer:
    """Return a renderer for a template folder."""
    environment = Environment(
        loader=FileSystemLoader(folder, encoding="utf-8"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=False,
    )
    return Renderer(environment, words)
