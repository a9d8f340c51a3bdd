"""What the parts of a description must say together: names that exist, clocks that can be read."""

from __future__ import annotations

import codecs
import zoneinfo
from collections.abc import Iterator

from reportgen.errors import CampaignError, Problem, Severity, Where
from reportgen.read.description_comparison_checks import comparison_problems
from reportgen.read.description_overlay_checks import overlay_problems
from reportgen.read.description_problem import Locate, description_problem, unknown_name
from reportgen.read.description_publish_checks import publish_problems
from reportgen.read.description_radio_checks import radio_problems
from reportgen.read.description_schema import Description, LogPart
from reportgen.read.field_sources import field_sources
from reportgen.read.local_time import utc_of_local
from reportgen.read.pictures import can_write
from reportgen.read.suggestion import nearest_advice
from reportgen.read.yaml_text import KeyPath, dotted

PROBLEM_CODES = (
    ("description/no-own-station", "No station is marked as the campaign's own."),
    ("description/no-position", "An own station has no position, so no distance can be computed."),
    ("description/time-zone", "A time zone is no IANA name."),
    ("description/time", "The start or end of a walk can't be read as a local time."),
    ("description/unknown-node", "A walk or a comparison names a node that is not described."),
    ("description/unknown-format", "A log names a format that is not described."),
    ("description/format-left-out", "A log names no format where there is not exactly one."),
    ("description/unknown-walk", "A photo or a comparison names a walk that is not described."),
    ("description/same-id", "One identifier stands for two radios."),
    ("description/node-without-id", "A walk's nodes can't be told apart in its logs."),
    ("description/no-walks", "No walk is described, or one without any file."),
    ("description/same-camera", "A camera's clock is described twice."),
    ("description/encoding", "The encoding of a log format does not exist."),
    ("description/picture-format", "This computer can't write pictures of the format asked for."),
    ("description/gap", "A gap of the starter description is not filled."),
)

GAP = "FILL IN"
"""Stands in a starter description where nothing could be worked out."""


def check_description(description: Description, locate: Locate) -> tuple[Problem, ...]:
    """Return every contradiction within a description, in the order of the file."""
    found = [
        problem
        for check in (
            _gaps,
            _stations,
            radio_problems,
            _identifiers,
            _zones,
            _formats,
            _walks,
            _walk_logs,
            _walk_times,
            _photos,
            _pictures,
            comparison_problems,
            overlay_problems,
            publish_problems,
        )
        for problem in check(description, locate)
    ]
    return tuple(sorted(found, key=lambda problem: problem.where))


def _gaps(description: Description, locate: Locate) -> Iterator[Problem]:
    """Yield every text that still stands where only the author knows what belongs there."""
    for path in _paths_of(description.model_dump(), GAP, ()):
        yield description_problem(
            locate(*path),
            "gap",
            f"{dotted(path)} is still {GAP}",
            "what only you know",
            "fill it in; campaign-keys.md says what it means",
        )


def _paths_of(value: object, text: str, path: KeyPath) -> Iterator[KeyPath]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _paths_of(inner, text, (*path, str(key)))
    elif isinstance(value, list | tuple):
        for index, inner in enumerate(value):
            yield from _paths_of(inner, text, (*path, index))
    elif value == text:
        yield path


def _stations(description: Description, locate: Locate) -> Iterator[Problem]:
    own = [key for key, station in description.stations.items() if station.own]
    if not own:
        yield description_problem(
            locate("stations"),
            "no-own-station",
            "no station with own: true",
            "at least one station of the campaign's own",
            "add own: true to your station, and leave other people's stations without it",
        )
    for key in own:
        if description.stations[key].position is None:
            yield description_problem(
                locate("stations", key),
                "no-position",
                f"no position of the own station {key}",
                "latitude and longitude of its antenna",
                "add position; until then no distance and no bearing can be computed",
                Severity.WARNING,
            )


def _identifiers(description: Description, locate: Locate) -> Iterator[Problem]:
    owners: dict[str, KeyPath] = {}
    for part in ("stations", "nodes"):
        described = description.stations if part == "stations" else description.nodes
        for key, radio in described.items():
            for index, identifier in enumerate(radio.ids):
                path: KeyPath = (part, key, "ids", index)
                # Logs and descriptions spell identifiers in either case; so they are compared.
                first = owners.setdefault(identifier.strip().casefold(), path)
                if first == path:
                    continue
                yield description_problem(
                    locate(*path),
                    "same-id",
                    f"the identifier {identifier} again, first in {dotted(first[:2])}",
                    "an identifier that stands for one radio",
                    "correct one of the two",
                )


def _zones(description: Description, locate: Locate) -> Iterator[Problem]:
    zones: list[tuple[KeyPath, str | None]] = [(("time_zone",), description.time_zone)]
    zones += [
        (("log_formats", key, "time_zone"), part.time_zone)
        for key, part in description.log_formats.items()
    ]
    zones += [
        (("photos", "cameras", index, "time_zone"), part.time_zone)
        for index, part in enumerate(description.photos.cameras)
    ]
    known = zoneinfo.available_timezones()
    for path, name in zones:
        if name is None or name in known:
            continue
        yield description_problem(
            locate(*path),
            "time-zone",
            f"the time zone {name or 'nothing'}",
            "a name of the IANA time zone database, such as Europe/Lisbon or UTC",
            _zone_advice(name, sorted(known)),
        )


