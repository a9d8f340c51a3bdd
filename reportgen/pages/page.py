"""What the page layer hands to the site layer."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One page: its source path such as ``walks/quay.md``, its title as plain text, its Markdown.

    `has_charts` tells whether the page needs the chart library.
    """

    path: str
    title: str
    markdown: str
    description: str = ""
    has_charts: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """An entry of the navigation: one page, or a heading with pages below it."""

    title: str
    pages: tuple[str, ...]
    """Source paths; a section of one page without own heading is a plain entry."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asset:
    """A file that is copied as it is, such as a picture or a download."""

    path: str
    content: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteContent:
    """A whole site before it is built. All texts are plain, unescaped text."""

    title: str
    description: str
    network: str
    language: str
    pages: tuple[Page, ...]
    navigation: tuple[Section, ...]
    assets: tuple[Asset, ...]
    as_of_utc: dt.datetime | None
    """The report's own date: time of the newest record, so that builds are repeatable."""
    picture_source: str = ""
    """Scheme and host that a reader may have pictures fetched from; blank: none."""
