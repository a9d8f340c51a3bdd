"""The charts of a walk: signal over time and over distance."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.match.positions import epoch_s
from reportgen.pages import formats
from reportgen.pages.chart_words import chart_words
from reportgen.pages.charts.description import (
    Axis,
    Chart,
    DataTable,
    Mark,
    PointSeries,
    Rule,
)
from reportgen.pages.charts.thinning import Points, drawn
from reportgen.pages.charts.ticks import DAY_S
from reportgen.pages.charts.views import ChartView, chart_view
from reportgen.pages.context import Context
from reportgen.pages.marks import (
    frame_numbers,
    heard_parts,
    level_scale,
    missed_texts,
    reception_texts,
)
from reportgen.results.bins import Bin, distance_bins, time_bins
from reportgen.results.delivery import missed_flags
from reportgen.results.walks import WalkResult

ROOM_SHARE = 0.02
ROOM_DB = 4.0
STRIP_DB = 10.0
"""Room below the weakest level where frames stand that have none."""

Place = Callable[[pd.DataFrame], NDArray[np.float64]]


def over_time(context: Context, result: WalkResult) -> ChartView:
    """Return the chart of every reception's RSSI over local time."""
    say = context.words.say
    timed = result.receptions[result.receptions["time_utc"].notna()]
    shift_s = _wall_clock_shift_s(timed, context.zone)

    def local_s(table: pd.DataFrame) -> NDArray[np.float64]:
        return epoch_s(table["time_utc"]) + shift_s

    points = _points(context, result, local_s)
    median = f"walk.{result.walk.key}.station.{context.home.key}.rssi_dbm_median"
    first_s, last_s = _span(np.concatenate([local_s(result.frames), local_s(timed)]))
    low_s, high_s = _with_room(first_s, last_s)
    is_one_day = first_s // DAY_S == last_s // DAY_S

    def moment(local_s: float) -> str:
        if is_one_day:
            return _clock(local_s)
        date = context.date(dt.datetime.fromtimestamp(local_s - shift_s, dt.UTC))
        return say("chart.moment", date=date, time=_clock(local_s))

    chart = Chart(
        key=f"{result.walk.key}-time",
        title=say("walk.time_title"),
        summary=say(
            "walk.time_summary",
            start=moment(first_s),
            end=moment(last_s),
            median=context.figures.view(median).text,
        ),
        x=Axis(
            label=say("chart.time_axis", zone=context.zone),
            unit="",
            kind="time",
            low=low_s,
            high=high_s,
        ),
        y=_level_axis(context, result),
        series=drawn(points, by_x=True),
        points_in_all=sum(len(item.x) for item in points),
        rules=_rules(context, result),
        scale=level_scale(context).scale,
        table=frames_table(
            context,
            time_bins(result.frames, _own(context, result)),
            "chart.bin_time",
            lambda value: moment(value + shift_s),
        ),
    )
    return chart_view(chart, chart_words(context))


def time_series(context: Context, result: WalkResult) -> tuple[PointSeries, ...]:
    """Return what the chart over time draws, by seconds since 1970."""
    return drawn(_points(context, result, lambda table: epoch_s(table["time_utc"])), by_x=True)


def over_distance(context: Context, result: WalkResult) -> ChartView:
    """Return the chart of every own reception's RSSI over the distance to the station."""
    say = context.words.say

    far_m = result.frames["distance_m"].max()
    ruler_m, unit = context.units.axis(float(np.nan_to_num(far_m)))

    def away(table: pd.DataFrame) -> NDArray[np.float64]:
        return np.asarray(table["distance_m"], dtype=np.float64) / ruler_m

    points = [
        item for item in _points(context, result, away) if item.mark is not Mark.OTHER_STATION
    ]
    farthest = f"walk.{result.walk.key}.station.{context.home.key}.farthest_heard_m"
    _, high = _with_room(*_span(np.append(away(result.frames), 0.0)))
    chart = Chart(
        key=f"{result.walk.key}-distance",
        title=say("walk.distance_title"),
        summary=say(
            "walk.distance_summary",
            station=context.home.name,
            farthest=context.figures.view(farthest).text,
        ),
        x=Axis(
            label=say("chart.distance_axis", station=context.home.name),
            unit=unit,
            kind="linear",
            low=0.0,
            high=high,
        ),
        y=_level_axis(context, result),
        series=drawn(points, by_x=True),
        points_in_all=sum(len(item.x) for item in points),
        rules=_rules(context, result),
        scale=level_scale(context).scale,
        table=frames_table(
            context,
            distance_bins(result.frames, _own(context, result)),
            "chart.bin",
            context.units.length,
        ),
    )
    return chart_view(chart, chart_words(context))


def _own(context: Context, result: WalkResult) -> pd.DataFrame:
    return result.receptions[result.receptions["station"] == context.home.key]