def _zone_advice(name: str, known: list[str]) -> str:
    of_city = [zone for zone in known if zone.lower().endswith("/" + name.lower())]
    if of_city:
        return f"did you mean {of_city[0]}?"
    # An abbreviation near to another one is hours away from it: only places are offered.
    places = [zone for zone in known if "/" in zone and not zone.startswith("Etc/")]
    return nearest_advice(name, places) or "name the zone by continent and city"


def _formats(description: Description, locate: Locate) -> Iterator[Problem]:
    for key, part in description.log_formats.items():
        if part.encoding is not None and not _is_encoding(part.encoding):
            yield description_problem(
                locate("log_formats", key, "encoding"),
                "encoding",
                f"the encoding {part.encoding}",
                "the name of a text encoding, such as utf-8, utf-16 or cp1252",
                "correct the name, or leave the key out",
            )
        try:
            field_sources(part, locate("log_formats", key, "fields"))
        except CampaignError as error:
            yield from error.problems


def _is_encoding(name: str) -> bool:
    try:
        codecs.lookup(name)
    except (LookupError, ValueError):
        return False
    return True


def _walks(description: Description, locate: Locate) -> Iterator[Problem]:
    if not description.walks:
        yield _no_walks(locate("walks"), "no walks", "at least one walk with its log")
    for key, walk in description.walks.items():
        if not walk.logs and not walk.tracks:
            yield _no_walks(
                locate("walks", key), f"no files of the walk {key}", "its logs or its tracks"
            )
        for name in walk.node_changes:
            if name not in walk.nodes:
                yield unknown_name(
                    ("walks", key, "node_changes", name), name, list(walk.nodes), "node", locate
                )
        for index, name in enumerate(walk.nodes):
            if name not in description.nodes:
                yield unknown_name(
                    ("walks", key, "nodes", index), name, list(description.nodes), "node", locate
                )
            elif len(walk.nodes) > 1 and walk.logs and not description.nodes[name].ids:
                yield description_problem(
                    locate("nodes", name),
                    "node-without-id",
                    f"no identifier of the node {name}, which was not alone on the walk {key}",
                    "ids, by which the log tells the nodes apart",
                    "add the identifier that the log writes for it",
                    Severity.WARNING,
                )


def _no_walks(where: Where, found: str, expected: str) -> Problem:
    return description_problem(
        where,
        "no-walks",
        found,
        expected,
        "name its files under logs: and tracks:",
        Severity.WARNING,
    )


def _walk_logs(description: Description, locate: Locate) -> Iterator[Problem]:
    formats = list(description.log_formats)
    for key, walk in description.walks.items():
        for index, log in enumerate(walk.logs):
            path: KeyPath = ("walks", key, "logs", index)
            name = log.format if isinstance(log, LogPart) else None
            if name is not None and name not in formats:
                yield unknown_name((*path, "format"), name, formats, "format", locate)
            elif name is None and len(formats) != 1:
                yield description_problem(
                    locate(*path),
                    "format-left-out",
                    f"a log without format, and {len(formats) or 'no'} formats under log_formats",
                    "its format by name; it may be left out only where there is exactly one",
                    "describe the format under log_formats, and name it here",
                )


def _walk_times(description: Description, locate: Locate) -> Iterator[Problem]:
    if description.time_zone not in zoneinfo.available_timezones():
        return
    zone = zoneinfo.ZoneInfo(description.time_zone)
    for key, walk in description.walks.items():
        times = []
        for name, text in (("start", walk.start), ("end", walk.end)):
            try:
                times.append(utc_of_local(text, zone, locate("walks", key, name)))
            except CampaignError as error:
                yield from error.problems
        start, end = times if len(times) == 2 else (None, None)
        if start is not None and end is not None and end <= start:
            yield description_problem(
                locate("walks", key, "end"),
                "time",
                f"the end {walk.end}, not after the start {walk.start}",
                "an end after the start",
                "correct one of the two",
            )


def _photos(description: Description, locate: Locate) -> Iterator[Problem]:
    for name, photo in description.photos.files.items():
        if photo.walk is not None and photo.walk not in description.walks:
            yield unknown_name(
                ("photos", "files", name, "walk"),
                photo.walk,
                list(description.walks),
                "walk",
                locate,
            )
    seen: set[str] = set()
    for index, camera in enumerate(description.photos.cameras):
        if camera.camera in seen:
            yield description_problem(
                locate("photos", "cameras", index),
                "same-camera",
                f"the camera {camera.camera or '(every other camera)'} again",
                "each camera once",
                "remove one of the two",
            )
        seen.add(camera.camera)


def _pictures(description: Description, locate: Locate) -> Iterator[Problem]:
    wanted = description.publish.pictures
    if not can_write(wanted):
        yield description_problem(
            locate("publish", "pictures"),
            "picture-format",
            f"the format {wanted}, which the installed Pillow can't write",
            "a format that it can write; jpeg always is one",
            "write jpeg, or install a Pillow that has the other",
        )
