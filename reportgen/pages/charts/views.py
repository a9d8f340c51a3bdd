"""A drawing ready for its component: finished markup, texts and booleans."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from reportgen.pages.charts import chart_drawing, map_drawing, marks
from reportgen.pages.charts.description import (
    Chart,
    ChartWords,
    DataTable,
    MapView,
    Mark,
    PointSeries,
    Scale,
)
from reportgen.pages.charts.interactive import chart_json, map_json
from reportgen.pages.charts.scale import gradient, share
from reportgen.pages.formats import level_text


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyEntry:
    """A mark and what it means."""

    mark: Markup
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleStop:
    """A value under the colour bar, with its place in percent of the bar."""

    text: str
    style: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleView:
    """The colour bar."""

    label: str
    gradient: str
    stops: tuple[ScaleStop, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartView:
    """Everything the component puts in place."""

    key: str
    summary: str
    stills: tuple[Markup, ...]
    data: Markup
    marks: tuple[KeyEntry, ...]
    scale: ScaleView | None
    has_scale: bool
    has_table: bool
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    explore: str
    numbers: str
    is_map: bool


def chart_view(chart: Chart, words: ChartWords) -> ChartView:
    """Return a chart ready to be put on a page."""
    forms = (chart_drawing.WIDE, chart_drawing.NARROW)
    return _view(
        chart.key,
        chart.summary,
        tuple(chart_drawing.chart_svg(chart, form) for form in forms),
        chart_json(chart),
        _marks(chart.series, chart.scale),
        chart.scale,
        chart.table,
        words,
        is_map=False,
    )


def map_view(view: MapView, words: ChartWords) -> ChartView:
    """Return a map ready to be put on a page."""
    sheets = (map_drawing.WIDE, map_drawing.NARROW)
    return _view(
        view.key,
        view.summary,
        tuple(map_drawing.map_svg(view, sheet, words) for sheet in sheets),
        map_json(view, words),
        (*_marks(view.points, view.scale), *_map_marks(view, words)),
        view.scale,
        view.table,
        words,
        is_map=True,
    )


def _view(
    key: str,
    summary: str,
    stills: tuple[str, ...],
    data: str,
    key_entries: tuple[KeyEntry, ...],
    scale: Scale | None,
    table: DataTable,
    words: ChartWords,
    *,
    is_map: bool,
) -> ChartView:
    return ChartView(
        key=key,
        summary=summary,
        stills=tuple(Markup(still) for still in stills),  # noqa: S704 - drawn by us, texts escaped
        data=Markup(data),  # noqa: S704 - JSON with <, > and & escaped
        marks=key_entries,
        scale=None if scale is None else _scale(scale),
        has_scale=scale is not None,
        has_table=bool(table.rows),
        headings=table.headings,
        rows=table.rows,
        explore=words.explore,
        numbers=words.numbers,
        is_map=is_map,
    )


def _marks(series: tuple[PointSeries, ...], scale: Scale | None) -> tuple[KeyEntry, ...]:
    entries: dict[tuple[Mark, str], KeyEntry] = {}
    for item in series:
        is_scaled = item.mark is Mark.HEARD and item.level is not None and scale is not None
        css = "key-scaled" if is_scaled else ""
        shape = marks.key_mark(item.mark).replace('class="key-mark"', f'class="key-mark {css}"')
        entries[item.mark, item.name] = KeyEntry(mark=Markup(shape), label=item.name)  # noqa: S704
    return tuple(entries.values())


def _map_marks(view: MapView, words: ChartWords) -> tuple[KeyEntry, ...]:
    shapes = []
    if any(station.is_own for station in view.stations):
        shapes.append((marks.station(12, 12, is_own=True), words.own_station))
    if any(not station.is_own for station in view.stations):
        shapes.append((marks.station(12, 12, is_own=False), words.other_station))
    if view.photos:
        square = '<rect class="photo-mark-key" x="4" y="4" width="16" height="16"/>'
        shapes.append((square, words.photo))
    if view.lines:
        shapes.append(('<path class="track" d="M1 18L9 8l5 5L23 5"/>', words.track))
    return tuple(
        KeyEntry(
            mark=Markup(  # noqa: S704
                f'<svg class="key-mark" viewBox="0 0 24 24" aria-hidden="true">{shape}</svg>'
            ),
            label=label,
        )
        for shape, label in shapes
    )


def _scale(scale: Scale) -> ScaleView:
    middle = (scale.low + scale.high) / 2
    return ScaleView(
        label=scale.label,
        gradient=f"linear-gradient(to right, {gradient()})",
        stops=tuple(
            ScaleStop(text=level_text(value, scale.unit), style=_stop_style(share(value, scale)))
            for value in (scale.low, middle, scale.high)
        ),
    )


def _stop_style(place: float) -> str:
    """Return where a value stands under the bar; those at its ends stay inside it."""
    return f"left: {100 * place:.1f}%; transform: translateX(-{100 * place:.0f}%)"
