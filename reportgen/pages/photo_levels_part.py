"""How strongly an own station heard what was sent around a photo, one bar for each walk."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import pandas as pd
from markupsafe import Markup

from reportgen.match.photos import PhotoMatch
from reportgen.model.station import Station
from reportgen.pages import formats
from reportgen.pages.charts.description import Scale
from reportgen.pages.charts.level_bar import LevelBar, bar_drawing, scale_drawing
from reportgen.pages.charts.scale import class_colour, level_class
from reportgen.pages.context import Context
from reportgen.pages.marks import LevelScale, level_scale, rssi_scale
from reportgen.results.photos import receptions_around

HIGHEST_MARGIN_DB = 50.0
"""Where bars of a margin end; stronger frames stand at that end."""


MOST_WALKS = 8
"""More walks of one place say little more to the eye, and make a page of two hundred photos weigh
tens of megabytes; the file of figures has them all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelRow:
    """One walk: what was heard from it."""

    walk: str
    bar: Markup
    heard: str
    beside: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StationLevels:
    """The walks that passed a photo, as one own station heard them."""

    caption: str
    walk_heading: str
    heard_heading: str
    ruler: Markup
    rows: tuple[LevelRow, ...]
    more: str
    """How many more walks passed than are shown; blank where all are."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelKey:
    """How to read the bars: a made-up one, and the sentence that explains it."""

    bar: Markup
    text: str


def station_levels(context: Context, match: PhotoMatch) -> tuple[StationLevels, ...]:
    """Return the bars of each own station; none where nothing is known to have been sent."""
    joined = context.results.joined
    radius_m = context.campaign.matching.photo_radius_m
    near = receptions_around(match.position, joined.receptions, radius_m)
    found = (
        _of_station(context, match, station, near[near["station"] == station.key])
        for station in joined.stations
        if station.is_own
    )
    return tuple(levels for levels in found if levels.rows)


def level_key(context: Context) -> LevelKey:
    """Return the key of the bars."""
    say = context.words.say
    scale = Scale(label="", unit="dB", low=0.0, high=HIGHEST_MARGIN_DB, limit=0.0)
    bar = LevelBar(
        levels=(9.0, 15.0, 17.0, 19.0, 22.0, 25.0, 33.0), low=16.0, median=19.0, high=23.5,
        colour=class_colour(level_class(19.0, scale)), spoken=say("levels.key_bar"),
    )  # fmt: skip
    column = _scale(context, context.home, context.results.joined.receptions.iloc[:0]).column
    high = formats.level_text(HIGHEST_MARGIN_DB, "dB")
    ends = say(f"levels.key_{column}", high=high)
    return LevelKey(bar=bar_drawing(bar, scale), text=say("levels.key", scale=ends))


def _of_station(
    context: Context, match: PhotoMatch, station: Station, heard: pd.DataFrame
) -> StationLevels:
    say, shown = context.words.say, _scale(context, station, heard)
    limit = say("levels.limit")
    return StationLevels(
        caption=say("levels.caption", station=station.name, what=shown.scale.label),
        walk_heading=say("walk.column_walk"),
        heard_heading=say("walk.column_heard"),
        ruler=scale_drawing(shown.scale, limit=limit, spoken=_ruler_spoken(context, shown.scale)),
        rows=tuple(_rows(context, match, station, heard, shown)),
        more=more_walks(context, match, station.key),
    )


def walks_passing(context: Context, match: PhotoMatch, station: str) -> list[str]:
    """Return the walks that passed a photo as a station knows, by how many frames it heard."""
    book = context.results.figures

    def count(walk: str, name: str) -> float:
        figure = f"photo.{match.photo.key}.walk.{walk}.station.{station}.{name}"
        return (book[figure].number or 0.0) if figure in book else 0.0

    known = [
        (count(walk.key, "frames_heard"), count(walk.key, "frames_sent"), walk.key)
        for walk in context.campaign.walks
    ]
    passing = [item for item in known if item[0] or item[1]]
    return [walk for *_, walk in sorted(passing, key=lambda item: (-item[0], -item[1]))]


def walks_shown(context: Context, match: PhotoMatch, station: str) -> frozenset[str]:
    """Return the walks of which a photo's card and table tell: those that say most."""
    return frozenset(walks_passing(context, match, station)[:MOST_WALKS])


def more_walks(context: Context, match: PhotoMatch, station: str) -> str:
    """Return how many more walks passed; blank where all are told of."""
    left = len(walks_passing(context, match, station)) - MOST_WALKS
    return context.words.count("levels.more_walks", left) if left > 0 else ""


