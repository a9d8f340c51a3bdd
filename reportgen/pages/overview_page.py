"""The first page: the question, the answer, five figures, the map."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

from reportgen.pages.charts.polar import PolarView
from reportgen.pages.charts.views import ChartView
from reportgen.pages.context import Context, PhotoThumb, photo_thumb
from reportgen.pages.formats import local
from reportgen.pages.ground_part import sectors_grid, sectors_polar
from reportgen.pages.law_part import LawView, law_view
from reportgen.pages.maps import campaign_map
from reportgen.pages.place_part import place_note
from reportgen.pages.reach_words import (
    coarse_reach_said,
    frames_said,
    other_own_said,
    reach_end_said,
    reach_end_text,
    walked_key,
)
from reportgen.pages.sentences import Called, Sentence, as_html, sentence
from reportgen.pages.setup_page import frequency_text
from reportgen.pages.views import Grid, Labelled, headings
from reportgen.pages.walk_page import walk_row

STRIP = 4
"""Photos shown on the first page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OverviewView:
    """The whole page."""

    eyebrow: str
    title: str
    summary: str
    lead: tuple[Markup, ...]
    place_note: str
    headline: tuple[Labelled, ...]
    has_map: bool
    map: ChartView | None
    has_walks: bool
    walks: Grid
    has_sectors: bool
    sectors: Grid
    polar: PolarView
    law: LawView
    has_photos: bool
    photos: tuple[PhotoThumb, ...]


def overview_view(context: Context) -> OverviewView:
    """Return the first page."""
    joined = context.results.joined
    shown = [
        match
        for match in joined.photos
        if (match.walk if context.is_coarse else match.position is not None)
    ]
    sectors = sectors_grid(context, "campaign")
    photos = tuple(photo_thumb(context, match, up="") for match in shown[:STRIP])
    return OverviewView(
        eyebrow=_eyebrow(context),
        title=context.campaign.title,
        summary=context.campaign.summary,
        lead=_lead(context),
        place_note=place_note(context, "overview"),
        headline=_headline(context),
        has_map=not context.is_coarse,
        map=None if context.is_coarse else campaign_map(context),
        has_walks=bool(context.results.walks),
        walks=_walks(context),
        has_sectors=not sectors.is_empty,
        sectors=sectors,
        polar=sectors_polar(context, "campaign"),
        law=law_view(context, "campaign.law", _rates(context)),
        has_photos=bool(photos),
        photos=photos,
    )


def _delivery_note(context: Context) -> str:
    interval = context.figures.view("campaign.delivery_ratio").working.interval
    place = "" if context.is_coarse or _has_places(context) else "_nowhere"
    note = context.words.say(f"overview.delivery_note{place}")
    return f"{note}; {interval}" if interval else note


def _has_places(context: Context) -> bool:
    """Whether it is known of any frame where it was sent."""
    return bool(context.results.joined.frames["latitude_deg"].notna().any())


def _rates(context: Context) -> tuple[str, ...]:
    rates = [rate for walk in context.results.walks for rate in walk.data_rates]
    return tuple(dict.fromkeys(rates))


def _eyebrow(context: Context) -> str:
    walks = context.results.walks
    parts = [
        context.campaign.network or context.words.say("overview.lead"),
        context.home.name,
        frequency_text(context.campaign.radio.frequency_hz),
        context.words.count("overview.walks", len(walks)),
        _dates(context),
    ]
    return " · ".join(part for part in parts if part)


def _dates(context: Context) -> str:
    starts = [walk.start_utc for walk in context.results.walks if walk.start_utc]
    if not starts:
        return ""
    begun, ended = (local(time, context.zone) for time in (min(starts), max(starts)))
    first, last = context.date(begun), context.date(ended)
    if first == last:
        return first
    if (begun.year, begun.month) == (ended.year, ended.month):
        return context.words.say("dates_in_month", day=begun.day, last=last)
    return context.words.say("dates", first=first, last=last)


