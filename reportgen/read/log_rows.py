"""One row of a walk log, from texts to a record, or the reason why it is set aside."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Container, Sequence
from typing import NamedTuple

from reportgen.errors import CampaignError, Severity, Where
from reportgen.model.accounts import BrokenFrame
from reportgen.read.description_schema import FieldName, LogFormatPart
from reportgen.read.field_sources import FieldSource, conditions, folded
from reportgen.read.field_values import (
    QUANTITIES,
    Texts,
    final_texts,
    pattern_misses,
    value_of,
)
from reportgen.read.findings import Finding, Findings, RowFaultError, RowLeftOutError
from reportgen.read.rate_values import Rate, rate_of
from reportgen.read.reading import LogContext, RawRow
from reportgen.read.times import time_reader

PROBLEM_CODES = (
    ("log/another-device", "Rows of devices that are no nodes of the walk, left out."),
    ("log/not-kept", "Rows left out because the format keeps others only."),
    ("log/outside-walk", "Rows before the start or after the end of the walk, left out."),
    ("log/node-unmapped", "The format does not say which node a row is of."),
    ("log/station-unmapped", "The format does not say which station a row is of."),
    ("log/position-half-mapped", "The format maps latitude without longitude, or the reverse."),
    ("log/nothing-to-place", "The format maps neither times nor positions."),
    ("log/sent-has-no-level", "A format of frames sent maps a station or a level."),
    ("log/no-node", "A row does not say of which node it is."),
    ("log/no-station", "A row does not say of which station it is."),
    ("log/no-time", "A row has no readable time, and no position either."),
    ("log/time-unknown", "A row has no readable time; its position stands."),
    ("log/repeated-row", "A row says exactly what an earlier one said."),
    ("log/half-position", "A row has a latitude without longitude, or the reverse."),
    ("log/zero-position", "A row has the position 0, 0, which receivers write before a fix."),
)


_MOST_KNOWN = 10_000
"""Texts whose meaning is kept; a log in which more differ repeats none."""
_REPEATING: frozenset[FieldName] = frozenset(
    {"rssi_dbm", "snr_db", "frequency_mhz", "transmit_power_dbm", "position_error_m"}
)
_RATE_FIELDS: tuple[FieldName, ...] = ("data_rate", "spreading_factor", "bandwidth_khz")


class Place(NamedTuple):
    """A position as recorded; all NaN where there is none."""

    latitude_deg: float = math.nan
    longitude_deg: float = math.nan
    height_msl_m: float = math.nan
    error_m: float = math.nan

    @property
    def is_known(self) -> bool:
        """Whether there is a position."""
        return not math.isnan(self.latitude_deg)


class LogRecord(NamedTuple):
    """One usable row of a log; of a kind that is quickly made, as a log has thousands."""

    line: int
    time_utc: dt.datetime | None
    node: str
    station_id: str
    counter: int | None
    rate: Rate
    frequency_hz: float
    rssi_dbm: float
    snr_db: float
    transmit_power_dbm: float
    place: Place

    def identity(self, station: str) -> tuple[object, ...]:
        """Return what two rows share if one repeats the other; `station` as it is compared."""
        # Without a time only the place tells two rows apart.
        when = self.place if self.time_utc is None else self.time_utc
        rssi_dbm, snr_db = (
            None if math.isnan(level) else level for level in (self.rssi_dbm, self.snr_db)
        )  # NaN would equal nothing
        return (when, self.node, station, self.counter, self.rate.data_rate, rssi_dbm, snr_db)


class RowInterpreter:
    """Turns the raw rows of one log into records.

    Parameters
    ----------
    log_format : LogFormatPart
    sources : sequence of FieldSource
        The checked mapping of that format.
    context : LogContext
    findings : Findings
        Takes notes on rows that are used.

    Raises
    ------
    CampaignError
        If the format does not say what every record needs.
    """

    def __init__(
        self,
        log_format: LogFormatPart,
        sources: Sequence[FieldSource],
        context: LogContext,
        findings: Findings,
    ) -> None:
        where = findings.file.where()
        self._is_sent = log_format.rows_are == "frames sent"
        _check_fields(log_format.fields, context, where, is_sent=self._is_sent)
        self._sources = sources
        self._texts = final_texts(sources, log_format.decimal)
        self._has_patterns = any(source.pattern is not None for source in sources)
        self._context = context
        self._findings = findings
        self._decimal = log_format.decimal
        self._is_uplink = self._is_sent or log_format.levels_measured_at == "station"
        self._keep_when = conditions(log_format.keep_when)
        self._times = time_reader(log_format, context.time_zone, context.clock_ahead_s, where)
        self._node_of_id = {folded(name): node for name, node in context.node_of_id.items()}
        self._lines: dict[tuple[object, ...], int] = {}
        # Levels, rates and names repeat from row to row; each text is understood once.
        self._folded: dict[str, str] = {}
        self._numbers: dict[FieldName, dict[str, float]] = {field: {} for field in _REPEATING}
        self._rates: dict[tuple[str | None, ...], Rate] = {}

    def record(self, row: RawRow) -> LogRecord:
        """Return the record of a row.

        Raises
        ------
        RowFaultError, RowLeftOutError
            If the row is to be set aside.
        """
        texts = self._texts(row)
        # What the author asked to leave out is not searched for faults.
        for condition in self._keep_when:
            if not condition.holds(texts):
                raise RowLeftOutError("log/not-kept", f"kept are rows whose {condition.shown}")
        node = self._node(texts)
        time = self._time(texts)
        notes: list[Finding] = []
        place = self._place(texts, notes)
        if time is None:
            notes.append(_without_time(texts.get("time"), place))
        counter = self._number(texts, "counter")
        record = LogRecord(
            line=row.line,
            time_utc=time,
            node=node,
            station_id="" if self._is_sent else _station_id(texts),
            counter=None if math.isnan(counter) else int(counter),
            rate=self._rate(texts),
            frequency_hz=self._number(texts, "frequency_mhz"),
            rssi_dbm=self._number(texts, "rssi_dbm"),
            snr_db=self._number(texts, "snr_db"),
            transmit_power_dbm=self._aside(texts, "transmit_power_dbm", notes),
            place=place,
        )
        self._check_repeated(record)
        for note in notes:
            self._findings.note(row.line, note)
        if self._has_patterns:
            for finding in pattern_misses(row, self._sources):
                self._findings.warn(row.line, finding)
        return record

    def broken_frame(self, row: RawRow) -> BrokenFrame | None:
        """Return the frame that a row with a fault still names, None where it names none."""
        texts = self._texts(row)
        try:
            node, counter = self._node(texts), self._number(texts, "counter")
            time = self._time_or_none(texts)
        except (RowFaultError, RowLeftOutError):
            return None
        if math.isnan(counter) and time is None:
            return None
        return BrokenFrame(
            walk=self._context.walk,
            node=node,
            counter=None if math.isnan(counter) else int(counter),
            time_utc=time,
            station_id=texts.get("station") or "",
        )

    def _number(self, texts: Texts, field: FieldName) -> float:
        text = texts.get(field)
        if text is None:
            return math.nan
        numbers = self._numbers.get(field)
        if numbers is None:
            return value_of(texts, QUANTITIES[field], self._decimal)
        known = numbers.get(text)
        if known is None:
            known = value_of(texts, QUANTITIES[field], self._decimal)
            if len(numbers) < _MOST_KNOWN:
                numbers[text] = known
        return known

    def _rate(self, texts: Texts) -> Rate:
        written = tuple(texts.get(field) for field in _RATE_FIELDS)
        known = self._rates.get(written)
        if known is None:
            known = rate_of(
                texts, self._decimal, self._context.regional_plan, is_uplink=self._is_uplink
            )
            if len(self._rates) < _MOST_KNOWN:
                self._rates[written] = known
        return known

    def _name(self, text: str) -> str:
        """Return a name as it is compared."""
        known = self._folded.get(text)
        if known is None:
            known = folded(text)
            if len(self._folded) < _MOST_KNOWN:
                self._folded[text] = known
        return known

    def _aside(self, texts: Texts, field: FieldName, notes: list[Finding]) -> float:
        """Return a number that can't be read as NaN: no reason to lose the reception."""
        try:
            return self._number(texts, field)
        except RowFaultError as fault:
            notes.append(fault.finding)
            return math.nan

    def _node(self, texts: Texts) -> str:
        if "node" not in texts:
            assert self._context.only_node is not None  # checked once, for all rows
            return self._context.only_node
        text = texts["node"]
        if text is None:
            raise RowFaultError(_NO_NODE)
        node = self._node_of_id.get(self._name(text))
        if node is None:
            raise RowLeftOutError("log/another-device", "of a device that is no node of this walk")
        return node

    def _time(self, texts: Texts) -> dt.datetime | None:
        text = texts.get("time")
        time = None if text is None else self._times.time_utc(text)
        start, end = self._context.start_utc, self._context.end_utc
        if time and ((start and time < start) or (end and time > end)):
            raise RowLeftOutError("log/outside-walk", "before the walk's start or after its end")
        return time

    def _time_or_none(self, texts: Texts) -> dt.datetime | None:
        try:
            return self._time(texts)
        except RowFaultError:
            return None

    def _place(self, texts: Texts, notes: list[Finding]) -> Place:
        latitude = self._number(texts, "latitude_deg")
        longitude = self._number(texts, "longitude_deg")
        height = self._number(texts, "height_m")
        if math.isnan(latitude) or math.isnan(longitude):
            if math.isnan(latitude) != math.isnan(longitude):
                notes.append(_HALF_POSITION)
            return Place()
        if latitude == 0.0 and longitude == 0.0:
            notes.append(_ZERO_POSITION)
            return Place()
        return Place(
            latitude_deg=latitude,
            longitude_deg=longitude,
            height_msl_m=height,
            error_m=self._aside(texts, "position_error_m", notes),
        )

    def _check_repeated(self, record: LogRecord) -> None:
        identity = record.identity(self._name(record.station_id))
        if identity not in self._lines:
            self._lines[identity] = record.line
            return
        raise RowFaultError(
            Finding(
                code="log/repeated-row",
                reason="says exactly what an earlier row said",
                found=f"a row that says what line {self._lines[identity]} said",
                expected="each reception once",
                do="nothing; a repetition does not count",
            )
        )


