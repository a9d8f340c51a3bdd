"""The words of a first description and of first conclusions."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import PurePosixPath

from reportgen.read.column_words import LogGuess, Places
from reportgen.read.description_checks import GAP
from reportgen.read.description_schema import FieldName
from reportgen.read.photo_folder import unique_keys

_HEAD = """\
# yaml-language-server: $schema=campaign.schema.json
#
# What was set up, walked and recorded. Every key is explained in campaign-keys.md.
# Fill in what is marked FILL IN, then run `reportgen check` on this folder: it names what is
# still missing, line by line. Identifiers stand in quotes. Leave out what you don't know:
# nothing is computed from a guess.

title:  # FILL IN: the question or the name of the campaign
summary: ""  # FILL IN: what was done and why, in a few sentences
network: ""  # FILL IN: the community network it was done for
authors: []  # FILL IN: who did it, such as [A. Walker, B. Climber]
data_licence: ""  # FILL IN: such as CC BY 4.0
time_zone:  # FILL IN: zone of all times without one of their own, such as Europe/Lisbon

radio:
  frequency_mhz:  # FILL IN: the middle of the channels used
  bandwidth_khz:  # FILL IN
  spreading_factors: []  # FILL IN for LoRa, such as [7, 9, 12]
  regional_plan:  # FILL IN for LoRaWAN: EU868, US915, AU915 or AS923
  payload_bytes:  # FILL IN
  interval_s:  # FILL IN: time between two frames of a node
"""

_STATION = """\
    antenna_height_m:  # FILL IN: above the ground at its foot
    ground_height_m:  # that ground above mean sea level
    transmit_power_dbm:  # FILL IN: at the radio's connector
    noise_figure_db:  # FILL IN: of its receiver; 6 dB is common for such radios
    antenna:
      name: ""  # FILL IN
      gain_dbi:  # FILL IN
    feeder:  # FILL IN; delete these lines where the antenna sits on the radio
      cable: ""
      length_m:
      loss_per_100m_db:
      connectors_loss_db:
    # vswr: {value: 1.5, measured_at: radio}  # an analyser reading; or measured_at: antenna
"""

_POSITION = """\
    position:  # delete these three lines where it is not known
      latitude_deg:  # FILL IN: of the antenna, in degrees, north positive
      longitude_deg:  # FILL IN: east positive
"""

_NODE = """\
    transmit_power_dbm:  # FILL IN
    noise_figure_db:  # FILL IN: of its receiver
    antenna:
      name: ""  # FILL IN
      gain_dbi:  # FILL IN
    carried_height_m:  # FILL IN: antenna above the ground while walking
"""

_PUBLISH = """
publish:
  # How much the site tells of where the station stands: of where somebody lives, mostly.
  #   exact: everything as recorded. moved: the whole campaign shifted together, without overlays
  #   and tiles; the shape of the walks may still betray the place. coarse: no positions, and
  #   distances and levels as aggregates of whole walks only.
  # `reportgen check` prints how near to the station somebody comes by what is published.
  place: moved
"""

_CONCLUSIONS = """\
<!--
Your conclusions, in Markdown. Notes like this one, between the two marks, are not published.
While nothing else stands in this file, the site shows drafts made from the figures.

Call a figure by its name, on one line, and the site writes its value with unit and provenance:

    The station heard {{ figure("walk.<walk>.station.<station>.delivery_ratio") }} of the frames.

Put your own keys in place of <walk> and <station>, as they stand in campaign.yaml. All names are
listed in data/figures.json of a built site; a wrong name is reported with the nearest ones.

Write below each question what the figures and your own eyes say.
-->

<!-- Where does the station reach, and how far out was it tested at all? -->

<!-- Where does it not reach, and why: what stood in the way? Which photo shows it? -->

<!-- Which antenna or setting was better, by how much, and was it the only thing that changed? -->

<!-- What was not tested: directions nobody walked, seasons, heights, buildings? -->