def _lead(context: Context) -> tuple[Markup, ...]:
    book = context.results.figures
    heard = book["campaign.frames_heard"].number or 0
    sentences = [*_reach(context)]
    if heard:
        key = "delivery" if book["campaign.frames_sent"].number else "uncounted"
        place = "" if context.is_coarse or _has_places(context) else "_nowhere"
        sentences.append(
            sentence(
                f"overview.{key}_lead{place}",
                station=context.home.name,
                frames=frames_said(context, "campaign"),
            )
        )
    sentences += other_own_said(context)
    others = int(book["campaign.other_stations_heard"].number or 0)
    if others:
        sentences.append(sentence("overview.others_lead", count=others, station=context.home.name))
    return tuple(as_html(context, said) for said in sentences)


def _reach(context: Context) -> Iterator[Sentence]:
    book, station = context.results.figures, context.home.name
    if not book["campaign.frames_heard"].number:
        joined = context.results.joined
        is_downlink_only = joined.receptions.empty and len(joined.downlinks) > 0
        key = "downlink_only_lead" if is_downlink_only else "silent_lead"
        yield sentence(f"overview.{key}", station=station)
        return
    yield from coarse_reach_said(context, "overview.reach_lead_coarse")
    bearing_deg = book["campaign.farthest_heard_bearing_deg"].number
    if book["campaign.farthest_heard_m"].number is None or bearing_deg is None:
        return
    yield sentence(
        "overview.reach_lead",
        station=station,
        distance=Called("campaign.farthest_heard_m"),
        compass=context.compass(bearing_deg),
        end=reach_end_said(context, "campaign"),
    )


def _headline(context: Context) -> tuple[Labelled, ...]:
    say, figures = context.words.say, context.figures
    return (
        figures.labelled(
            "campaign.farthest_heard_m", say("overview.farthest_heard"), _farthest_note(context)
        ),
        figures.labelled(
            "campaign.farthest_walked_m",
            say("overview.farthest_walked"),
            _walked_note(context),
        ),
        figures.labelled(
            "campaign.delivery_ratio", say("overview.delivery"), _delivery_note(context)
        ),
        figures.labelled(
            heard_name(context),
            _heard_label(context),
            _sent_note(context),
        ),
        figures.labelled(
            "campaign.half_distance_m",
            say("overview.half_distance"),
            "" if context.is_coarse else say("overview.half_distance_note"),
        ),
    )


def _farthest_note(context: Context) -> str:
    book = context.results.figures
    bearing = book["campaign.farthest_heard_bearing_deg"].number
    if bearing is None:
        return ""
    return context.words.say(
        "overview.farthest_heard_note",
        compass=context.compass(bearing),
        station=context.home.name,
        end=reach_end_text(context, "campaign"),
    )


def _walked_note(context: Context) -> str:
    key = walked_key(context, "overview.farthest_walked_note")
    if not key:
        return ""
    return context.words.say(key, sent=context.figures.view("campaign.farthest_sent_m").text)


def heard_name(context: Context) -> str:
    """Return the name of the frames heard: of those sent, where that is known."""
    sent = context.results.figures["campaign.frames_sent"].number
    return "campaign.frames_heard_of_sent" if sent else "campaign.frames_heard"


def _heard_label(context: Context) -> str:
    heard = int(context.results.figures[heard_name(context)].number or 0)
    return context.words.count("overview.frames_heard", heard, station=context.home.name)


def _sent_note(context: Context) -> str:
    sent = context.figures.view("campaign.frames_sent")
    if sent.is_absent:
        return context.words.say("overview.frames_heard_uncounted")
    return context.words.say("overview.frames_heard_note", sent=sent.text)


def _walks(context: Context) -> Grid:
    say = context.words.say
    return Grid(
        caption=say("overview.walk_list_caption", station=context.home.name),
        headings=headings(
            *(
                say(f"walk.column_{key}")
                for key in (
                    "walk", "date", "route", "settings", "sent", "heard", "ratio", "farthest",
                    "walked",
                )
            ),
            numbers_from=4,
        ),
        rows=tuple(walk_row(context, walk) for walk in context.results.walks),
    )  # fmt: skip
