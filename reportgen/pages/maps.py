"""The maps: the whole campaign, one walk, the photos. True proportion, no tiles."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.geodesy import local_metres
from reportgen.match.photos import PhotoMatch
from reportgen.model.parts import parts_by
from reportgen.model.station import Position
from reportgen.pages.chart_words import chart_words
from reportgen.pages.charts.description import (
    DataTable,
    LineSeries,
    LineStyle,
    MapPhoto,
    MapStation,
    MapView,
    Mark,
)
from reportgen.pages.charts.thinning import Points, drawn
from reportgen.pages.charts.views import ChartView, map_view
from reportgen.pages.context import Context, photo_anchor, photo_number
from reportgen.pages.file_names import overlay_title
from reportgen.pages.map_layers import (
    has_only_common_squares,
    map_layers,
    squares_table,
    walk_numbers,
)
from reportgen.pages.map_pictures import map_tiles, overlay_pictures
from reportgen.pages.marks import (
    Indexes,
    frame_numbers,
    heard_parts,
    level_scale,
    missed_texts,
    reception_texts,
)
from reportgen.pages.plots import frames_table
from reportgen.results.bins import distance_bins
from reportgen.results.delivery import heard_flags, missed_flags
from reportgen.results.others import heard_by_others_only
from reportgen.results.walks import WalkResult

NO_NUMBERS: Mapping[str, str] = MappingProxyType({})

HALF_VIEW_DEG = 25.0
"""Half-angle of a drawn view wedge where the photo does not state its lens; a mark, no measure."""


@dataclass(frozen=True, slots=True)
class Ground:
    """Local metres around an origin."""

    origin: Position

    def metres(
        self, latitude_deg: object, longitude_deg: object
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Return metres east and north of the origin."""
        return local_metres(
            np.asarray(latitude_deg, dtype=np.float64),
            np.asarray(longitude_deg, dtype=np.float64),
            self.origin.latitude_deg,
            self.origin.longitude_deg,
        )

    def of(self, table: pd.DataFrame) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Return metres of the placed rows of a table."""
        return self.metres(table["latitude_deg"], table["longitude_deg"])


def campaign_map(context: Context) -> ChartView:
    """Return the map of all walks."""
    say = context.words.say
    walks = context.results.walks
    joined = context.results.joined
    summary = say("overview.map_summary", station=context.home.name)
    return _map(
        context, "campaign", say("overview.map_title"), summary, walks, joined.frames,
        joined.receptions, joined.photos, "", has_layers=True,
    )  # fmt: skip


def walk_map(context: Context, result: WalkResult) -> ChartView:
    """Return the map of one walk."""
    home = f"walk.{result.walk.key}.station.{context.home.key}"
    missed = context.figures.view(f"{home}.frames_missed")
    key = "walk.map_summary_uncounted" if missed.is_absent else "walk.map_summary"
    summary = context.words.count(
        key,
        int(context.results.figures[f"{home}.frames_heard"].number or 0),
        heard=context.figures.view(f"{home}.frames_heard").text,
        missed=missed.text,
        station=context.home.name,
    )
    photos = [match for match in context.results.joined.photos if match.photo.key in result.photos]
    return _map(
        context, f"{result.walk.key}-map", context.words.say("walk.map_title"), summary, (result,),
        result.frames, result.receptions, photos, "../", has_layers=True,
    )  # fmt: skip


def others_map(context: Context) -> ChartView:
    """Return the map of frames that somebody else's station heard and no own one did."""
    joined = context.results.joined
    alone = joined.frames[heard_by_others_only(joined)]
    theirs = joined.receptions[~joined.receptions["is_own"]]
    return _map(
        context, "others", context.words.say("others.map_title"),
        context.words.count("others.map_summary", len(alone)), context.results.walks, alone,
        theirs, (), "",
    )  # fmt: skip


def photo_map(context: Context, matches: Iterable[PhotoMatch]) -> ChartView:
    """Return the map of the photos, on the ground that was walked."""
    placed = tuple(match for match in matches if _is_on_the_ground(context, match))
    nothing = context.results.joined.receptions.iloc[:0]
    return _map(
        context, "photos", context.words.say("photo.map_title"),
        context.words.count("photo.map_summary", len(placed)), context.results.walks,
        context.results.joined.frames.iloc[:0], nothing, placed, "",
    )  # fmt: skip