<!-- What should be done next, and by whom? -->
"""

_FIELD_NAMES: tuple[FieldName, ...] = (
    "time",
    "node",
    "station",
    "counter",
    "data_rate",
    "rssi_dbm",
    "snr_db",
    "latitude_deg",
    "longitude_deg",
)
"""Fields that a log should have, where it can."""
_OF_FRAMES_HEARD = ("station", "rssi_dbm", "snr_db")
_SENT_WORDS = frozenset(("sent", "tx", "transmitted", "sender", "sending"))
"""Words in the name of a node's own log (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FolderContents:
    """What was found in a folder. Photos are file names within `photo_folder`."""

    logs: tuple[LogGuess, ...]
    tracks: tuple[str, ...]
    photo_folder: str
    photos: tuple[str, ...]
    cameras: tuple[str, ...]


def conclusions_text() -> str:
    """Return a conclusions file that asks a reader's questions and publishes nothing yet."""
    return _CONCLUSIONS


def description_text(contents: FolderContents) -> str:
    """Return a description with everything that was found and the gaps marked."""
    stations = _all(log.station_ids for log in contents.logs) or [GAP if contents.logs else ""]
    nodes = _all(log.node_ids for log in contents.logs)
    formats = _formats(contents.logs)
    lines = [
        *_station_lines(stations),
        *_node_lines(nodes),
        *_format_lines(formats),
        *_walk_lines(contents, nodes, formats),
        *_photo_lines(contents),
        _PUBLISH.rstrip(),
    ]
    return _HEAD + "\n".join(lines) + "\n"


def _all(groups: Iterable[tuple[str, ...]]) -> list[str]:
    return list(dict.fromkeys(identifier for group in groups for identifier in group))


def _quoted(text: str | int) -> str:
    # What JSON writes, YAML 1.2 reads.
    return json.dumps(text, ensure_ascii=not str(text).isprintable())


def _station_lines(ids: list[str]) -> Iterator[str]:
    yield "\nstations:"
    # Who heard the nodes alone is most likely the author's; of several, nobody can know.
    own = "true" if len(ids) < 2 else "false"
    for number, identifier in enumerate(ids, start=1):
        yield f"  station-{number}:"
        yield f'    name: "Station {number}"  # FILL IN'
        yield f"    own: {own}  # FILL IN: true if the station is yours, false if it is not"
        yield f"    ids: [{_quoted(identifier) if identifier else ''}]  # as the logs write it"
        yield _POSITION + _STATION.rstrip()


def _node_lines(ids: list[str]) -> Iterator[str]:
    yield "\nnodes:" + ("  # FILL IN: delete those that were not carried" if len(ids) > 1 else "")
    for number, identifier in enumerate(ids or [""], start=1):
        yield f"  node-{number}:"
        yield f'    name: "Node {number}"  # FILL IN'
        yield f"    ids: [{_quoted(identifier) if identifier else ''}]"
        yield _NODE.rstrip()


_Layout = tuple[object, ...]


def _layout(log: LogGuess) -> _Layout:
    """Return what logs of one format have in common."""
    return (
        log.kind,
        log.has_header,
        log.decimal,
        log.receptions,
        log.fields,
        log.from_record,
        log.time_format,
    )


def _formats(logs: Iterable[LogGuess]) -> dict[_Layout, tuple[str, LogGuess]]:
    """Return the distinct formats with their names and the first log of each."""
    formats: dict[_Layout, tuple[str, LogGuess]] = {}
    for log in logs:
        formats.setdefault(_layout(log), (f"format-{len(formats) + 1}", log))
    return formats


def _format_lines(formats: dict[_Layout, tuple[str, LogGuess]]) -> Iterator[str]:
    yield "\nlog_formats:" + ("" if formats else " {}  # FILL IN: how the columns of a log map")
    for name, log in formats.values():
        yield f"  {name}:  # as in {_quoted(log.path)}, which begins: {_quoted(log.sample)}"
        yield f"    kind: {log.kind}"
        if log.kind == "csv":
            yield f"    header: {'true' if log.has_header else 'false'}"
            yield f"    decimal: {_quoted(log.decimal)}"
        elif log.receptions:
            yield f"    receptions: {_quoted(log.receptions)}"
        if log.time_format:
            yield f"    time_format: {_quoted(log.time_format)}"
        else:
            yield "    time_format: iso  # FILL IN: epoch_s, or a pattern such as '%d.%m.%Y %H:%M'"
        if _is_sent(log):
            yield "    rows_are: frames sent  # FILL IN: delete it if stations wrote the log"
        else:
            yield "    levels_measured_at: station  # FILL IN: node if the nodes wrote the log"
        yield from _field_lines(log)