_NO_NODE = Finding(
    code="log/no-node",
    reason="no identifier of a node",
    found="no node",
    expected="the identifier of the node that sent, or heard",
    do="check the column of 'node'",
)
_NO_STATION = Finding(
    code="log/no-station",
    reason="no identifier of a station",
    found="no station",
    expected="the identifier of the station that heard, or was heard",
    do="check the column of 'station'",
)
_HALF_POSITION = Finding(
    code="log/half-position",
    found="a latitude without longitude, or the reverse; the row counts as without position",
    expected="both, or neither",
    do="check the two columns",
)
_ZERO_POSITION = Finding(
    code="log/zero-position",
    found="position 0, 0; the row counts as without position",
    expected="a position, or an empty cell before the first fix",
    do="nothing if the receiver had no fix yet",
)


def _without_time(text: str | None, place: Place) -> Finding:
    """Return the note of a row without time; without position as well it is a fault."""
    finding = Finding(
        code="log/time-unknown" if place.is_known else "log/no-time",
        reason="no readable time and no position",
        found="no time" if text is None else f"time = {text[:60]}",
        expected="a time in the format that 'time_format' states",
        do="check 'time_format' and the column of the time",
    )
    if not place.is_known:
        raise RowFaultError(finding)
    return finding


def _station_id(texts: Texts) -> str:
    text = texts["station"]
    if text is None:
        raise RowFaultError(_NO_STATION)
    return text


