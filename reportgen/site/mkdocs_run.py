"""Drives MkDocs through its programming interface, quietly and strictly."""

from __future__ import annotations

import datetime as dt
import io
import logging
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from importlib.resources import files
from pathlib import Path

from jinja2 import TemplateError
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import MkDocsException

from reportgen.errors import SiteError
from reportgen.pages.page import Section, SiteContent
from reportgen.site.docs_tree import SEARCH_WORKER, DocsTree, plain

_EPOCH = "SOURCE_DATE_EPOCH"
_SEARCH = "material/search"
# Blanks and punctuation part words, a point only where no digit follows: 868.1 is one word.
_SEPARATOR = r"[\s\-\u2011/,:;()\[\]\"\u201c\u201d]+|\.(?!\d)"


def run_mkdocs(
    content: SiteContent,
    tree: DocsTree,
    site: Path,
    *,
    theme: Path,
    labels: Mapping[str, str],
) -> tuple[str, ...]:
    """Build the docs tree into `site`.

    Parameters
    ----------
    content : SiteContent
    tree : DocsTree
        What was written for MkDocs to read.
    site : Path
        Folder to build into; does not exist yet.
    theme : Path
        Folder of our overrides of the theme.
    labels : mapping of str to str
        Plain wording of the frame around every page.

    Returns
    -------
    tuple of str
        Languages that the search needs word lists for.

    Raises
    ------
    SiteError
        With every warning and error that MkDocs gave.
    """
    with _captured_log() as messages, _source_date(content.as_of_utc):
        try:
            settings = _settings(content, tree, site, theme=theme, labels=labels)
            # The empty file keeps MkDocs from looking for one where the command was started.
            config = load_config(io.BytesIO(b"{}"), **settings)  # type: ignore[arg-type]
            config.plugins.on_startup(command="build", dirty=False)
            try:
                build(config)
            finally:
                config.plugins.on_shutdown()
        except (MkDocsException, TemplateError) as error:
            raise SiteError(_report([*messages, str(error)])) from error
        if messages:
            raise SiteError(_report(messages))
    return _search_languages(config)


def _settings(
    content: SiteContent,
    tree: DocsTree,
    site: Path,
    *,
    theme: Path,
    labels: Mapping[str, str],
) -> dict[str, object]:
    return {
        "strict": True,
        "site_name": plain(content.title) or "-",
        "site_description": plain(content.description),
        "docs_dir": str(tree.folder),
        "site_dir": str(site),
        "use_directory_urls": False,
        "nav": _navigation(content),
        "not_in_nav": "*.md",
        "validation": {"links": {"anchors": "warn"}},
        "theme": {
            "name": "material",
            "custom_dir": str(theme),
            "language": _theme_language(content.language),
            "font": False,
            "palette": {"scheme": "default", "primary": "custom", "accent": "custom"},
            "features": [],
        },
        "plugins": [{"search": {"separator": _SEPARATOR}}, {"offline": {}}],
        "markdown_extensions": ["attr_list", "md_in_html", "tables", "toc", "admonition"],
        "extra_css": list(tree.style_sheets),
        "extra_javascript": list(tree.scripts),
        "extra": {
            "polyfills": [SEARCH_WORKER],
            "network": plain(content.network),
            "picture_source": plain(content.picture_source),
            "labels": {key: plain(text) for key, text in labels.items()},
        },
    }


def _navigation(content: SiteContent) -> list[dict[str, object]]:
    titles = {page.path: plain(page.title) for page in content.pages}
    return [_entry(section, titles) for section in content.navigation]


def _entry(section: Section, titles: Mapping[str, str]) -> dict[str, object]:
    if len(section.pages) == 1:
        return {plain(section.title): section.pages[0]}
    # A page that does not exist keeps its path as its title, for MkDocs to complain about.
    return {plain(section.title): [{titles.get(path, path): path} for path in section.pages]}


def _theme_language(language: str) -> str:
    """Return the language if the theme speaks it, else English, in which it speaks by default."""
    known = files("material").joinpath("templates", "partials", "languages")
    return language if known.joinpath(f"{language}.html").is_file() else "en"


def _search_languages(config: MkDocsConfig) -> tuple[str, ...]:
    plugin = config.plugins[_SEARCH]
    return tuple(str(language) for language in plugin.config.lang or ())


def _report(messages: list[str]) -> str:
    lines = dict.fromkeys(message.strip() for message in messages if message.strip())
    return "\n".join(("the site could not be built:", *(f"  - {line}" for line in lines)))


class _Collector(logging.Handler):
    """Keeps the text of every record of level warning and above."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.messages: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Keep a record's text."""
        self.messages.append(record.getMessage())


@contextmanager
def _captured_log() -> Iterator[list[str]]:
    logger = logging.getLogger("mkdocs")
    collector, propagate, level = _Collector(), logger.propagate, logger.level
    logger.addHandler(collector)
    logger.propagate = False
    logger.setLevel(logging.INFO)
    try:
        yield collector.messages
    finally:
        logger.removeHandler(collector)
        logger.propagate, logger.level = propagate, level


@contextmanager
def _source_date(as_of_utc: dt.datetime | None) -> Iterator[None]:
    """Set the date that builds are stamped with, unless the caller's surroundings set one."""
    if as_of_utc is None or _EPOCH in os.environ:
        yield
        return
    os.environ[_EPOCH] = str(int(as_of_utc.timestamp()))
    try:
        yield
    finally:
        os.environ.pop(_EPOCH, None)
