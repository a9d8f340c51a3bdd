"""Files to take away: receptions, frames, every figure, and the schema of the figures file."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import dataclass

import pandas as pd

import reportgen
from reportgen.model.columns import CELLS
from reportgen.pages.context import Context
from reportgen.pages.drafts import FILE, drafts, drafts_text
from reportgen.pages.working import input_figures
from reportgen.results.figure import Figure

RECEPTION_COLUMNS = (
    "walk", "node", "station", "is_own", "time_utc", "counter", "data_rate", "spreading_factor",
    "frequency_hz", "rssi_dbm", "snr_db", "snr_margin_db", "latitude_deg", "longitude_deg",
    "height_msl_m", "position_error_m", "place_known", "distance_m", "bearing_deg", "signal_dbm",
    "link_margin_db", "loss_db", "excess_loss_db", "is_too_strong",
)  # fmt: skip
FRAME_COLUMNS = (
    "walk", "node", "counter", "data_rate", "spreading_factor", "sent_known", "is_counted",
    "time_utc", "time_known", "latitude_deg", "longitude_deg", "place_known", "distance_m",
    "bearing_deg",
)  # fmt: skip
DECIMALS = {
    "latitude_deg": 7, "longitude_deg": 7, "height_msl_m": 1, "position_error_m": 1,
    "distance_m": 1, "bearing_deg": 2, "rssi_dbm": 2, "snr_db": 2, "snr_margin_db": 2,
    "frequency_hz": 0, "signal_dbm": 2, "link_margin_db": 2, "loss_db": 2, "excess_loss_db": 2,
    "delivery_ratio": 4, "delivery_low_ratio": 4, "delivery_high_ratio": 4, "margin_db": 1,
}  # fmt: skip


_BREAKS = frozenset("\t\r\n\0")
_FORMULA_SIGNS = frozenset("=+-@\uff1d\uff0b\uff0d\uff20")


@dataclass(frozen=True, slots=True, kw_only=True)
class Download:
    """A file of the site's data folder; `kind` names its wording, `count` how much is in it."""

    path: str
    kind: str
    count: int
    content: bytes


def downloads(context: Context) -> tuple[Download, ...]:
    """Return every file to take away: without places, none in which a row is one frame."""
    return (
        *(() if context.is_coarse else _tables(context)),
        _download(FILE, "drafts", len(drafts(context)), drafts_text(context)),
        _download("figures.json", "figures", len(context.results.figures), figures_text(context)),
        _download("figures.schema.json", "schema", 1, _json_text(FIGURES_SCHEMA)),
    )  # fmt: skip


def _tables(context: Context) -> tuple[Download, ...]:
    joined = context.results.joined
    cells = context.results.cells
    placed = joined.receptions[joined.receptions["latitude_deg"].notna()]
    return (
        _download("receptions.csv", "receptions", len(joined.receptions),
                  csv_text(joined.receptions, RECEPTION_COLUMNS)),
        _download("receptions.geojson", "geojson", len(placed), geojson_text(placed)),
        _download("frames.csv", "frames", len(joined.frames),
                  csv_text(joined.frames, FRAME_COLUMNS)),
        _download("cells.csv", "cells", len(cells), csv_text(cells, tuple(CELLS.names))),
    )  # fmt: skip


def _download(name: str, kind: str, count: int, text: str) -> Download:
    return Download(path=f"data/{name}", kind=kind, count=count, content=text.encode("utf-8"))


