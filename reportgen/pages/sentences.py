"""Sentences bound to figures: shown with figures that open, or written for an author to edit."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from markupsafe import Markup, escape

from reportgen.errors import PageError
from reportgen.pages.context import Context

_MARKDOWN = re.compile(r"([\\`*_{}\[\]#|])")
"""Characters that mean something to Markdown, or to a call of a figure."""


@dataclass(frozen=True, slots=True)
class Called:
    """A figure in a sentence, by its name."""

    name: str


@dataclass(frozen=True, slots=True)
class Sentence:
    """A text of the catalogue with its placeholders filled: by texts, figures, or other sentences.

    `count` picks the form for one or for several, and fills {n}.
    """

    key: str
    values: Mapping[str, str | Called | Sentence] = field(default_factory=dict)
    count: int | None = None


def sentence(key: str, *, count: int | None = None, **values: str | Called | Sentence) -> Sentence:
    """Return the sentence of a key with its values."""
    return Sentence(key, values, count)


def as_html(context: Context, said: Sentence, up: str = "") -> Markup:
    """Return a sentence for a page; each figure in it opens. `up` leads to the site's root."""

    def shown(value: str | Called | Sentence) -> Markup:
        if isinstance(value, Called):
            return context.renderer.figure(context.figures.view(value.name), up)
        return as_html(context, value, up) if isinstance(value, Sentence) else escape(value)

    template = Markup(escape(_template(context, said)))  # noqa: S704 - escaped in the same breath
    return Markup(_filled(template, said, shown))  # noqa: S704 - markup filled with markup


def as_markdown(context: Context, said: Sentence) -> str:
    """Return a sentence as the author would write it, figures called by name."""

    def written(value: str | Called | Sentence) -> str:
        if isinstance(value, Called):
            return f'{{{{ figure("{value.name}") }}}}'
        if isinstance(value, Sentence):
            return as_markdown(context, value)
        return _MARKDOWN.sub(r"\\\1", value.replace("&", "&amp;").replace("<", "&lt;"))

    return _filled(_template(context, said), said, written)


def _template(context: Context, said: Sentence) -> str:
    if said.count is None:
        return context.words.template(said.key)
    return context.words.template(f"{said.key}.{'one' if said.count == 1 else 'other'}")


def _filled(template: str, said: Sentence, write: Callable[[str | Called | Sentence], str]) -> str:
    values = {name: write(value) for name, value in said.values.items()}
    if said.count is not None:
        values["n"] = f"{said.count:,}".replace(",", "\u202f")
    try:
        return template.format(**values)
    except KeyError as error:
        raise PageError(f"wording {said.key}: nothing is known of {error}") from None
