"""The page of photo points: a map of them, and a card for each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from reportgen.match.photos import NearestPoint, PhotoMatch
from reportgen.pages import formats
from reportgen.pages.camera_clock_part import clock_notes
from reportgen.pages.charts.views import ChartView
from reportgen.pages.context import Context, PictureView, photo_anchor, photo_number, picture_view
from reportgen.pages.maps import is_on_the_map, map_anchor, photo_map
from reportgen.pages.photo_aim_part import (
    AimView,
    aim_sentence,
    aim_view,
    heading_sentence,
)
from reportgen.pages.photo_head_part import SightView, photo_facts, sight_view
from reportgen.pages.photo_levels_part import (
    LevelKey,
    StationLevels,
    level_key,
    station_levels,
    walks_shown,
)
from reportgen.pages.place_part import place_note
from reportgen.pages.views import Cell, Grid, Labelled, headings, text_cell
from reportgen.results.figure import FigureBook


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoHead:
    """What is told of a photo wherever it stands: picture, title, figures."""

    anchor: str
    number: int
    title: str
    picture: PictureView
    has_figures: bool
    figures: tuple[Labelled, ...]
    alert: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoCard:
    """One photo with its figures, for a reader who wants to know what was heard there."""

    head: PhotoHead
    aim: AimView
    sight: SightView
    levels: tuple[StationLevels, ...]
    map_href: str
    """Its place on the map of this page; blank where it has none there."""
    notes: tuple[str, ...]
    has_placing: bool
    placing_title: str
    placing: tuple[str, ...]
    """How the photo was matched: what a reader may want to check."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotosView:
    """The whole page."""

    title: str
    intro: str
    place_note: str
    has_photos: bool
    has_map: bool
    map: ChartView | None
    level_key: LevelKey
    has_level_key: bool
    cards: tuple[PhotoCard, ...]
    has_surroundings: bool
    has_levels: bool
    levels: Grid
    levels_note: str
    no_levels: str


def photos_view(context: Context) -> PhotosView:
    """Return the page of photo points."""
    say = context.words.say
    matches = context.results.joined.photos
    placed = _placed(context)
    has_map = has_photo_map(context)
    radius = context.units.length(context.campaign.matching.photo_radius_m)
    key = "photo.intro_coarse" if context.is_coarse else "photo.intro"
    intro = say(key, station=context.home.name, radius=radius)
    levels, levels_note = _levels(context)
    cards = tuple(_card(context, match) for match in matches)
    return PhotosView(
        title=say("photo.title") if matches else say("photo.none_title"),
        intro=intro if matches else say("photo.none"),
        place_note=place_note(context, "photos") if matches else "",
        has_photos=bool(matches),
        has_map=has_map,
        map=photo_map(context, placed) if has_map else None,
        level_key=level_key(context),
        has_level_key=any(card.levels for card in cards),
        cards=cards,
        has_surroundings=not context.is_coarse,
        has_levels=not levels.is_empty,
        levels=levels,
        levels_note=levels_note,
        no_levels=say("photo.nothing_here", radius=radius),
    )


def has_photo_map(context: Context) -> bool:
    """Whether the page has a map, since it is known of a photo where it was taken."""
    return bool(_placed(context))


def _placed(context: Context) -> tuple[PhotoMatch, ...]:
    return tuple(match for match in context.results.joined.photos if match.position is not None)


def photo_heads(context: Context) -> tuple[PhotoHead, ...]:
    """Return what the head of the card of every photo of the campaign says."""
    return tuple(_head(context, match) for match in context.results.joined.photos)


def _head(context: Context, match: PhotoMatch) -> PhotoHead:
    figures = _figures(context, match)
    return PhotoHead(
        anchor=photo_anchor(match),
        number=photo_number(context, match),
        title=match.photo.caption
        or context.words.say("photo.number", number=photo_number(context, match)),
        picture=replace(
            picture_view(context, match, up="", sizes="(min-width: 900px) 520px, 100vw"),
            facts=photo_facts(context, match),
        ),
        has_figures=bool(figures),
        figures=figures,
        alert=_alert(context, match),
    )


def _card(context: Context, match: PhotoMatch) -> PhotoCard:
    return PhotoCard(
        head=_head(context, match),
        aim=aim_view(context, match),
        sight=sight_view(context, match),
        levels=station_levels(context, match),
        map_href=f"#{map_anchor(match)}" if is_on_the_map(context, match) else "",
        notes=tuple(_notes(context, match)),
        has_placing=not context.is_coarse,
        placing_title=context.words.say("photo.placing"),
        placing=tuple(_placing(context, match)),
    )  # fmt: skip


def _alert(context: Context, match: PhotoMatch) -> str:
    if match.disagreement_m is not None:
        away = context.units.length(match.disagreement_m)
        return context.words.say("photo.disagrees", distance=away)
    if match.position is None and not match.is_matched and not context.is_coarse:
        return context.words.say("photo.unplaced")
    return ""


