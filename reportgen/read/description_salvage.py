"""What can still be understood of a description with faults.

It is good for one thing: trying the files that it names, so that one run shows their faults, too.
"""

from __future__ import annotations

import codecs
import copy
import json
import zoneinfo
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pydantic import ValidationError

from reportgen.errors import CampaignError, Where
from reportgen.read.description_schema import Description, LogFormatPart, LogPart, WalkPart
from reportgen.read.field_sources import field_sources
from reportgen.read.local_time import utc_of_local
from reportgen.read.yaml_text import KeyPath, YamlDocument

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

_MOST_ROUNDS = 12
"""Leaving out a value can leave its parent without what it needs, and so on up to the top."""

_STAND_INS: Mapping[str, object] = {
    "title": "?",
    "time_zone": "UTC",
    "stations": {"none": {"name": "?"}},
    "nodes": {"none": {"name": "?"}},
}
_ROWS_HANG_ON = ("time_zone", "radio")


@dataclass(frozen=True, slots=True, kw_only=True)
class Salvage:
    """A description without its faults; rows need not be readable by what is left of it."""

    description: Description
    are_rows_readable: bool


def salvaged(document: YamlDocument, details: Iterable[ErrorDetails]) -> Salvage | None:
    """Return the description without the parts that are complained of, None if nothing is left.

    Parameters
    ----------
    document : YamlDocument
        Its value holds keys.
    details : iterable of ErrorDetails
        What is wrong with it.
    """
    value = copy.deepcopy(document.value)
    are_rows_readable = True
    for _ in range(_MOST_ROUNDS):
        details = list(details)
        # A key that means nothing hangs on nothing: without it the rest may be whole.
        unknown = [detail for detail in details if detail["type"] == "extra_forbidden"]
        for detail in unknown or details:
            path = _cut(value, document.part_of(detail["loc"]), str(detail["loc"][-1]))
            are_rows_readable &= bool(unknown) or path[:1] not in {(key,) for key in _ROWS_HANG_ON}
        try:
            description = Description.model_validate_json(json.dumps(value), strict=True)
            return Salvage(description=description, are_rows_readable=are_rows_readable)
        except ValidationError as error:
            details = error.errors(include_url=False)
    return None


def _cut(value: object, path: KeyPath, missing: str) -> KeyPath:
    """Leave out what stands at a path, a list as a whole; return the path that was left out."""
    while path and isinstance(path[-1], int):
        path = path[:-1]
    path = path or (missing,)
    parent = value
    for step in path[:-1]:
        if isinstance(parent, dict):
            parent = parent.get(step)
        elif isinstance(parent, list) and isinstance(step, int) and step < len(parent):
            parent = parent[step]
    if isinstance(parent, dict):
        parent.pop(path[-1], None)
        if len(path) == 1 and path[0] in _STAND_INS:
            parent[path[0]] = _STAND_INS[str(path[0])]
    return path


def without_bad_times(description: Description) -> Description:
    """Return the description with zones and times that can't be read left out."""
    known = zoneinfo.available_timezones()
    zone = description.time_zone if description.time_zone in known else "UTC"
    walks = {
        key: walk.model_copy(
            update={name: None for name in ("start", "end") if not _is_time(walk, name, zone)}
        )
        for key, walk in description.walks.items()
    }
    return description.model_copy(update={"time_zone": zone, "walks": walks})


def _is_time(walk: WalkPart, name: str, zone: str) -> bool:
    try:
        utc_of_local(getattr(walk, name), zoneinfo.ZoneInfo(zone), Where(path=""))
    except CampaignError:
        return False
    return True


def can_read_rows(log: LogPart, walk: WalkPart, description: Description) -> bool:
    """Return whether a log's format and nodes are described; in a sound description they are."""
    formats = description.log_formats
    name = log.format or (next(iter(formats)) if len(formats) == 1 else "")
    is_known = name in formats and all(node in description.nodes for node in walk.nodes)
    return is_known and _is_sound(formats[name])


def _is_sound(log_format: LogFormatPart) -> bool:
    zone = log_format.time_zone
    try:
        field_sources(log_format, Where(path=""))
        codecs.lookup(log_format.encoding or "utf-8")
    except (CampaignError, LookupError, ValueError):
        return False
    return zone is None or zone in zoneinfo.available_timezones()
