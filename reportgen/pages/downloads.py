"""Files to take away: receptions, frames, every figure, and the schema of the figures file."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial

import reportgen
from reportgen.model.columns import CELLS
from reportgen.pages.context import Context
from reportgen.pages.drafts import FILE, drafts, drafts_text
from reportgen.pages.table_text import csv_text, geojson_text
from reportgen.pages.working import input_figures
from reportgen.results.figure import Figure

RECEPTION_COLUMNS = (
    "walk", "node", "station", "is_own", "time_utc", "counter", "data_rate", "spreading_factor",
    "frequency_hz", "rssi_dbm", "snr_db", "snr_margin_db", "latitude_deg", "longitude_deg",
    "height_msl_m", "position_error_m", "place_known", "distance_m", "bearing_deg", "signal_dbm",
    "link_margin_db", "loss_db", "excess_loss_db", "is_too_strong",
)  # fmt: skip
FEATURE_COLUMNS = tuple(
    name for name in RECEPTION_COLUMNS if name not in {"latitude_deg", "longitude_deg"}
)
FRAME_COLUMNS = (
    "walk", "node", "counter", "data_rate", "spreading_factor", "sent_known", "is_counted",
    "time_utc", "time_known", "latitude_deg", "longitude_deg", "place_known", "distance_m",
    "bearing_deg",
)  # fmt: skip
FOLDER = "data"
MOST_FEATURES = 100_000
"""A GeoJSON file of more receptions is hundreds of megabytes, which no map program likes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Download:
    """A file of the site's data folder; `kind` names its wording, `count` how much is in it."""

    path: str
    kind: str
    count: int
    content: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A file that is still to be written; `text` yields what will stand in it."""

    path: str
    kind: str
    count: int
    text: Callable[[], Iterable[str]]

    def of(self, content: bytes) -> Download:
        """Return the file, now that its content is there."""
        return Download(path=self.path, kind=self.kind, count=self.count, content=content)


def downloads(context: Context) -> tuple[Download, ...]:
    """Return every file to take away."""
    plans = planned_downloads(context)
    return tuple(plan.of("".join(plan.text()).encode("utf-8")) for plan in plans)


def planned_downloads(context: Context) -> tuple[Planned, ...]:
    """Return every file to take away: without places, none in which a row is one frame."""
    figures = len(context.results.figures)
    return (
        *(() if context.is_coarse else _tables(context)),
        Planned(
            path=f"{FOLDER}/{FILE}", kind="drafts", count=len(drafts(context)),
            text=lambda: (drafts_text(context),),
        ),
        Planned(
            path=f"{FOLDER}/figures.json", kind="figures", count=figures,
            text=lambda: (figures_text(context),),
        ),
        Planned(
            path=f"{FOLDER}/figures.schema.json", kind="schema", count=1,
            text=lambda: (_json_text(FIGURES_SCHEMA),),
        ),
    )  # fmt: skip


def _tables(context: Context) -> tuple[Planned, ...]:
    """Return the tables; no GeoJSON of more receptions than `MOST_FEATURES`."""
    joined, cells = context.results.joined, context.results.cells
    placed = joined.receptions[joined.receptions["latitude_deg"].notna()]
    tables = [
        Planned(
            path=f"{FOLDER}/{kind}.csv", kind=kind, count=len(table),
            text=partial(csv_text, table, columns),
        )
        for kind, table, columns in (
            ("receptions", joined.receptions, RECEPTION_COLUMNS),
            ("frames", joined.frames, FRAME_COLUMNS),
            ("cells", cells, tuple(CELLS.names)),
        )
    ]  # fmt: skip
    if len(placed) <= MOST_FEATURES:
        geojson = Planned(
            path=f"{FOLDER}/receptions.geojson", kind="geojson", count=len(placed),
            text=lambda: geojson_text(placed, FEATURE_COLUMNS),
        )  # fmt: skip
        tables.insert(1, geojson)
    return tuple(tables)


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
    }
    # A line for each figure: short for people, quick to write, and a change shows as a line.
    figures = ",\n".join(
        json.dumps(_figure(context, figure), ensure_ascii=False, allow_nan=False)
        for figure in context.results.figures
    )
    head = _json_text(document).removesuffix("\n}\n")
    return f'{head},\n "figures": [\n{figures}\n ]\n}}\n'


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