def _figures(context: Context, match: PhotoMatch) -> tuple[Labelled, ...]:
    if match.position is None:
        return ()
    say, figures, book = context.words.say, context.figures, context.results.figures
    path = f"photo.{match.photo.key}"
    here = f"{path}.station.{context.home.key}"
    away_m = book[f"{path}.distance_m"].number
    items = [
        figures.labelled(
            f"{path}.distance_m",
            say("photo.distance", station=context.home.name),
            "" if away_m is None else context.units.other(away_m),
        ),
        figures.labelled(f"{path}.bearing_deg", say("photo.bearing"), _compass(context, path)),
        figures.labelled(f"{here}.frames_heard", say("photo.frames"), _of_sent(context, here)),
    ]
    # Levels of nothing heard would be four times "not known" and say no more.
    if (book[f"{here}.frames_heard"].number or 0) > 0:
        items += [_level(context, here, "rssi_dbm", "rssi"), _level(context, here, "snr_db", "snr")]
    if not book[f"{path}.elevation_deg"].absent_reason:
        items.append(figures.labelled(f"{path}.elevation_deg", say("photo.elevation")))
    return tuple(items)


def _compass(context: Context, path: str) -> str:
    bearing_deg = context.results.figures[f"{path}.bearing_deg"].number
    back = context.results.figures[f"{path}.bearing_back_deg"].number
    if bearing_deg is None or back is None:
        return ""
    turned = context.words.say("photo.bearing_back", text=formats.bearing_text(back))
    return f"{context.compass(bearing_deg)}; {turned}"


def _of_sent(context: Context, here: str) -> str:
    sent = context.results.figures[f"{here}.frames_sent"].number
    radius = context.units.length(context.campaign.matching.photo_radius_m)
    if sent is None:
        heard = context.results.figures[f"{here}.frames_heard"].number
        key = "photo.frames_uncounted" if heard else "photo.frames_none_known"
        return context.words.say(key, radius=radius)
    told = context.words.say("photo.frames_of", sent=formats.number_text(sent), radius=radius)
    interval = context.figures.view(f"{here}.delivery_ratio").working.interval
    return f"{told}; {interval}" if interval else told


def _level(context: Context, here: str, column: str, label: str) -> Labelled:
    low = context.figures.view(f"{here}.{column}_lower_quartile")
    high = context.figures.view(f"{here}.{column}_upper_quartile")
    worst = context.figures.view(f"{here}.{column}_worst")
    best = context.figures.view(f"{here}.{column}_best")
    note = ""
    if not low.is_absent:
        middle = context.words.say("photo.quartiles", low=low.text, high=high.text)
        whole = context.words.say("photo.range", worst=worst.text, best=best.text)
        note = f"{middle}; {whole}"
    return context.figures.labelled(
        f"{here}.{column}_median", context.words.say(f"photo.{label}"), note
    )


def _notes(context: Context, match: PhotoMatch) -> list[str]:
    """Return where to look and when that was, in a sentence each."""
    say, time_utc = context.words.say, match.time.time_utc
    aim = aim_sentence(context, f"photo.{match.photo.key}")
    walk = say("photo.on_no_walk")
    if match.walk:
        walk = say("photo.on_the_walk", walk=context.walk_title(match.walk))
    if time_utc is None:
        when = say("photo.when_unknown", walk=walk)
    else:
        clock = context.clock(time_utc, seconds=False)
        when = say("photo.when", date=context.date(time_utc), time=clock, walk=walk)
    covered = len(match.photo.hidden)
    notes = [aim, when, context.words.count("photo.covered", covered) if covered else ""]
    return [note for note in notes if note]


def _placing(context: Context, match: PhotoMatch) -> list[str]:
    say = context.words.say
    notes = [_taken(context, match), *clock_notes(context, match)]
    if match.walk:
        notes.append(say("photo.on_walk", walk=context.walk_title(match.walk)))
    else:
        notes.append(say("photo.no_walk"))
    if match.position_how:
        notes.append(_place(context, match))
    notes += _matches(context, match)
    notes.append(heading_sentence(context, match))
    return notes


def _taken(context: Context, match: PhotoMatch) -> str:
    time = match.time
    if time.time_utc is None:
        return context.words.say("photo.untimed")
    error_s = time.corrected_s
    return context.words.say(
        "photo.taken_corrected" if error_s else "photo.taken",
        date=context.date(time.time_utc),
        time=context.clock(time.time_utc),
        how=context.words.say(f"photo.how_{time.how.replace(' ', '_').lower()}"),
        error=formats.duration_text(error_s),
        direction=context.words.say("photo.ahead" if error_s > 0 else "photo.behind"),
    )


