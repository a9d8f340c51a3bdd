"""Walks, and the files that belong to them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """One thing that was set on purpose for a walk: its name and its value, as text."""

    name: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """One outing. `nodes` are keys of nodes, in the author's order.

    `start_utc` and `end_utc` are limits that the author set (None: all of the files).
    """

    key: str
    title: str
    summary: str = ""
    route: str = ""
    nodes: tuple[str, ...] = ()
    factors: tuple[Factor, ...] = ()
    logs: tuple[str, ...] = ()
    tracks: tuple[str, ...] = ()
    start_utc: dt.datetime | None = None
    end_utc: dt.datetime | None = None
