"""Where to look in a photo: a ruler of bearings along its edge, or a rose beside it."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from reportgen.match.photos import PhotoMatch
from reportgen.pages import formats
from reportgen.pages.charts.bearing_strip import BearingStrip, strip_drawing
from reportgen.pages.charts.compass_rose import rose_drawing
from reportgen.pages.context import Context

NOTHING = Markup()
MIDDLE_DEG = 0.5
"""Less than this rounds to no degree at all: the middle of the picture."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AimView:
    """The drawing that shows where the station is; blank where it can't be said."""

    has_strip: bool = False
    strip: Markup = NOTHING
    has_rose: bool = False
    rose: Markup = NOTHING
    rose_caption: str = ""


def aim_view(context: Context, match: PhotoMatch) -> AimView:
    """Return the ruler where heading and lens are known, else the rose where a bearing is."""
    path, say = f"photo.{match.photo.key}", context.words.say
    heading_deg, view_deg, bearing_deg = (
        context.results.figures[f"{path}.{name}"].number
        for name in ("heading_deg", "field_of_view_deg", "bearing_deg")
    )
    turn_deg = context.results.figures[f"{path}.pointer_turn_deg"].number
    if heading_deg is not None and view_deg is not None and turn_deg is not None:
        strip = _strip(context, path, heading_deg, view_deg, turn_deg)
        return AimView(has_strip=True, strip=strip_drawing(strip))
    if bearing_deg is None:
        return AimView()
    bearing = formats.bearing_text(bearing_deg)
    spoken = say("photo.rose", station=context.home.name, bearing=bearing)
    rose = rose_drawing(bearing_deg, north=say("chart.north"), spoken=spoken)
    return AimView(has_rose=True, rose=rose, rose_caption=bearing)


def _strip(
    context: Context, path: str, heading_deg: float, view_deg: float, turn_deg: float
) -> BearingStrip:
    say, share = context.words.say, context.results.figures[f"{path}.pointer_share"]
    bearing = context.figures.view(f"{path}.bearing_deg").text
    station = context.home.name
    if share.number is None:
        label = _turned(context, turn_deg)
    else:
        label = say("photo.strip_label", station=station, bearing=bearing)
    return BearingStrip(
        heading_deg=heading_deg,
        field_of_view_deg=view_deg,
        share=share.number,
        low=share.low,
        high=share.high,
        side="left" if turn_deg < 0 else "right",
        label=label,
        spoken=aim_sentence(context, path),
    )


def _turned(context: Context, turn_deg: float) -> str:
    key = "photo.turned_left" if turn_deg < 0 else "photo.turned_right"
    return context.words.say(key, angle=formats.whole_angle_text(turn_deg))


def _stands(context: Context, turn_deg: float) -> str:
    if abs(turn_deg) < MIDDLE_DEG:
        return context.words.say("photo.stands_middle")
    key = "photo.stands_left" if turn_deg < 0 else "photo.stands_right"
    return context.words.say(key, angle=formats.whole_angle_text(turn_deg))


def aim_sentence(context: Context, path: str) -> str:
    """Return in words where the station stands in a photo; blank where that is not known."""
    say, book = context.words.say, context.results.figures
    turn_deg = book[f"{path}.pointer_turn_deg"].number
    error_deg = book[f"{path}.pointer_error_deg"].number
    if turn_deg is None or error_deg is None:
        return ""
    is_outside = not book[f"{path}.field_of_view_deg"].absent_reason and bool(
        book[f"{path}.pointer_share"].absent_reason
    )
    return say(
        "photo.aim_outside" if is_outside else "photo.aim",
        station=context.home.name,
        where=_stands(context, turn_deg),
        error=formats.whole_angle_text(error_deg),
    )


def heading_sentence(context: Context, match: PhotoMatch) -> str:
    """Return which way the camera looked, and from which north that counts."""
    say, path = context.words.say, f"photo.{match.photo.key}"
    stated = context.figures.view(f"{path}.heading_stated_deg")
    if not context.results.figures.shows(stated.name):
        heading = context.figures.view(f"{path}.heading_deg")
        key = "photo.no_heading" if heading.is_absent else "photo.heading_moved"
        return say(key, bearing=heading.text)
    if stated.is_absent:
        return say("photo.no_heading")
    heading = context.figures.view(f"{path}.heading_deg")
    reference = match.photo.metadata.heading_reference or "unknown"
    if heading.is_absent:
        return say(f"photo.heading_{reference}", bearing=stated.text)
    if reference == "magnetic":
        return _turned_heading(context, path, heading.text, stated.text)
    return say("photo.heading_true", bearing=heading.text)


def _turned_heading(context: Context, path: str, heading: str, stated: str) -> str:
    say, figure = context.words.say, context.results.figures[f"{path}.declination_deg"]
    how = say("photo.by_model", model=figure.source) if figure.source else say("photo.as_stated")
    away_deg = figure.number or 0.0
    angle = formats.angle_text(abs(away_deg))
    return say(
        "photo.heading_turned",
        bearing=heading,
        stated=stated,
        declination=say("photo.north_west" if away_deg < 0 else "photo.north_east", angle=angle),
        how=how,
    )
