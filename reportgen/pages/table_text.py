"""Tables as CSV and as GeoJSON, column by column: a million rows take seconds, not minutes."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence

import numpy as np
import pandas as pd

DECIMALS = {
    "latitude_deg": 7, "longitude_deg": 7, "height_msl_m": 1, "position_error_m": 1,
    "distance_m": 1, "bearing_deg": 2, "rssi_dbm": 2, "snr_db": 2, "snr_margin_db": 2,
    "frequency_hz": 0, "signal_dbm": 2, "link_margin_db": 2, "loss_db": 2, "excess_loss_db": 2,
    "delivery_ratio": 4, "delivery_low_ratio": 4, "delivery_high_ratio": 4, "margin_db": 1,
}  # fmt: skip
ROWS_AT_ONCE = 50_000
"""Texts of more rows at a time would fill the memory."""

_BREAKS = frozenset("\t\r\n\0")
_FORMULA_SIGNS = frozenset("=+-@\uff1d\uff0b\uff0d\uff20")
_QUOTED = frozenset('",\r\n')


def csv_text(table: pd.DataFrame, columns: Sequence[str]) -> Iterator[str]:
    """Yield a table as CSV (RFC 4180), unknown values empty, no cell a spreadsheet would run.

    Many rows at a time: the text of a million is as large as all else.
    """
    yield ",".join(columns) + "\r\n"
    for part in _parts(table):
        cells = (_texts(part[name], name, _csv_cell, "") for name in columns)
        yield "\r\n".join((*map(",".join, zip(*cells, strict=True)), ""))


def geojson_text(table: pd.DataFrame, columns: Sequence[str]) -> Iterator[str]:
    """Yield rows as a GeoJSON FeatureCollection of points, a line each (RFC 7946).

    Positions are longitude, latitude in WGS 84, as section 3.1.1 orders them; no crs member,
    as section 4 has it.
    """
    yield '{"type": "FeatureCollection", "features": [\n'
    for number, part in enumerate(_parts(table)):
        features: list[str] = []
        longitudes, latitudes = (
            _texts(part[name], name, _json_cell, "null")
            for name in ("longitude_deg", "latitude_deg")
        )
        keys = [f"{json.dumps(name)}: " for name in columns]
        cells = zip(
            *(_texts(part[name], name, _json_cell, "null") for name in columns), strict=True
        )
        for longitude, latitude, row in zip(longitudes, latitudes, cells, strict=True):
            properties = ", ".join(map("".join, zip(keys, row, strict=True)))
            features.append(
                '{"type": "Feature", "geometry": {"type": "Point", "coordinates": '
                f'[{longitude}, {latitude}]}}, "properties": {{{properties}}}}}'
            )
        yield (",\n" if number else "") + ",\n".join(features)
    yield "\n]}\n"


def _parts(table: pd.DataFrame) -> Iterator[pd.DataFrame]:
    for start in range(0, len(table), ROWS_AT_ONCE):
        yield table.iloc[start : start + ROWS_AT_ONCE]


def _texts(
    column: pd.Series, name: str, written: Callable[[str], str], unknown: str
) -> Sequence[str]:
    """Return the cells of a column: rounded, times as ISO 8601 in UTC, `unknown` where none is.

    `written` says how a text is put down.
    """
    if isinstance(column.dtype, pd.DatetimeTZDtype):
        times = column.dt.tz_convert("UTC").dt.tz_localize(None).to_numpy("datetime64[ms]")
        texts = [written(f"{text}Z") for text in np.datetime_as_string(times, unit="ms").tolist()]
    elif pd.api.types.is_bool_dtype(column.dtype):
        texts = ["true" if value else "false" for value in column.fillna(False).tolist()]
    elif pd.api.types.is_numeric_dtype(column.dtype):
        texts = _numbers(column, name)
    else:
        known = {value: written(str(value)) for value in column.dropna().unique().tolist()}
        texts = [known.get(value, "") for value in column.tolist()]
    is_unknown = column.isna().to_numpy()
    for index in np.flatnonzero(is_unknown).tolist():
        texts[index] = unknown
    return texts


def _numbers(column: pd.Series, name: str) -> list[str]:
    """Return numbers as short as they are: whole ones without a point where nothing is rounded."""
    if pd.api.types.is_integer_dtype(column.dtype):
        return list(map(str, column.fillna(0).tolist()))
    values = column.to_numpy(dtype=np.float64, na_value=np.nan)
    decimals = DECIMALS.get(name)
    if decimals:
        return list(map(repr, (np.round(values, decimals) + 0.0).tolist()))
    rounded = values if decimals is None else np.round(values, decimals)
    return [str(int(value)) if value.is_integer() else repr(value) for value in rounded.tolist()]


def _json_cell(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _csv_cell(text: str) -> str:
    safe = f"'{text}" if _could_run(text) else text
    return f'"{safe.replace(chr(34), chr(34) * 2)}"' if _QUOTED & set(safe) else safe


def _could_run(text: str) -> bool:
    """Whether a spreadsheet may take a text for a formula (CWE-1236).

    The signs of OWASP ASVS 5.0, requirement 1.2.10; line ends, blanks in front and full-width
    signs besides, as is common practice.
    """
    return text[:1] in _BREAKS or text.lstrip()[:1] in _FORMULA_SIGNS