_OF_FRAMES_HEARD = ("station", "rssi_dbm", "snr_db")


def _check_fields(
    fields: Container[str], context: LogContext, where: Where, *, is_sent: bool
) -> None:
    """Refuse a format that leaves out what every record needs, or says what none can have."""
    latitude, longitude = "latitude_deg" in fields, "longitude_deg" in fields
    missing = (
        (_NODE_UNMAPPED, "node" not in fields and context.only_node is None),
        (_STATION_UNMAPPED, "station" not in fields and not is_sent),
        (_LEVEL_OF_SENT, is_sent and any(field in fields for field in _OF_FRAMES_HEARD)),
        (_HALF_MAPPED, latitude != longitude),
        (_NOTHING_TO_PLACE, "time" not in fields and not latitude and not longitude),
    )
    problems = [
        finding.problem(where, Severity.ERROR) for finding, is_missing in missing if is_missing
    ]
    if problems:
        raise CampaignError(problems)


_NODE_UNMAPPED = Finding(
    code="log/node-unmapped",
    found="a log format without 'node', for a walk of several nodes",
    expected="the field that says which node a row is of",
    do="map 'node' under 'fields', such as 'node: {column: device}'",
)
_STATION_UNMAPPED = Finding(
    code="log/station-unmapped",
    found="a log format without 'station'",
    expected="the field that says which station heard, or was heard",
    do="map 'station' under 'fields'; 'station: {value: ...}' where it is always the same",
)
_LEVEL_OF_SENT = Finding(
    code="log/sent-has-no-level",
    found="a log format with 'rows_are: frames sent' that maps a station or a level",
    expected="fields that a node knows when it sends: time, counter, data rate, power, position",
    do="take station, rssi_dbm and snr_db out of 'fields', or take 'rows_are' out if the rows are "
    "frames heard",
)
_HALF_MAPPED = Finding(
    code="log/position-half-mapped",
    found="one of latitude_deg and longitude_deg",
    expected="both, or neither",
    do="map the other one too",
)
_NOTHING_TO_PLACE = Finding(
    code="log/nothing-to-place",
    found="a log format with neither 'time' nor a position",
    expected="times, which a track turns into places, or positions",
    do="map 'time', or latitude_deg and longitude_deg",
)
