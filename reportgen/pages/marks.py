"""How receptions and frames become marks: their colour scale, hover text and identity."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.pages import formats
from reportgen.pages.charts.description import Scale
from reportgen.pages.context import Context

LEVEL_STEP = 10.0
NOBODY: Mapping[int, str] = MappingProxyType({})

Indexes = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelScale:
    """The one colour scale of a site: which column it shows, and its ends."""

    column: str
    scale: Scale

    def with_limit(self, limit: float) -> LevelScale:
        """Return the same with a limit marked on it, low enough to hold it."""
        low = min(self.scale.low, float(np.floor(limit / LEVEL_STEP) * LEVEL_STEP))
        return replace(self, scale=replace(self.scale, low=low, limit=limit))


def level_scale(context: Context) -> LevelScale:
    """Return the site's scale: dB above the demodulation limit where most receptions have it.

    Otherwise the RSSI, whose demodulation limit nobody stated.
    """
    levels, say = context.results.heard_levels, context.words.say
    if levels.margin_share_ratio > 0.5:
        # Frames come through a little below the limit, too: the scale still needs a way up.
        top = max(_ceiling(levels.margin_high_db), LEVEL_STEP)
        return LevelScale(
            column="snr_margin_db",
            scale=Scale(label=say("key.level_margin"), unit="dB", low=0.0, high=top, limit=0.0),
        )
    return rssi_scale(context)


def rssi_scale(context: Context) -> LevelScale:
    """Return a scale of the RSSI for what own stations heard."""
    levels = context.results.heard_levels
    lowest = -130.0 if np.isnan(levels.rssi_low_dbm) else levels.rssi_low_dbm
    low = float(np.floor(lowest / LEVEL_STEP) * LEVEL_STEP)
    high = -50.0 if np.isnan(levels.rssi_high_dbm) else _ceiling(levels.rssi_high_dbm)
    return LevelScale(
        column="rssi_dbm",
        scale=Scale(
            label=context.words.say("key.level_rssi"), unit="dBm", low=low,
            high=max(high, low + LEVEL_STEP), limit=None,
        ),
    )  # fmt: skip


def _ceiling(level: float) -> float:
    return float(np.ceil(level / LEVEL_STEP) * LEVEL_STEP)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardPart:
    """Receptions drawn alike: on the colour scale, or plain because the level is unknown."""

    name: str
    rows: pd.DataFrame
    level: NDArray[np.float64] | None


def heard_parts(context: Context, own: pd.DataFrame) -> tuple[HeardPart, ...]:
    """Split receptions into those with a place on the colour scale and those without."""
    levels = own[level_scale(context).column]
    known, station = own[levels.notna()], context.home.name
    return (
        HeardPart(
            name=context.words.say("key.heard_plain", station=station),
            rows=own[levels.isna()],
            level=None,
        ),
        HeardPart(
            name=context.words.say("key.heard", station=station),
            rows=known,
            level=levels.dropna().to_numpy(dtype=np.float64),
        ),
    )


_MISSED = "missed, heard by "
"""Stands with who heard it for the station's key, which has no blank, where texts are kept."""


@dataclass(frozen=True, slots=True)
class _Shown:
    """What the hover text of a frame or reception speaks of; NaN and None are not known."""

    time_utc: pd.Timestamp
    counter: float | None
    data_rate: str
    distance_m: float
    bearing_deg: float
    station: str = ""
    rssi_dbm: float = np.nan
    snr_db: float = np.nan
    is_inferred: bool = False
    heard_by: str = ""


def reception_texts(context: Context, rows: pd.DataFrame) -> Callable[[Indexes], tuple[str, ...]]:
    """Return what puts together the hover texts of some receptions, by index."""

    def texts(kept: Indexes) -> tuple[str, ...]:
        part, known = rows.iloc[kept], context.hovers
        names = list(zip(part["station"].tolist(), frame_numbers(part).tolist(), strict=True))
        new = part[[name not in known for name in names]]
        columns = (new[name].tolist() for name in ("station", "rssi_dbm", "snr_db"))
        for frame, row in zip(
            frame_numbers(new).tolist(), map(_Shown, *_shared_columns(new), *columns), strict=True
        ):
            known[row.station, frame] = _reception_hover(context, row)
        return tuple(known[name] for name in names)

    return texts