def _ruler_spoken(context: Context, scale: Scale) -> str:
    return context.words.say(
        "levels.ruler",
        what=scale.label,
        low=formats.level_text(scale.low, scale.unit),
        high=formats.level_text(scale.high, scale.unit),
    )


def _scale(context: Context, station: Station, heard: pd.DataFrame) -> LevelScale:
    """Return what the bars of a station show, and from where to where.

    The margin of the squares on the map, else the site's scale, else the RSSI where none of the
    frames has a level on either.
    """
    margin = context.results.margin_columns[station.key]
    site = level_scale(context)
    if margin == "link_margin_db" and not _has_none(heard, margin):
        label = context.words.say("levels.margin")
        return LevelScale(
            column=margin,
            scale=Scale(label=label, unit="dB", low=0.0, high=HIGHEST_MARGIN_DB, limit=0.0),
        )
    shown = rssi_scale(context) if _has_none(heard, site.column) else site
    stated_dbm = context.campaign.radio.sensitivity_dbm
    if shown.column != "rssi_dbm" or stated_dbm is None:
        return shown
    return shown.with_limit(stated_dbm)


def _has_none(heard: pd.DataFrame, column: str) -> bool:
    return bool(len(heard) and heard[column].isna().all())


def _rows(
    context: Context, match: PhotoMatch, station: Station, heard: pd.DataFrame, shown: LevelScale
) -> Iterator[LevelRow]:
    told = walks_shown(context, match, station.key)
    levels_on = {
        str(walk): tuple(levels.dropna().tolist())
        for walk, levels in heard.groupby("walk", sort=False)[shown.column]
    }
    for walk in context.campaign.walks:
        under = f"photo.{match.photo.key}.walk.{walk.key}.station.{station.key}"
        is_known = context.results.figures.shows(f"{under}.frames_heard")
        if walk.key not in told or not is_known:
            continue
        bar = _bar(context, under, levels_on.get(walk.key, ()), shown)
        yield LevelRow(
            walk=walk.title,
            bar=bar_drawing(bar, shown.scale),
            heard=_heard(context, under),
            beside=_beside(context, under, bar),
        )


def _bar(context: Context, under: str, levels: tuple[float, ...], shown: LevelScale) -> LevelBar:
    book = context.results.figures
    low, median, high = (
        book[f"{under}.{shown.column}_{name}"].number
        for name in ("lower_quartile", "median", "upper_quartile")
    )
    return LevelBar(
        levels=levels,
        low=low,
        median=median,
        high=high,
        colour="" if median is None else _colour(context, median, shown),
        spoken=_spoken(context, f"{under}.{shown.column}", shown.scale),
    )


def _colour(context: Context, level: float, shown: LevelScale) -> str:
    """Return the colour that marks and squares of the map have at that level."""
    site = level_scale(context).scale
    scale = site if site.unit == shown.scale.unit else shown.scale
    return class_colour(level_class(level, scale))


def _spoken(context: Context, path: str, scale: Scale) -> str:
    """Return the bar in words."""
    say, view = context.words.say, context.figures.view
    median = view(f"{path}_median")
    if median.is_absent:
        return say("levels.bar_empty", reason=median.reason)
    return say(
        "levels.bar",
        what=scale.label,
        median=median.text,
        low=view(f"{path}_lower_quartile").text,
        high=view(f"{path}_upper_quartile").text,
    )


def _heard(context: Context, under: str) -> str:
    """Return frames heard, of those sent where that is known."""
    heard = context.figures.view(f"{under}.frames_heard").text
    sent = context.figures.view(f"{under}.frames_sent")
    if sent.is_absent:
        return context.words.say("levels.heard", heard=heard)
    return context.words.say("levels.heard_of", heard=heard, sent=sent.text)


def _beside(context: Context, under: str, bar: LevelBar) -> str:
    """Return what the bar can't show: frames missed, in doubt, or heard without a level."""
    book, count = context.results.figures, context.words.count
    without = int(book[f"{under}.frames_heard"].number or 0) - len(bar.levels)
    parts = [
        count(f"levels.{name}", number)
        for name, number in (
            ("missed", int(book[f"{under}.frames_missed"].number or 0)),
            ("in_doubt", int(book[f"{under}.frames_in_doubt"].number or 0)),
            ("without_level", max(0, without)),
        )
        if number
    ]
    return ", ".join(parts)