def csv_text(table: pd.DataFrame, columns: tuple[str, ...]) -> str:
    """Return a table as CSV (RFC 4180), unknown values empty, no cell a spreadsheet would run."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    for row in table[list(columns)].itertuples(index=False):
        writer.writerow([_csv_cell(value, name) for value, name in zip(row, columns, strict=True)])
    return out.getvalue()


def _csv_cell(value: object, name: str) -> str:
    plain = plain_value(value, name)
    if plain is None:
        return ""
    if isinstance(plain, bool):
        return "true" if plain else "false"
    return f"'{plain}" if isinstance(plain, str) and _could_run(plain) else str(plain)


def _could_run(text: str) -> bool:
    """Whether a spreadsheet may take a text for a formula (CWE-1236).

    The signs of OWASP ASVS 5.0, requirement 1.2.10; line ends, blanks in front and full-width
    signs besides, as is common practice.
    """
    return text[:1] in _BREAKS or text.lstrip()[:1] in _FORMULA_SIGNS


def plain_value(value: object, name: str) -> str | float | int | bool | None:
    """Return a cell as JSON knows it: rounded, times as ISO 8601 in UTC, unknown as None."""
    if value is None or value is pd.NA or value is pd.NaT or value != value:  # noqa: PLR0124
        return None
    if isinstance(value, pd.Timestamp):
        return str(value.isoformat(timespec="milliseconds")).replace("+00:00", "Z")
    if isinstance(value, bool | str):
        return value
    if name in DECIMALS:
        rounded = round(float(str(value)), DECIMALS[name])
        return int(rounded) if DECIMALS[name] == 0 else rounded
    number = float(str(value))
    return int(number) if number.is_integer() else number


def geojson_text(receptions: pd.DataFrame) -> str:
    """Return receptions as a GeoJSON FeatureCollection of points (RFC 7946).

    Positions are longitude, latitude in WGS 84, as section 3.1.1 orders them; no crs member,
    as section 4 has it.
    """
    names = [name for name in RECEPTION_COLUMNS if name not in {"latitude_deg", "longitude_deg"}]
    features = []
    for _, row in receptions.iterrows():
        features.append(
            {
                "type": "Feature",
                "geometry": {
                    "type": "Point",
                    "coordinates": [
                        plain_value(row["longitude_deg"], "longitude_deg"),
                        plain_value(row["latitude_deg"], "latitude_deg"),
                    ],
                },
                "properties": {name: plain_value(row[name], name) for name in names},
            }
        )
    return _json_text({"type": "FeatureCollection", "features": features})


def figures_text(context: Context) -> str:
    """Return every figure with its record as one JSON file."""
    newest = context.campaign.last_time_utc
    document = {
        "$schema": "figures.schema.json",
        "campaign": context.campaign.title,
        "made_by": f"reportgen {reportgen.__version__}",
        "newest_record_utc": None if newest is None else newest.isoformat().replace("+00:00", "Z"),
        "inputs": [
            {"path": path, "sha256": digest} for path, digest in context.campaign.input_checksums
        ],
        "figures": [_figure(context, figure) for figure in context.results.figures],
    }
    return _json_text(document)


def _figure(context: Context, figure: Figure) -> dict[str, object]:
    say, method = context.words.say, f"methods.{figure.method}"
    return {
        "name": figure.name,
        "value": figure.value,
        "unit": figure.unit,
        "low": figure.low,
        "high": figure.high,
        "count": figure.count,
        "method": figure.method,
        "method_title": say(f"{method}.title"),
        "formula": say(f"{method}.formula"),
        "inputs": [
            _input(context, name, source)
            for name, source in input_figures(figure, context.results.figures)
        ],
        "source": figure.source or say(f"{method}.source"),
        "where": None if figure.where is None else str(figure.where),
        "prefix": figure.prefix,
        "absent_reason": _reason(context, figure),
    }


def _input(context: Context, name: str, figure: Figure | None) -> dict[str, object]:
    """Return a figure that another was made of with its value; of anything else the name alone."""
    if figure is None:
        return {"name": name}
    found: dict[str, object] = {"name": name, "value": figure.value, "unit": figure.unit}
    if figure.value is None:
        found["absent_reason"] = _reason(context, figure)
    return found


def _reason(context: Context, figure: Figure) -> str | None:
    reason = figure.absent_reason
    return None if reason is None else context.words.say(f"absent.{reason}")


def _json_text(document: object) -> str:
    return json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _nullable(kind: str) -> dict[str, object]:
    return {"type": [kind, "null"]}


_INPUT_SCHEMA: dict[str, object] = {
    "description": "A figure with its value, or the name of a table, a file or a key.",
    "type": "object",
    "required": ["name"],
    "additionalProperties": False,
    "properties": {
        "name": {"type": "string"},
        "value": {"type": ["number", "string", "null"]},
        "unit": {"type": "string"},
        "absent_reason": {"type": "string"},
    },
    "dependencies": {"value": ["unit"], "unit": ["value"], "absent_reason": ["value"]},
}

FIGURES_SCHEMA: dict[str, object] = {
    "$schema": "http://json-schema.org/draft-07/schema#",
    "title": "Figures of a campaign report",
    "type": "object",
    "required": ["campaign", "made_by", "newest_record_utc", "inputs", "figures"],
    "additionalProperties": False,
    "properties": {
        "$schema": {"type": "string"},
        "campaign": {"type": "string"},
        "made_by": {"type": "string"},
        "newest_record_utc": _nullable("string"),
        "inputs": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["path", "sha256"],
                "properties": {
                    "path": {"type": "string"},
                    "sha256": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
                },
            },
        },
        "figures": {
            "type": "array",
            "items": {
                "type": "object",
                "required": [
                    "name", "value", "unit", "low", "high", "count", "method", "method_title",
                    "formula", "inputs", "source", "where", "prefix", "absent_reason",
                ],
                "additionalProperties": False,
                "properties": {
                    "name": {
                        "description": "Path of slugs.",
                        "type": "string",
                        "pattern": "^[a-z0-9_-]+(\\.[a-z0-9_-]+)+$",
                    },
                    "value": {"type": ["number", "string", "null"]},
                    "unit": {"description": "1 stands for a ratio.", "type": "string"},
                    "low": _nullable("number"),
                    "high": _nullable("number"),
                    "count": _nullable("integer"),
                    "method": {
                        "description": "Anchor of the method on the page of methods.",
                        "type": "string",
                    },
                    "method_title": {"type": "string"},
                    "formula": {"type": "string"},
                    "inputs": {"type": "array", "items": _INPUT_SCHEMA},
                    "source": {"type": "string"},
                    "where": _nullable("string"),
                    "prefix": {"enum": ["", "at least", "extrapolated"]},
                    "absent_reason": _nullable("string"),
                },
                "oneOf": [
                    {
                        "properties": {
                            "value": {"type": "null"},
                            "absent_reason": {"type": "string"},
                        }
                    },
                    {
                        "properties": {
                            "value": {"type": ["number", "string"]},
                            "absent_reason": {"type": "null"},
                        }
                    },
                ],
            },
        },
    },
}  # fmt: skip