def _map(
    context: Context,
    key: str,
    title: str,
    summary: str,
    walks: Sequence[WalkResult],
    frames: pd.DataFrame,
    receptions: pd.DataFrame,
    photos: Iterable[PhotoMatch],
    up: str,
    *,
    has_layers: bool = False,
) -> ChartView:
    ground = Ground(_origin(context))
    layers = map_layers(context, walks) if has_layers else None
    numbers = walk_numbers(walks) if layers else {}
    own = receptions[receptions["station"] == context.home.key]
    points = map_points(context, frames, receptions, numbers)
    view = MapView(
        key=key,
        title=title,
        summary=summary,
        stations=_stations(context, ground),
        points=drawn(points, by_x=False),
        points_in_all=sum(len(item.x) for item in points),
        lines=tuple(_tracks(ground, walks, numbers)),
        areas=_overlays(context, ground),
        photos=_photos(context, ground, photos, up),
        # One file alone has no pictures beside it, and asks no host for any.
        pictures=() if context.is_alone else overlay_pictures(context, ground.origin, up),
        has_rings=context.home.position is not None,
        scale=level_scale(context).scale if len(own) else None,
        table=_table(context, frames, own),
        layers=layers,
        note=context.words.say("squares.common_only")
        if layers and has_only_common_squares(context, walks)
        else "",
        squares_table=squares_table(context, walks) if layers else None,
        is_live=not context.is_alone,
    )
    asked = None if context.is_alone else context.campaign.tiles
    tiles = map_tiles(asked, view, ground.origin)
    return map_view(replace(view, tiles=tiles), chart_words(context))


def _origin(context: Context) -> Position:
    """Return the own station's place, else any place of the campaign, else the equator."""
    if context.home.position is not None:
        return context.home.position
    for table in (context.campaign.track_points, context.results.joined.receptions):
        placed = table[table["latitude_deg"].notna()]
        if len(placed):
            return Position(
                latitude_deg=float(placed["latitude_deg"].median()),
                longitude_deg=float(placed["longitude_deg"].median()),
            )
    return Position(latitude_deg=0.0, longitude_deg=0.0)


def _stations(context: Context, ground: Ground) -> tuple[MapStation, ...]:
    stations = []
    for station in context.results.joined.stations:
        if station.position is None:
            continue
        east, north = ground.metres(station.position.latitude_deg, station.position.longitude_deg)
        stations.append(
            MapStation(name=station.name, x=float(east), y=float(north), is_own=station.is_own)
        )
    return tuple(stations)


def map_points(
    context: Context,
    frames: pd.DataFrame,
    receptions: pd.DataFrame,
    numbers: Mapping[str, str] = NO_NUMBERS,
) -> list[Points]:
    """Return misses first, so that what was heard is drawn on top of them; walk by walk.

    `numbers` are those by which a reader can choose walks.
    """
    ground = Ground(_origin(context))
    own = receptions[receptions["station"] == context.home.key]
    # Who of the others it was would weigh on the page, and says nothing of the reach.
    who = _heard_by(context, receptions[receptions["is_own"]])
    found = []
    for mark, name, part in _missed_parts(context, frames, receptions):
        for walk, placed in _by_walk(part[part["latitude_deg"].notna()], numbers):
            texts = missed_texts(context, placed, who)
            found.append(_points(name, mark, ground, placed, texts, None, walk))
    for walk, mine in _by_walk(own[own["latitude_deg"].notna()], numbers):
        for heard in heard_parts(context, mine):
            texts = reception_texts(context, heard.rows)
            found.append(
                _points(heard.name, Mark.HEARD, ground, heard.rows, texts, heard.level, walk)
            )
    return found


def _missed_parts(
    context: Context, frames: pd.DataFrame, receptions: pd.DataFrame
) -> Iterator[tuple[Mark, str, pd.DataFrame]]:
    """Yield what the first own station missed, by who else heard it, with its name in the key."""
    say, home = context.words.say, context.home
    missed = frames[missed_flags(frames, receptions[receptions["station"] == home.key])]
    by_own = heard_flags(missed, receptions[receptions["is_own"]])
    by_others = heard_flags(missed, receptions) & ~by_own
    is_placed = (missed["place_known"] == "placed") & ~by_own & ~by_others
    is_alone = ~by_own & ~by_others & ~is_placed
    names = ", ".join(
        station.name
        for station in context.results.joined.stations
        if station.is_own and station.key != home.key
    )
    yield (
        Mark.MISSED_PLACED,
        say("key.missed_placed", station=home.name),
        missed[is_placed],
    )
    yield Mark.OTHER_STATION, say("key.other"), missed[by_others]
    yield (
        Mark.OTHER_STATION,
        say("key.by_own_only", station=home.name, others=names),
        missed[by_own],
    )
    yield Mark.MISSED, say("key.missed", station=home.name), missed[is_alone]


