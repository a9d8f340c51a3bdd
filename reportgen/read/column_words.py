"""Common words for the columns of a log, and what their first cells look like.

Guesses are for the author to confirm: they are written into a starter description, never used
to read anything behind the author's back.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from reportgen.read.description_schema import FieldName

MOST_IDENTIFIERS = 8

Places = tuple[str | int, ...]
"""Headings, column numbers or pointers; several where date and time stand apart."""

Cells = Mapping[str | int, list[str]]
"""First cells of each column."""

# Common words for columns, blanks and punctuation taken out; common practice.
_WORDS: Mapping[FieldName, tuple[str, ...]] = {
    "time": (
        "time",
        "timestamp",
        "datetime",
        "receivedat",
        "rxtime",
        "timeutc",
        "ts",
        "date",
        "when",
        "sentat",
        "txtime",
    ),
    "node": ("node", "nodeid", "device", "deviceid", "deveui", "devaddr", "enddevice"),
    "station": ("station", "gateway", "gatewayid", "gatewayeui", "gweui", "gwid", "gw"),
    "counter": (
        "counter",
        "fcnt",
        "fcntup",
        "framecounter",
        "seq",
        "sequence",
        "packet",
        "frame",
        "number",
    ),
    "data_rate": ("datarate", "dr"),
    "spreading_factor": ("sf", "spreadingfactor"),
    "bandwidth_khz": ("bwkhz", "bandwidthkhz", "bw", "bandwidth"),
    "frequency_mhz": ("freqmhz", "frequencymhz", "freq", "frequency", "mhz"),
    "rssi_dbm": ("rssi", "rssidbm"),
    "snr_db": ("snr", "snrdb", "lsnr", "lorasnr"),
    "latitude_deg": ("lat", "latitude", "latitudedeg", "latdeg"),
    "longitude_deg": ("lon", "lng", "long", "longitude", "longitudedeg", "londeg"),
    "height_m": ("alt", "altitude", "altitudem", "height", "heightm", "elevation", "ele"),
    "position_error_m": ("accuracy", "accuracym", "hacc", "horizontalaccuracy", "positionerror"),
}
_IN_RANGE: Mapping[FieldName, tuple[float, float]] = {
    "bandwidth_khz": (1, 2000),
    "frequency_mhz": (30, 6000),
    "spreading_factor": (5, 12),
    "latitude_deg": (-90, 90),
    "longitude_deg": (-180, 180),
}
"""A column outside these is in another unit, or something else by the same name."""

_TIME_FORMATS = (
    (r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d", "iso"),
    (r"\d{10}(\.\d+)?$", "epoch_s"),
    (r"\d{13}$", "epoch_ms"),
    (r"\d\d\.\d\d\.\d{4} \d\d:\d\d:\d\d$", "%d.%m.%Y %H:%M:%S"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LogGuess:
    """How a log seems to be laid out.

    Attributes
    ----------
    fields : tuple of (field, places)
    from_record : tuple of FieldName
        Fields whose pointer starts at the whole record, in a log with receptions.
    time_format : str or None
        None: not recognised.
    others : tuple of str
        Headings or pointers whose meaning is not known.
    sample : str
        First row, for the author's eye.
    """

    path: str
    kind: str = "csv"
    has_header: bool = True
    decimal: str = "."
    receptions: str | None = None
    fields: tuple[tuple[FieldName, Places], ...] = ()
    from_record: tuple[FieldName, ...] = ()
    time_format: str | None = None
    others: tuple[str, ...] = ()
    node_ids: tuple[str, ...] = ()
    station_ids: tuple[str, ...] = ()
    sample: str = ""


def fields_by_words(columns: Cells, decimal: str) -> Iterator[tuple[FieldName, Places]]:
    """Yield the columns that go by a common word, each once."""
    by_word = {compact(name): name for name in reversed(list(columns))}
    if {"date", "time"} <= set(by_word):
        yield "time", (by_word.pop("date"), by_word.pop("time"))
        by_word = {word: name for word, name in by_word.items() if word not in _WORDS["time"]}
    for field, words in _WORDS.items():
        word = next((word for word in words if word in by_word), None)
        if word is not None and _fits(field, columns[by_word[word]], decimal):
            yield field, (by_word.pop(word),)


def compact(name: str | int) -> str:
    """Return a heading without case, blanks and punctuation."""
    return re.sub(r"[^a-z0-9]", "", str(name).lower())


def is_level_word(name: str) -> bool:
    """Return whether a name is one for the RSSI, which only receptions have."""
    return compact(name) in _WORDS["rssi_dbm"]


def joined_cells(places: Places, columns: Cells) -> list[str]:
    """Return the cells of the places, joined by a blank."""
    return [" ".join(cells) for cells in zip(*(columns[place] for place in places), strict=False)]


def time_format_of(texts: Sequence[str]) -> str | None:
    """Return how times are written, None where no known way fits them all."""
    for pattern, name in _TIME_FORMATS:
        if texts and all(re.match(pattern, text) for text in texts[:20] if text):
            return name
    return None


def identifiers(texts: Sequence[str]) -> tuple[str, ...]:
    """Return the identifiers among the cells, the commonest first."""
    counted = Counter(text for text in texts if text)
    return tuple(name for name, _ in counted.most_common(MOST_IDENTIFIERS))


def _fits(field: FieldName, cells: Sequence[str], decimal: str) -> bool:
    low, high = _IN_RANGE.get(field, (float("-inf"), float("inf")))
    for cell in cells:
        try:
            if not low <= float(cell.replace(decimal, ".")) <= high:
                return False
        except ValueError:
            continue
    return True