def _wall_clock_shift_s(timed: pd.DataFrame, zone: str) -> float:
    """Return what turns UTC seconds into the campaign's wall clock: chart time has no zone."""
    first: dt.datetime = timed["time_utc"].min().to_pydatetime()
    offset = formats.local(first, zone).utcoffset()
    return 0.0 if offset is None else offset.total_seconds()


def _clock(local_s: float) -> str:
    return dt.datetime.fromtimestamp(local_s, dt.UTC).strftime("%H:%M")


def _span(values: NDArray[np.float64]) -> tuple[float, float]:
    """Return the smallest and largest known value."""
    known = values[np.isfinite(values)]
    return (float(known.min()), float(known.max())) if known.size else (0.0, 1.0)


def _with_room(low: float, high: float) -> tuple[float, float]:
    """Return the ends of an axis, with room for the marks that stand at its ends."""
    room = ROOM_SHARE * (high - low) or 1.0
    return low - room, high + room


def _levels_low_high(result: WalkResult) -> tuple[float, float]:
    levels = result.receptions["rssi_dbm"].dropna()
    return float(levels.min()), float(levels.max())


def _level_axis(context: Context, result: WalkResult) -> Axis:
    low, high = _levels_low_high(result)
    return Axis(label=context.words.say("chart.rssi_axis"), unit="dBm", kind="linear",
                low=low - ROOM_DB - STRIP_DB, high=high + ROOM_DB)  # fmt: skip


def _rules(context: Context, result: WalkResult) -> tuple[Rule, ...]:
    """Return the line below which frames stand that have no level."""
    if not missed_flags(result.frames, _own(context, result)).any():
        return ()
    low, _ = _levels_low_high(result)
    label = context.words.say("chart.no_level")
    return (Rule(value=low - ROOM_DB, label=label, is_floor=True),)


def _points(context: Context, result: WalkResult, place: Place) -> list[Points]:
    """Return receptions by station, and the own station's misses in their strip."""
    say = context.words.say
    own = _own(context, result)
    found = []
    missed = result.frames[missed_flags(result.frames, own)]
    is_inferred = missed["time_known"] == "inferred"
    for part, mark, key in (
        (missed[~is_inferred], Mark.MISSED, "key.missed"),
        (missed[is_inferred], Mark.MISSED_PLACED, "key.missed_placed"),
    ):
        x = place(part)
        rows = part[np.isfinite(x)]
        found.append(
            Points(
                name=say(key, station=context.home.name),
                mark=mark,
                x=x[np.isfinite(x)],
                y=np.full(len(rows), _levels_low_high(result)[0] - ROOM_DB - STRIP_DB / 2),
                level=None,
                ids=frame_numbers(rows),
                texts=missed_texts(context, rows),
            )
        )
    for name, rows in _by_other_stations(context, result):
        found.append(_received(context, name, Mark.OTHER_STATION, rows, place))
    return found + [
        _received(context, heard.name, Mark.HEARD, heard.rows, place, heard.level)
        for heard in heard_parts(context, own)
    ]


def _received(
    context: Context,
    name: str,
    mark: Mark,
    rows: pd.DataFrame,
    place: Place,
    level: NDArray[np.float64] | None = None,
) -> Points:
    """Return the receptions that have both coordinates."""
    x, y = place(rows), rows["rssi_dbm"].to_numpy(dtype=float)
    keep = np.isfinite(x) & np.isfinite(y)
    return Points(
        name=name,
        mark=mark,
        x=x[keep],
        y=y[keep],
        level=None if level is None else level[keep],
        ids=frame_numbers(rows[keep]),
        texts=reception_texts(context, rows[keep]),
    )


def _by_other_stations(context: Context, result: WalkResult) -> Iterator[tuple[str, pd.DataFrame]]:
    """Yield the receptions of all others together, and of each own station beside the first.

    Which of the others it was stands in the hover text.
    """
    say, receptions = context.words.say, result.receptions
    yield say("key.by_others"), receptions[~receptions["is_own"]]
    for station in result.stations:
        if station.is_own and station.key != context.home.key:
            name = say("key.by_own", station=station.name)
            yield name, receptions[receptions["station"] == station.key]


def frames_table(
    context: Context, bins: tuple[Bin, ...], heading: str, end: Callable[[float], str]
) -> DataTable:
    """Return the numbers behind a chart: heard, missed and median level by step."""
    say = context.words.say
    return DataTable(
        headings=(
            say(heading),
            say("walk.column_heard"),
            say("chart.missed"),
            say("walk.column_median_rssi"),
        ),
        rows=tuple(
            (
                say("chart.bin_range", low=end(item.low), high=end(item.high)),
                formats.number_text(item.heard),
                formats.number_text(item.missed),
                ""
                if item.median_rssi_dbm is None
                else formats.level_text(item.median_rssi_dbm, "dBm"),
            )
            for item in bins
        ),
    )
