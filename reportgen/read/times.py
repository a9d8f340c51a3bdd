"""Times as they are written in logs and tracks, and the moment they mean."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from zoneinfo import ZoneInfo

from reportgen.errors import Where
from reportgen.read.description_schema import LogFormatPart
from reportgen.read.findings import Finding, RowFaultError

FIRST_YEAR = 1990
LAST_YEAR = 2100
"""Times outside these years are a clock that was never set."""

PROBLEM_CODES = (
    ("log/time-format", "The time format is none of the words, and no usable pattern."),
    ("log/time-zone", "The time zone of a log format does not exist."),
    ("log/clock", "The clock error of a log is no usable number of seconds."),
    ("log/time-in-clock-change", "A local time does not exist, or exists twice."),
    ("log/time-absurd", "A time lies so far off that its clock was never set."),
)

_EPOCH = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)
_MOST_MICROSECONDS = 10**16  # more than three centuries
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_LONG_MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip
_DAYS = ("sun", "mon", "tue", "wed", "thu", "fri", "sat")
_LONG_DAYS = ("sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday")
# English names become numbers before the standard library, which would follow the locale.
_WORDS = {
    word: str(number)
    for words, start in ((_MONTHS, 1), (_LONG_MONTHS, 1), (_DAYS, 0), (_LONG_DAYS, 0))
    for number, word in enumerate(words, start=start)
}
_DIRECTIVES = {"%b": "%m", "%B": "%m", "%h": "%m", "%a": "%w", "%A": "%w"}
_LONGEST = 100
_HAS_CLOCK = re.compile(r"[0-9][Tt ][ ]*[0-9]{2}")
_OFFSET_APART = re.compile(r"\s+(?=[+-][0-9]{2}:?[0-9]{2}$|[Zz]$)")

Parser = Callable[[str], dt.datetime | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeReader:
    """Reads the times of one log.

    `clock_ahead` is taken off every time; `zone` is that of times without offset.
    """

    parse: Parser
    zone: ZoneInfo
    clock_ahead: dt.timedelta

    def time_utc(self, text: str) -> dt.datetime | None:
        """Return the moment, or None where the text is not in the format.

        Raises
        ------
        RowFaultError
            If the local time falls into a clock change, or the year is absurd.
        """
        read = self.parse(text)
        if read is None:
            return None
        if read.tzinfo is None:
            read = _in_zone(read, self.zone)
        try:
            time = read if read.tzinfo is dt.UTC else read.astimezone(dt.UTC)
            time -= self.clock_ahead
        except OverflowError:
            raise absurd(text) from None
        if not FIRST_YEAR <= time.year <= LAST_YEAR:
            raise absurd(text)
        return time


def time_reader(
    log_format: LogFormatPart, zone: ZoneInfo, clock_ahead_s: float, where: Where
) -> TimeReader:
    """Return the reader of a log's times.

    Parameters
    ----------
    log_format : LogFormatPart
    zone : ZoneInfo
        Taken where the format names none.
    clock_ahead_s : float
        How far the log's clock ran ahead. [s]
    where : Where
        What problems are pinned to.

    Raises
    ------
    CampaignError
        If format, zone or clock error can't be used.
    """
    try:
        ahead = dt.timedelta(seconds=clock_ahead_s)
    except (OverflowError, ValueError) as error:
        raise Finding(
            code="log/clock",
            found=f"clock_ahead_s: {clock_ahead_s}",
            expected="a number of seconds",
            do="correct 'clock_ahead_s' of the log",
        ).error(where) from error
    return TimeReader(
        parse=_parser(log_format, where),
        zone=_zone(log_format.time_zone, where) if log_format.time_zone else zone,
        clock_ahead=ahead,
    )


def parse_iso(text: str) -> dt.datetime | None:
    """Return a date and time of ISO 8601, or None where the text is none.

    A blank may stand for the T, a comma for the decimal point; digits beyond microseconds are
    dropped. Without an offset the result is naive. A date alone is no time.
    """
    # A cell of blanks without end would be looked through again from each of them.
    if len(text) > _LONGEST or not _HAS_CLOCK.search(text):
        return None
    try:
        bare = text.strip()
        if " " in bare or not bare.isprintable():
            bare = _OFFSET_APART.sub("", bare)
        return dt.datetime.fromisoformat(bare.upper())
    except ValueError:
        return None


def absurd(text: str) -> RowFaultError:
    """Return the fault of a time that no walk can have."""
    return RowFaultError(
        Finding(
            code="log/time-absurd",
            reason=f"time outside the years {FIRST_YEAR} to {LAST_YEAR}",
            found=f"time = {text[:60]}",
            expected=f"a time from {FIRST_YEAR} to {LAST_YEAR}",
            do="check 'time_format' (seconds or milliseconds?) and the logger's clock",
        )
    )


def _parser(log_format: LogFormatPart, where: Where) -> Parser:
    written = log_format.time_format
    if written == "iso":
        return parse_iso
    if written in {"epoch_s", "epoch_ms"}:
        return _epoch_parser(1_000_000 if written == "epoch_s" else 1_000, log_format.decimal)
    return _pattern_parser(written, where)


def _epoch_parser(microseconds: int, decimal: str) -> Parser:
    mark = re.escape(decimal)
    number = re.compile(rf"[+-]?[0-9]{{1,30}}(?:{mark}[0-9]{{0,30}})?(?:[eE][+-]?[0-9]{{1,3}})?")

    def parse(text: str) -> dt.datetime | None:
        if not number.fullmatch(text):
            return None
        # Not by float, which would be off by fractions of a microsecond.
        count = Decimal(text.replace(decimal, ".")) * microseconds
        if abs(count) > _MOST_MICROSECONDS:
            raise absurd(text)
        return _EPOCH + dt.timedelta(microseconds=round(count))

    return parse


def _pattern_parser(pattern: str, where: Where) -> Parser:
    translated = re.sub("%.", lambda found: _DIRECTIVES.get(found[0], found[0]), pattern)
    has_words = translated != pattern
    problem = _pattern_problem(translated)
    if problem:
        raise Finding(
            code="log/time-format",
            found=f"time_format: {pattern} ({problem})",
            expected="iso, epoch_s, epoch_ms, or a pattern such as '%d.%m.%Y %H:%M:%S'",
            do="correct 'time_format' of the log format",
        ).error(where)

    def parse(text: str) -> dt.datetime | None:
        if has_words:
            text = re.sub("[A-Za-z]+", _number_of_word, text)
        try:
            return dt.datetime.strptime(text, translated)  # noqa: DTZ007 - the zone comes later
        except (ValueError, OverflowError):
            return None

    return parse


def _number_of_word(found: re.Match[str]) -> str:
    return _WORDS.get(found[0].casefold(), found[0])


def _pattern_problem(pattern: str) -> str:
    """Return why a pattern can't be used, blank if it can."""
    if "%" not in pattern:
        return "no such format"
    if "%Z" in pattern:
        return "%Z is not read; use %z, or time_zone"
    try:
        dt.datetime.strptime("", pattern)  # noqa: DTZ007 - nothing is read here
    except re.error:
        return "a directive stands twice"
    except ValueError as error:
        if "does not match" not in str(error):
            return "no such directive"
    return ""


def _in_zone(local: dt.datetime, zone: ZoneInfo) -> dt.datetime:
    """Place a local time in its zone; a time in a clock change can't be placed."""
    try:
        first = local.replace(tzinfo=zone)
        before, after = first.utcoffset(), first.replace(fold=1).utcoffset()
    except OverflowError:
        raise absurd(str(local)) from None
    if before == after or before is None or after is None:
        return first
    kind = "exists twice" if before > after else "does not exist"
    raise RowFaultError(
        Finding(
            code="log/time-in-clock-change",
            reason=f"local time that {kind} because of the clock change in {zone.key}",
            found=f"{local}, which {kind} in {zone.key} because of the clock change",
            expected="times with their offset, or outside of the hour of the clock change",
            do="let the logger write UTC; give 'time_zone: UTC' if it already does",
        )
    )


def _zone(name: str, where: Where) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError) as error:
        raise Finding(
            code="log/time-zone",
            found=f"time_zone: {name}",
            expected="an IANA zone such as Europe/Lisbon, or UTC",
            do="correct 'time_zone' of the log format",
        ).error(where) from error