def _heard_by(context: Context, receptions: pd.DataFrame) -> Mapping[int, str]:
    """Return the names of the stations that heard each frame."""
    names = {station.key: station.name for station in context.results.joined.stations}
    heard = receptions[["frame", "station"]].drop_duplicates()
    who: dict[int, str] = {}
    for frame, station in zip(heard["frame"].tolist(), heard["station"].tolist(), strict=True):
        who[frame] = f"{who[frame]}, {names[station]}" if frame in who else names[station]
    return who


def _by_walk(rows: pd.DataFrame, numbers: Mapping[str, str]) -> list[tuple[str, pd.DataFrame]]:
    """Return the rows of each walk that a reader can choose; all at once where there is none."""
    if not numbers:
        return [("", rows)]
    parts = parts_by(rows, "walk")
    return [(number, parts.get(key, rows.iloc[:0])) for key, number in numbers.items()]


def _points(
    name: str,
    mark: Mark,
    ground: Ground,
    rows: pd.DataFrame,
    texts: Callable[[Indexes], tuple[str, ...]],
    level: NDArray[np.float64] | None,
    walk: str,
) -> Points:
    east, north = ground.of(rows)
    return Points(
        name=name,
        mark=mark,
        x=east,
        y=north,
        level=level,
        ids=frame_numbers(rows),
        texts=texts,
        walk=walk,
    )


def _tracks(
    ground: Ground, walks: Iterable[WalkResult], numbers: Mapping[str, str]
) -> Iterable[LineSeries]:
    """Yield a line per segment of each walk's track; recorded places where there is no track."""
    for result in walks:
        if result.track.empty:
            placed = result.receptions[result.receptions["latitude_deg"].notna()]
            parts = [placed.sort_values("time_utc", kind="stable")] if len(placed) > 1 else []
        else:
            parts = [part for _, part in result.track.groupby("segment")]
        for part in parts:
            east, north = ground.of(part)
            yield LineSeries(
                name=result.walk.title,
                style=LineStyle.TRACK,
                x=tuple(east.tolist()),
                y=tuple(north.tolist()),
                walk=numbers.get(result.walk.key, ""),
            )


def _outline(
    ground: Ground, places: tuple[tuple[float, float], ...], title: str, style: LineStyle
) -> LineSeries:
    latitude, longitude = zip(*places, strict=True)
    east, north = ground.metres(latitude, longitude)
    return LineSeries(
        name=title,
        style=style,
        x=tuple(east.tolist()),
        y=tuple(north.tolist()),
    )


def _overlays(context: Context, ground: Ground) -> tuple[LineSeries, ...]:
    return tuple(
        _outline(ground, places, title, style)
        for overlay in context.campaign.overlays
        for title in [overlay_title(context.words, overlay.path, overlay.title)]
        for style, parts in ((LineStyle.AREA, overlay.areas), (LineStyle.OVERLAY, overlay.lines))
        for places in parts
    )


def map_anchor(match: PhotoMatch) -> str:
    """Return the anchor of a photo's place on a map, such as ``photos.html#map-photo-<key>``."""
    return f"map-{photo_anchor(match)}"


def is_on_the_map(context: Context, match: PhotoMatch) -> bool:
    """Whether the map of the photos shows this one."""
    return match.position is not None and _is_on_the_ground(context, match)


def _is_on_the_ground(context: Context, match: PhotoMatch) -> bool:
    """Whether a photo belongs on the map: one from another town would shrink the walks to a dot."""
    joined = context.results.joined
    nothing_walked = joined.receptions.empty and joined.campaign.track_points.empty
    return match.is_matched or nothing_walked


def _photos(
    context: Context, ground: Ground, matches: Iterable[PhotoMatch], up: str
) -> tuple[MapPhoto, ...]:
    photos = []
    for match in matches:
        if match.position is None or not _is_on_the_ground(context, match):
            continue
        east, north = ground.metres(match.position.latitude_deg, match.position.longitude_deg)
        path, book = f"photo.{match.photo.key}", context.results.figures
        view_deg = book[f"{path}.field_of_view_deg"].number
        photos.append(
            MapPhoto(
                number=photo_number(context, match),
                label=context.words.say("photo.number", number=photo_number(context, match)),
                x=float(east),
                y=float(north),
                heading_deg=book[f"{path}.heading_deg"].number,
                half_angle_deg=HALF_VIEW_DEG if view_deg is None else view_deg / 2.0,
                href=f"{up}photos.html#{photo_anchor(match)}",
            )
        )
    return tuple(photos)


def _table(context: Context, frames: pd.DataFrame, own: pd.DataFrame) -> DataTable:
    return frames_table(context, distance_bins(frames, own), "chart.map_bin", context.units.length)