def missed_texts(
    context: Context, rows: pd.DataFrame, who: Mapping[int, str] = NOBODY
) -> Callable[[Indexes], tuple[str, ...]]:
    """Return what puts together the hover texts of some frames that were missed, by index.

    `who` names the stations that heard a frame, by its number.
    """

    def texts(kept: Indexes) -> tuple[str, ...]:
        part, known = rows.iloc[kept], context.hovers
        names = [(_MISSED + who.get(frame, ""), frame) for frame in frame_numbers(part).tolist()]
        new = part[[name not in known for name in names]]
        for frame, row, time_known in zip(
            frame_numbers(new).tolist(),
            map(_Shown, *_shared_columns(new)),
            new["time_known"].tolist(),
            strict=True,
        ):
            heard_by = who.get(frame, "")
            shown = replace(row, is_inferred=time_known == "inferred", heard_by=heard_by)
            known[_MISSED + heard_by, frame] = _missed_hover(context, shown)
        return tuple(known[name] for name in names)

    return texts


def _shared_columns(rows: pd.DataFrame) -> list[list[Any]]:
    names = ("time_utc", "counter", "data_rate", "distance_m", "bearing_deg")
    return [rows[name].tolist() for name in names]


def _reception_hover(context: Context, row: _Shown) -> str:
    """Return what a reader wants to know of one reception, line by line.

    Of the station that the drawing speaks of the key says the name: it need not stand a thousand
    times in a page.
    """
    is_home = row.station == context.home.key
    station = (
        context.words.say("chart.hover_heard") if is_home else context.station_name(row.station)
    )
    return _lines(
        _when(context, row, station), _level(context, row), _frame(context, row), _way(context, row)
    )


def _missed_hover(context: Context, row: _Shown) -> str:
    """Return what is known of a frame that the first own station did not hear, and who did."""
    say = context.words.say
    return _lines(
        _when(context, row, say("chart.hover_missed")),
        say("chart.hover_heard_by", stations=row.heard_by) if row.heard_by else "",
        _frame(context, row),
        _way(context, row),
        say("chart.hover_placed") if row.is_inferred else "",
    )


def _lines(*parts: str) -> str:
    return "\n".join(part for part in parts if part)


def _when(context: Context, row: _Shown, what: str) -> str:
    if pd.isna(row.time_utc):
        return what
    time = context.clock(row.time_utc.to_pydatetime())
    return context.words.say("chart.hover_reception", time=time, station=what)


def _level(context: Context, row: _Shown) -> str:
    if pd.isna(row.rssi_dbm):
        return ""
    rssi = formats.level_text(row.rssi_dbm, "dBm")
    if pd.isna(row.snr_db):
        return context.words.say("chart.hover_rssi", rssi=rssi)
    snr = formats.level_text(row.snr_db, "dB")
    return context.words.say("chart.hover_level", rssi=rssi, snr=snr)


def _frame(context: Context, row: _Shown) -> str:
    if row.counter is None or pd.isna(row.counter):
        return str(row.data_rate)
    frame = context.words.say("chart.hover_frame", counter=int(row.counter))
    return " · ".join(part for part in (frame, str(row.data_rate)) if part)


def _way(context: Context, row: _Shown) -> str:
    if pd.isna(row.distance_m):
        return ""
    distance = context.units.length(row.distance_m)
    if pd.isna(row.bearing_deg):
        return distance
    bearing = formats.bearing_text(row.bearing_deg)
    return context.words.say("chart.hover_distance", distance=distance, bearing=bearing)


def frame_numbers(rows: pd.DataFrame) -> NDArray[np.int64]:
    """Return the identities of frames' marks, the same in every chart and map of the site."""
    return np.asarray(rows["frame"], dtype=np.int64)