def _is_sent(log: LogGuess) -> bool:
    """Whether a log seems to be a node's own: nothing in it that only a receiver knows.

    And counters, or a name that says so: a log of few known columns can be anybody's.
    """
    fields = {field for field, _ in log.fields}
    if fields.intersection(_OF_FRAMES_HEARD):
        return False
    words = re.split(r"[^a-z]+", PurePosixPath(log.path).stem.lower())
    return {"time", "counter"} <= fields or not _SENT_WORDS.isdisjoint(words)


def _field_lines(log: LogGuess) -> Iterator[str]:
    known = dict(log.fields)
    yield "    fields:" + ("" if known else "  # FILL IN: the columns of at least time and RSSI")
    for field, places in known.items():
        yield f"      {field}: {_place(places, log, is_outer=field in log.from_record)}"
    missing = [field for field in _FIELD_NAMES if field not in known]
    if _is_sent(log):
        missing = [field for field in missing if field not in _OF_FRAMES_HEARD]
    elif known and "station" not in known:
        missing.remove("station")
        yield f"      station: {{value: {_quoted(GAP)}}}  # the column or value that says who heard"
    if missing:
        yield f"      # FILL IN where the log has them: {', '.join(missing)}"
    if log.others:
        yield f"      # not used yet: {', '.join(log.others)}"


def _place(places: Places, log: LogGuess, *, is_outer: bool) -> str:
    if len(places) > 1:
        return f"{{columns: [{', '.join(_quoted(place) for place in places)}]}}"
    place = _quoted(places[0])
    if is_outer:
        return f"{{pointer: {place}, from_record: true}}"
    # A bare text that begins with a slash would be taken for a pointer.
    is_doubtful = log.kind == "csv" and str(places[0]).startswith("/")
    return f"{{column: {place}}}" if is_doubtful else place


def _walk_lines(
    contents: FolderContents, nodes: list[str], formats: dict[_Layout, tuple[str, LogGuess]]
) -> Iterator[str]:
    names = [log.path for log in contents.logs] or list(contents.tracks)
    yield "\nwalks:" + ("" if names else " {}  # FILL IN: one entry per outing")
    keys = unique_keys(names, "walk")
    tracks = _tracks_of(names, contents.tracks)
    by_path = {log.path: log for log in contents.logs}
    for name in names:
        log = by_path.get(name)
        yield f"  {keys[name]}:"
        yield f"    title: {_quoted(PurePosixPath(name).stem)}  # FILL IN"
        yield '    route: ""  # FILL IN: one name for walks of the same route'
        carried = nodes.index(log.node_ids[0]) + 1 if log and log.node_ids else 1
        yield f"    nodes: [node-{carried}]  # FILL IN: the nodes that were carried"
        if log is not None:
            yield "    logs:"
            yield f"      - file: {_quoted(name)}"
            yield f"        format: {formats[_layout(log)][0]}"
        yield f"    tracks: [{', '.join(_quoted(track) for track in tracks[name])}]"
        yield "    factors: {}  # FILL IN: what was set on purpose, such as {antenna: whip}"


def _tracks_of(walks: list[str], tracks: Iterable[str]) -> dict[str, list[str]]:
    """Return the tracks of each walk: by the same stem, else for the first walk to sort out."""
    found: dict[str, list[str]] = {name: [] for name in walks}
    for track in tracks:
        stem = PurePosixPath(track).stem.casefold()
        alike = [name for name in walks if PurePosixPath(name).stem.casefold() == stem]
        found[alike[0] if alike else walks[0]].append(track)
    return found


def _photo_lines(contents: FolderContents) -> Iterator[str]:
    yield "\nphotos:"
    if contents.photos:
        yield f"  folder: {_quoted(contents.photo_folder)}"
    else:
        yield "  # folder: photos  (FILL IN: the folder of the JPEG and HEIC files)"
    yield "  cameras:" + ("" if contents.cameras else " []")
    for camera in contents.cameras:
        yield f"    - camera: {_quoted(camera)}"
        yield "      # clock_ahead_s: 0  (FILL IN: how far its clock ran ahead of the true time)"
    yield "  files:" + ("" if contents.photos else " {}")
    for name in contents.photos:
        yield f"    {_quoted(name)}:"
        yield '      caption: ""  # FILL IN: what it shows'
        yield '      sight_line: ""  # FILL IN: clear, partly blocked or blocked'
