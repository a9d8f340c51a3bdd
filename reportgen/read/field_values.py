"""What the text of a field means: left empty on purpose, a number with its unit, a data rate."""

from __future__ import annotations

import contextlib
import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from reportgen.model.columns import RECORDS
from reportgen.read.description_schema import FieldName
from reportgen.read.field_sources import FieldSource
from reportgen.read.findings import Finding, RowFaultError
from reportgen.read.reading import RawRow

Texts = dict[FieldName, str | None]

PROBLEM_CODES = (
    ("log/number", "A field that should hold a number holds something else."),
    ("log/range", "A number lies outside what its field can hold."),
    ("log/pattern-no-match", "The pattern of a field finds nothing in its cell."),
)

_LARGEST_COUNTER = 2.0**53  # the last whole number that a float tells from its neighbours
_LIMITS = {column.name: (column.low, column.high) for column in RECORDS.columns}


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A number of a log: limits in the log's unit, the units it may be written with.

    `scale` turns the log's unit into the table's.
    """

    field: FieldName
    unit: str
    low: float
    high: float
    scale: float = 1.0
    spellings: tuple[str, ...] = ()
    is_whole: bool = False

    @property
    def expected(self) -> str:
        """What a message asks for."""
        kind = "a whole number" if self.is_whole else "a number"
        return f"{kind} from {self.low:.16g} to {self.high:.16g} {self.unit}".rstrip()


def _quantity(
    field: FieldName, unit: str, *spellings: str, column: str = "", scale: float = 1.0
) -> Quantity:
    low, high = _LIMITS[column or field]
    assert low is not None
    assert high is not None
    return Quantity(
        field=field,
        unit=unit,
        low=low / scale,
        high=high / scale,
        scale=scale,
        spellings=(unit.casefold(), *spellings),
    )


QUANTITIES: dict[FieldName, Quantity] = {
    # Receivers report no level above their input's full scale, so a positive one is a lost sign.
    "rssi_dbm": Quantity(field="rssi_dbm", unit="dBm", low=-150, high=0, spellings=("dbm", "db")),
    "snr_db": _quantity("snr_db", "dB"),
    "transmit_power_dbm": _quantity("transmit_power_dbm", "dBm"),
    "latitude_deg": _quantity("latitude_deg", "°", "deg"),
    "longitude_deg": _quantity("longitude_deg", "°", "deg"),
    "height_m": _quantity("height_m", "m", column="height_msl_m"),
    "position_error_m": _quantity("position_error_m", "m"),
    "frequency_mhz": _quantity("frequency_mhz", "MHz", column="frequency_hz", scale=1e6),
    "bandwidth_khz": Quantity(
        field="bandwidth_khz", unit="kHz", low=0.1, high=10_000, scale=1e3, spellings=("khz",)
    ),
    "counter": Quantity(field="counter", unit="", low=0, high=_LARGEST_COUNTER, is_whole=True),
    "spreading_factor": Quantity(field="spreading_factor", unit="", low=5, high=12, is_whole=True),
}
"""By field. Limits come from the table's declaration unless a narrower one is given."""

_NUMBERS = {
    mark: re.compile(
        rf"([+-]?(?:[0-9]+(?:{re.escape(mark)}[0-9]*)?|{re.escape(mark)}[0-9]+)"
        r"(?:[eE][+-]?[0-9]+)?)(?:\s*([^\s0-9.,].*))?"
    )
    for mark in ".,"
}


def final_texts(sources: Sequence[FieldSource], decimal: str) -> Callable[[RawRow], Texts]:
    """Return what gives the texts of a row with constants, patterns and 'not measured' applied.

    A text is None where the field is empty, does not match its pattern, or is not measured.

    Parameters
    ----------
    sources : sequence of FieldSource
    decimal : "." or ","
        Decimal mark of the log.
    """
    if any(source.is_elaborate for source in sources):
        return lambda row: _elaborate_texts(row, sources, decimal)
    fields = [source.field for source in sources]

    def plain_texts(row: RawRow) -> Texts:
        given = row.texts
        return {
            field: (text.strip() or None) if (text := given.get(field)) else None
            for field in fields
        }

    return plain_texts


