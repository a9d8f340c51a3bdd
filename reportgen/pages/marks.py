"""How receptions and frames become marks: their colour scale, hover text and identity."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from reportgen.pages import formats
from reportgen.pages.charts.description import Scale
from reportgen.pages.context import Context

LEVEL_STEP = 10.0


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
    receptions = context.results.joined.receptions
    own = receptions[receptions["is_own"]]
    say = context.words.say
    if len(own) and own["snr_margin_db"].notna().mean() > 0.5:
        # Frames come through a little below the limit, too: the scale still needs a way up.
        top = max(_ceiling(own["snr_margin_db"]), LEVEL_STEP)
        return LevelScale(
            column="snr_margin_db",
            scale=Scale(label=say("key.level_margin"), unit="dB", low=0.0, high=top, limit=0.0),
        )
    return rssi_scale(context)


def rssi_scale(context: Context) -> LevelScale:
    """Return a scale of the RSSI for what own stations heard."""
    receptions = context.results.joined.receptions
    levels = receptions.loc[receptions["is_own"], "rssi_dbm"].dropna()
    low = float(np.floor((levels.min() if len(levels) else -130.0) / LEVEL_STEP) * LEVEL_STEP)
    high = _ceiling(levels) if len(levels) else -50.0
    return LevelScale(
        column="rssi_dbm",
        scale=Scale(
            label=context.words.say("key.level_rssi"), unit="dBm", low=low,
            high=max(high, low + LEVEL_STEP), limit=None,
        ),
    )  # fmt: skip


def _ceiling(levels: pd.Series) -> float:
    return float(np.ceil(levels.max() / LEVEL_STEP) * LEVEL_STEP)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardPart:
    """Receptions drawn alike: on the colour scale, or plain because the level is unknown."""

    name: str
    rows: pd.DataFrame
    level: tuple[float, ...] | None


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
            level=tuple(float(level) for level in levels.dropna()),
        ),
    )


def reception_hover(context: Context, row: pd.Series) -> str:
    """Return what a reader wants to know of one reception, line by line.

    Of the station that the drawing speaks of the key says the name: it need not stand a thousand
    times in a page.
    """
    is_home = row["station"] == context.home.key
    station = (
        context.words.say("chart.hover_heard") if is_home else context.station_name(row["station"])
    )
    return "\n".join(
        part
        for part in (
            _when(context, row, station),
            _level(context, row),
            _frame(context, row),
            _way(context, row),
        )
        if part
    )


def missed_hover(context: Context, row: pd.Series, heard_by: str = "") -> str:
    """Return what is known of a frame that the first own station did not hear, and who did."""
    placed = context.words.say("chart.hover_placed") if row["time_known"] == "inferred" else ""
    return "\n".join(
        part
        for part in (
            _when(context, row, context.words.say("chart.hover_missed")),
            context.words.say("chart.hover_heard_by", stations=heard_by) if heard_by else "",
            _frame(context, row),
            _way(context, row),
            placed,
        )
        if part
    )


def _when(context: Context, row: pd.Series, what: str) -> str:
    if pd.isna(row["time_utc"]):
        return what
    time = context.clock(row["time_utc"].to_pydatetime())
    return context.words.say("chart.hover_reception", time=time, station=what)


def _level(context: Context, row: pd.Series) -> str:
    if pd.isna(row["rssi_dbm"]):
        return ""
    rssi = formats.level_text(float(row["rssi_dbm"]), "dBm")
    if pd.isna(row["snr_db"]):
        return context.words.say("chart.hover_rssi", rssi=rssi)
    snr = formats.level_text(float(row["snr_db"]), "dB")
    return context.words.say("chart.hover_level", rssi=rssi, snr=snr)


def _frame(context: Context, row: pd.Series) -> str:
    if pd.isna(row["counter"]):
        return str(row["data_rate"])
    frame = context.words.say("chart.hover_frame", counter=int(row["counter"]))
    return " · ".join(part for part in (frame, str(row["data_rate"])) if part)


def _way(context: Context, row: pd.Series) -> str:
    if pd.isna(row["distance_m"]):
        return ""
    distance = context.units.length(float(row["distance_m"]))
    if pd.isna(row["bearing_deg"]):
        return distance
    bearing = formats.bearing_text(float(row["bearing_deg"]))
    return context.words.say("chart.hover_distance", distance=distance, bearing=bearing)


def mark_id(row: pd.Series) -> str:
    """Return the identity of a frame's mark, the same in every chart and map of the site."""
    return f"f{int(row['frame'])}"