def _place(context: Context, match: PhotoMatch) -> str:
    track = match.on_track
    if match.position_how == "track" and track is not None and not track.is_sure:
        return context.words.say("photo.place_unsure", gap=formats.duration_text(track.gap_s))
    return context.words.say(f"photo.place_from_{match.position_how}")


def _matches(context: Context, match: PhotoMatch) -> list[str]:
    say = context.words.say
    notes = []
    if match.by_time is not None:
        away = _away(context, match.by_time)
        key = "photo.by_time" if away else "photo.by_time_no_distance"
        notes.append(say(key, time=_residual(context, match.by_time), distance=away))
    elif match.time.time_utc is not None:
        notes.append(say("photo.no_by_time"))
    if match.by_place is not None:
        time = _residual(context, match.by_place)
        key = "photo.by_place" if time else "photo.by_place_no_time"
        notes.append(say(key, distance=_away(context, match.by_place), time=time))
    elif match.position_how in {"track", "log"}:
        notes.append(say("photo.no_by_place"))
    elif match.position_how == "photo":
        notes.append(say("photo.far_by_place"))
    if match.on_track is not None:
        notes.append(say("photo.on_track", time=_residual(context, match.on_track.nearest)))
    if match.own_reception is not None and match.own_reception.distance_m is not None:
        away = context.units.length(match.own_reception.distance_m)
        notes.append(say("photo.own_reception", station=context.home.name, distance=away))
    return notes


def _residual(context: Context, point: NearestPoint) -> str:
    if point.time_residual_s is None:
        return ""
    if round(point.time_residual_s) == 0:
        return context.words.say("photo.same_time")
    key = "photo.after" if point.time_residual_s > 0 else "photo.before"
    return context.words.say(key, duration=formats.duration_text(point.time_residual_s))


def _away(context: Context, point: NearestPoint) -> str:
    if point.distance_m is None:
        return ""
    return context.words.say("photo.away", distance=context.units.length(point.distance_m))


LEVEL_FIGURES = (
    "frames_sent", "frames_heard", "delivery_ratio", "rssi_dbm_median", "snr_db_median",
)  # fmt: skip
MOST_ROWS = 300
"""Of a longer table nobody reads the rows by walk, and they would make a page of megabytes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """What a row of the table tells of: a photo, a station, and one walk or all."""

    match: PhotoMatch
    station: str
    walk: str
    is_of_all: bool
    under: str


def _levels(context: Context) -> tuple[Grid, str]:
    """Return the table of levels around photos, and what it leaves out."""
    say = context.words.say
    radius = context.units.length(context.campaign.matching.photo_radius_m)
    rows = [row for match in context.results.joined.photos for row in _rows(context, match)]
    is_short = len(rows) > MOST_ROWS
    shown = [row for row in rows if row.is_of_all or not is_short]
    grid = Grid(
        caption=say("photo.table_caption", radius=radius),
        headings=headings(
            say("photo.column_photo"),
            say("walk.column_station"),
            say("walk.column_walk"),
            *(
                say(f"walk.column_{key}")
                for key in (
                    "sent",
                    "heard",
                    "ratio",
                    "median_rssi",
                    "median_snr",
                )
            ),
            numbers_from=3,
        ),
        rows=tuple(_cells(context, row) for row in shown),
    )
    return grid, say("photo.table_short") if is_short else ""


def _cells(context: Context, row: _Row) -> tuple[Cell, ...]:
    number = context.words.say("photo.number", number=photo_number(context, row.match))
    return (
        text_cell(number, href=f"#{photo_anchor(row.match)}", heading=True),
        text_cell(row.station),
        text_cell(row.walk),
        *(context.figures.cell(f"{row.under}.{name}") for name in LEVEL_FIGURES),
    )


def _is_known(book: FigureBook, under: str) -> bool:
    """Whether anything was heard there, or is known to have been sent."""
    names = (f"{under}.frames_heard", f"{under}.frames_sent")
    return any(name in book and bool(book[name].number) for name in names)


def _rows(context: Context, match: PhotoMatch) -> Iterator[_Row]:
    path, book = f"photo.{match.photo.key}", context.results.figures
    has_more_walks = len(context.campaign.walks) > 1
    for station in context.results.joined.stations:
        told = walks_shown(context, match, station.key)
        of_all = (context.words.say("photo.all_walks"), f"{path}.station.{station.key}")
        by_walk = [
            (walk.title, f"{path}.walk.{walk.key}.station.{station.key}")
            for walk in context.campaign.walks
            if walk.key in told
        ]
        for title, under in (*([of_all] if has_more_walks else []), *by_walk):
            if _is_known(book, under):
                yield _Row(
                    match=match,
                    station=station.name,
                    walk=title,
                    is_of_all=(title, under) == of_all,
                    under=under,
                )
