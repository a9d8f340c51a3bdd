"""A drawing ready for its component: finished markup, texts and booleans."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from markupsafe import Markup

from reportgen.pages.charts import ink
from reportgen.pages.charts.chart_drawing import NARROW_SHARE, chart_svg
from reportgen.pages.charts.description import (
    Chart,
    ChartWords,
    DataTable,
    LineSeries,
    LineStyle,
    MapPhoto,
    MapView,
    Mark,
    PointSeries,
    Rule,
    Scale,
)
from reportgen.pages.charts.interactive import chart_json
from reportgen.pages.charts.interactive_map import map_json
from reportgen.pages.charts.keys import KeyEntry, ScaleView, entry, markup, scale_view
from reportgen.pages.charts.layer_view import NO_LAYERS, LayersView, layers_view, square_entries
from reportgen.pages.charts.layers import Layers, When
from reportgen.pages.charts.map_drawing import map_svg, when_of_points
from reportgen.pages.charts.map_layout import Frame, extent_of, frame_of, map_layout
from reportgen.pages.charts.marks import key_mark
from reportgen.pages.charts.thinning import lighter, points_in, thinned


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoLink:
    """A photo's number on the map, leading to its card."""

    number: str
    label: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoKey:
    """A mark of photos, what it says, and the photos that have it."""

    mark: Markup
    label: str
    links: tuple[PhotoLink, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoPlace:
    """A photo's place on the still map, in parts of the drawings: an address can lead to it."""

    anchor: str
    style: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TilesView:
    """The button that fetches tiles, what stands beside it, and the credit shown with them."""

    ask: str = ""
    note: str = ""
    attribution: str = ""

    @property
    def is_there(self) -> bool:
        """Whether a reader can ask for tiles."""
        return bool(self.ask)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartView:
    """Everything the component puts in place.

    `shape` tells the style sheet how high the drawings are, so that nothing moves when the
    interactive one takes their place. `is_live` is whether there is an interactive one.
    """

    key: str
    title: str
    summary: str
    note: str
    shape: str
    stills: tuple[Markup, ...]
    data: Markup
    marks: tuple[KeyEntry, ...]
    scale: ScaleView | None
    photos: tuple[PhotoKey, ...]
    tables: tuple[DataTable, ...]
    explore: str
    numbers: str
    is_map: bool
    layers: LayersView = NO_LAYERS
    places: tuple[PhotoPlace, ...] = ()
    tiles: TilesView = TilesView()
    is_live: bool = True
    keys: str = ""

    @property
    def has_note(self) -> bool:
        """Whether there is anything to say below the key."""
        return bool(self.note)

    @property
    def has_marks(self) -> bool:
        """Whether any mark needs explaining."""
        return bool(self.marks)

    @property
    def has_scale(self) -> bool:
        """Whether marks are coloured by level."""
        return self.scale is not None

    @property
    def has_photos(self) -> bool:
        """Whether photos stand on the map."""
        return bool(self.photos)

    @property
    def has_table(self) -> bool:
        """Whether the numbers are there as a table."""
        return bool(self.tables)


def chart_view(chart: Chart, words: ChartWords) -> ChartView:
    """Return a chart ready to be put on a page."""
    heights = (chart.height, NARROW_SHARE * chart.height)
    return ChartView(
        key=chart.key,
        title=chart.title,
        summary=chart.summary,
        note=_note(
            chart.note,
            chart.series,
            chart.points_in_all,
            words,
            by_x=True,
            is_empty=not chart.lines,
        ),
        shape=_shape(heights),
        stills=tuple(markup(chart_svg(chart, size)) for size in (ink.WIDE, ink.NARROW)),
        data=markup(chart_json(chart, words)),
        marks=(*_marks(chart.series, chart.scale), *_lines(chart.lines), *_rules(chart.rules)),
        scale=scale_view(chart.scale, chart.series, words),
        photos=(),
        tables=_tables(chart.table),
        explore=words.explore,
        keys=words.keys,
        numbers=words.numbers,
        is_map=False,
    )


def map_view(view: MapView, words: ChartWords) -> ChartView:
    """Return a map ready to be put on a page."""
    sizes = (ink.WIDE, ink.NARROW)
    per_metre = frame_of(extent_of(view), ink.WIDE).per_metre
    lines, passed_m = lighter(view.lines, ink.SEEN / per_metre)
    view = replace(view, lines=lines)
    wide, narrow = (map_layout(view, size, words) for size in sizes)
    shown = (*view.lines, *view.areas, *view.photos, *view.stations)
    return ChartView(
        key=view.key,
        title=view.title,
        summary=view.summary,
        note=_note(
            _credits(view, words, passed_m),
            view.points,
            view.points_in_all,
            words,
            by_x=False,
            is_empty=not shown,
        ),
        shape=_shape((wide.frame.height, narrow.frame.height)),
        stills=(
            markup(map_svg(view, ink.WIDE, wide)),
            markup(map_svg(view, ink.NARROW, narrow)),
        ),
        data=markup(map_json(view, words, wide, narrow) if view.is_live else ""),
        is_live=view.is_live,
        marks=(
            *_marks(view.points, view.scale, view.layers),
            *_map_marks(view, words),
            *_lines(view.areas),
            *square_entries(view),
        ),
        scale=_own_scale(view, words),
        photos=tuple(_photo_keys(view.photos, words)),
        tables=_tables(view.table, view.squares_table),
        explore=words.explore,
        keys=words.keys,
        numbers=words.numbers,
        is_map=True,
        layers=layers_view(view),
        places=_places(view),
        tiles=_tiles(view, words),
    )


def _tiles(view: MapView, words: ChartWords) -> TilesView:
    if view.tiles is None:
        return TilesView()
    host = view.tiles.host
    return TilesView(
        ask=words.tiles_ask(host),
        note=words.tiles_note(host),
        attribution=view.tiles.attribution,
    )


def _photo_keys(photos: Iterable[MapPhoto], words: ChartWords) -> Iterator[PhotoKey]:
    """Yield photos that look a known way, then those of which it is not known."""
    shown = list(photos)
    for mark, label, is_aimed in (
        (Mark.PHOTO, words.photo, True),
        (Mark.PHOTO_UNAIMED, words.photo_unaimed, False),
    ):
        links = tuple(
            PhotoLink(number=str(photo.number), label=photo.label, href=photo.href)
            for photo in shown
            if (photo.heading_deg is not None) is is_aimed
        )
        if links:
            yield PhotoKey(mark=markup(key_mark(mark)), label=label, links=links)


def _credits(view: MapView, words: ChartWords, passed_m: float) -> str:
    """Return what is to be said of the map, of each picture under it, and of lines drawn roughly.

    `passed_m` is by how much these may pass beside the true ones.
    """
    pictures = (words.picture(picture.title) for picture in view.pictures)
    rough = words.rough(words.units.length(passed_m)) if passed_m else ""
    return " ".join(part for part in (view.note, *pictures, rough) if part)


def _places(view: MapView) -> tuple[PhotoPlace, ...]:
    """Return the places an address can lead to, as shares of both drawings' width and height."""
    frames = {size.name: frame_of(extent_of(view), size) for size in (ink.WIDE, ink.NARROW)}
    return tuple(
        PhotoPlace(
            anchor=photo.anchor,
            style="; ".join(_share(name, frame, photo) for name, frame in frames.items()),
        )
        for photo in view.photos
        if photo.anchor
    )


def _share(name: str, frame: Frame, photo: MapPhoto) -> str:
    x, y = frame.place(photo.x, photo.y)
    return f"--{name}-x: {x / frame.width:.2%}; --{name}-y: {y / frame.height:.2%}"


def _shape(heights: Iterable[float]) -> str:
    """Return the proportions of the drawings as properties of the style sheet."""
    return "; ".join(
        f"--{size.name}: {size.width:g} / {height:g}"
        for size, height in zip((ink.WIDE, ink.NARROW), heights, strict=True)
    )


def _note(
    note: str,
    points: tuple[PointSeries, ...],
    in_all: int,
    words: ChartWords,
    *,
    by_x: bool,
    is_empty: bool,
) -> str:
    total, drawn = max(points_in(points), in_all), points_in(thinned(points, by_x=by_x))
    parts = [note]
    if drawn < total:
        parts.append(words.thinned(drawn, total))
    if is_empty and total == 0:
        parts.append(words.no_data)
    return " ".join(part for part in parts if part)


def _own_scale(view: MapView, words: ChartWords) -> ScaleView | None:
    """Return the colour bar; not with the ground of others, when nothing has its colours."""
    scale = scale_view(view.scale, view.points, words)
    if scale is None or view.layers is None:
        return scale
    return replace(scale, when=markup(When(ground=view.layers.own_grounds).attributes))


def _tables(*tables: DataTable | None) -> tuple[DataTable, ...]:
    return tuple(table for table in tables if table is not None and table.rows)


def _marks(
    series: Iterable[PointSeries], scale: Scale | None, layers: Layers | None = None
) -> tuple[KeyEntry, ...]:
    """Return each kind of mark once, what was heard first."""
    order = list(Mark)
    entries: dict[tuple[Mark, str], KeyEntry] = {}
    for item in sorted(series, key=lambda item: order.index(item.mark)):
        is_scaled = item.mark is Mark.HEARD and item.level is not None and scale is not None
        shape = markup(key_mark(item.mark, is_scaled=is_scaled))
        ground = replace(when_of_points(item, layers), walk=())
        made = KeyEntry(mark=shape, label=item.name, when=markup(ground.attributes))
        entries.setdefault((item.mark, item.name), made)
    return tuple(entries.values())


def _lines(lines: Iterable[LineSeries]) -> tuple[KeyEntry, ...]:
    marks = {
        LineStyle.TRACK: Mark.TRACK,
        LineStyle.AREA: Mark.AREA,
        LineStyle.OVERLAY: Mark.LINE,
        LineStyle.STATION: Mark.STATION_LINE,
    }
    kinds = dict.fromkeys((marks[line.style], line.name) for line in lines)
    return tuple(entry(*kind) for kind in kinds)


def _rules(rules: Iterable[Rule]) -> tuple[KeyEntry, ...]:
    mark = markup(key_mark(Mark.RULE))
    return tuple(
        KeyEntry(mark=mark, label=rule.label, is_narrow_only=not rule.is_floor) for rule in rules
    )


def _map_marks(view: MapView, words: ChartWords) -> tuple[KeyEntry, ...]:
    frame = frame_of(extent_of(view), ink.WIDE)
    stations = {s.is_own for s in view.stations if frame.shows(frame.place(s.x, s.y))}
    kinds = (
        (Mark.STATION, words.own_station, True in stations),
        (Mark.STATION_OTHER, words.other_station, False in stations),
        (Mark.TRACK, words.track, any(line.style is LineStyle.TRACK for line in view.lines)),
    )
    return tuple(entry(mark, label) for mark, label, is_there in kinds if is_there)