def _elaborate_texts(row: RawRow, sources: Sequence[FieldSource], decimal: str) -> Texts:
    texts: Texts = {}
    for source in sources:
        text = row.texts.get(source.field) if source.constant is None else source.constant
        if text is not None and source.pattern is not None:
            found = source.pattern.search(text)
            text = None if found is None else found[min(1, source.pattern.groups)]
        texts[source.field] = (text or "").strip() or None
    stated = [source for source in sources if source.not_measured_texts]
    blank = [source.field for source in stated if _is_not_measured(source, texts, decimal)]
    return {**texts, **dict.fromkeys(blank)} if blank else texts


def pattern_misses(row: RawRow, sources: Sequence[FieldSource]) -> list[Finding]:
    """Return what a pattern found nothing in: then the field is empty, and the author may not know.

    Parameters
    ----------
    row : RawRow
    sources : sequence of FieldSource
    """
    return [
        Finding(
            code="log/pattern-no-match",
            found=f"{source.field}: the pattern {source.pattern.pattern} finds nothing in {text}",
            expected="cells that the pattern fits",
            do=f"correct 'fields: {source.field}: pattern'; the field was left empty",
        )
        for source in sources
        if source.pattern is not None
        and (text := (row.texts.get(source.field) or "").strip())
        and not source.pattern.search(text)
    ]


def number_in(text: str, decimal: str) -> tuple[float, str] | None:
    """Return the number at the beginning of a text and the unit behind it, or None.

    A Unicode minus (U+2212) is a minus; NaN and infinity are no numbers.
    """
    if decimal == "." and text.isascii() and "_" not in text:
        # Of such texts the quick way reads no other than the pattern, but for words.
        with contextlib.suppress(ValueError):
            number = float(text)
            return (number, "") if math.isfinite(number) else None
    found = _NUMBERS[decimal].fullmatch(text.replace("\u2212", "-").strip())
    if found is None:
        return None
    number = float(found[1].replace(decimal, "."))
    return (number, (found[2] or "").strip()) if math.isfinite(number) else None


def value_of(texts: Texts, quantity: Quantity, decimal: str) -> float:
    """Return the field's number in the table's unit, NaN where it is empty.

    Raises
    ------
    RowFaultError
        If the text is no number, has another unit, or is out of range.
    """
    text = texts.get(quantity.field)
    if text is None:
        return math.nan
    read = number_in(text, decimal)
    if read is None or (read[1] and read[1].casefold() not in quantity.spellings):
        raise _no_number(quantity, text, decimal)
    number = read[0]
    if quantity.is_whole and number != int(number):
        raise _no_number(quantity, text, decimal)
    if not quantity.low <= number <= quantity.high:
        raise RowFaultError(
            Finding(
                code="log/range",
                reason=f"{quantity.field} out of range",
                found=f"{quantity.field} = {text[:60]}",
                expected=quantity.expected,
                do="check the logger's units and sign; list values that mean 'none' under "
                "'not_measured'",
            )
        )
    # 868.1 MHz must not become 868100000.0000001 Hz.
    return number if quantity.scale == 1.0 else round(number * quantity.scale, 3)


def _is_not_measured(source: FieldSource, texts: Texts, decimal: str) -> bool:
    text = texts[source.field]
    if text is None or not all(condition.holds(texts) for condition in source.not_measured_when):
        return False
    if text in source.not_measured_texts:
        return True
    read = number_in(text, decimal) if source.not_measured_numbers else None
    return read is not None and read[0] in source.not_measured_numbers


def _no_number(quantity: Quantity, text: str, decimal: str) -> RowFaultError:
    mark = "point" if decimal == "." else "comma"
    return RowFaultError(
        Finding(
            code="log/number",
            reason=f"{quantity.field} is not a number",
            found=f"{quantity.field} = {text[:60]}",
            expected=f"{quantity.expected}, with decimal {mark}",
            do="check the column, 'decimal' and 'pattern' of the field; list words that mean "
            "'none' under 'not_measured'",
        )
    )
