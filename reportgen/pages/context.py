"""What every page builder is given."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from reportgen.match.photos import PhotoMatch
from reportgen.model.campaign import Campaign
from reportgen.model.photo import Picture, PublishedPhoto
from reportgen.model.station import Station
from reportgen.pages import formats
from reportgen.pages.render import Renderer
from reportgen.pages.units import Units
from reportgen.pages.views import FigureWriter
from reportgen.pages.words import Words
from reportgen.results.assemble import Results

PICTURES = "pictures"
"""Folder of published pictures in the site."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Context:
    """Results, wording, and the few look-ups that pages share."""

    results: Results
    words: Words
    renderer: Renderer
    published: Mapping[str, PublishedPhoto]
    author_html: str | None
    """The author's conclusions, rendered; None where there are none."""
    hovers: dict[tuple[str, int], str] = field(default_factory=dict)
    """Hover texts put together so far, by station and frame: charts of a walk share them."""
    is_alone: bool = False
    """Whether what is made leaves the site, so that no number can open and no link lead there."""

    @property
    def campaign(self) -> Campaign:
        """The campaign."""
        return self.results.joined.campaign

    @property
    def is_coarse(self) -> bool:
        """Whether the author tells no places, so that there is nothing to draw."""
        return self.campaign.publishing.place == "coarse"

    @property
    def home(self) -> Station:
        """The own station that distances speak of."""
        return self.results.joined.home

    @property
    def zone(self) -> str:
        """Name of the campaign's time zone."""
        return self.campaign.time_zone

    @property
    def units(self) -> Units:
        """How lengths are written."""
        return Units(self.campaign.publishing.units)

    @property
    def figures(self) -> FigureWriter:
        """Writer of figures."""
        return FigureWriter(
            self.words, self.results.figures, self.zone, self.units, opens=not self.is_alone
        )

    def station_name(self, key: str) -> str:
        """Return a station's name."""
        return next(s.name for s in self.results.joined.stations if s.key == key)

    def node_name(self, key: str) -> str:
        """Return a node's name."""
        return next(node.name for node in self.campaign.nodes if node.key == key)

    def walk_title(self, key: str) -> str:
        """Return a walk's title."""
        return next(walk.title for walk in self.campaign.walks if walk.key == key)

    def compass(self, bearing_deg: float) -> str:
        """Return the compass point of a bearing in words."""
        return self.words.list_of("compass")[formats.compass_index(bearing_deg)]

    def quoted(self, text: str) -> str:
        """Return a text in the quotation marks of the site's language."""
        return self.words.say("quote", text=text)

    def date(self, time_utc: dt.datetime) -> str:
        """Return the local date in words."""
        months, pattern = self.words.list_of("months"), self.words.template("date")
        return formats.date_text(time_utc, self.zone, months, pattern)

    def clock(self, time_utc: dt.datetime, *, seconds: bool = True) -> str:
        """Return the local time of day."""
        return formats.clock_text(time_utc, self.zone, seconds=seconds)


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureView:
    """A published photo in its sizes, or the sentence that stands for it.

    `facts` is what is said of it where it is shown large.
    """

    is_shown: bool
    missing: str = ""
    small_src: str = ""
    srcset: str = ""
    sizes: str = ""
    large_href: str = ""
    width: int = 0
    height: int = 0
    alt: str = ""
    facts: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoThumb:
    """A small picture that leads to its card."""

    picture: PictureView
    caption: str
    href: str


def photo_number(context: Context, match: PhotoMatch) -> int:
    """Return the number by which the report calls a photo, from 1."""
    keys = [other.photo.key for other in context.results.joined.photos]
    return keys.index(match.photo.key) + 1


def photo_alt(context: Context, match: PhotoMatch) -> str:
    """Return what a reader who can't see the picture is told."""
    away = context.results.figures[f"photo.{match.photo.key}.distance_m"].number
    key, values = "photo.alt_plain" if context.is_coarse else "photo.alt_unplaced", {}
    if away is not None:
        key, values = "photo.alt", {"distance": context.units.length(away)}
    return context.words.say(
        key,
        caption=match.photo.caption,
        number=photo_number(context, match),
        station=context.home.name,
        **values,
    ).strip()


def picture_view(
    context: Context, match: PhotoMatch, *, up: str, sizes: str, href: str = ""
) -> PictureView:
    """Return a photo's published sizes; `up` leads to the site's root."""
    pictures: tuple[Picture, ...] = ()
    if match.photo.key in context.published:
        pictures = context.published[match.photo.key].pictures
    if not pictures:
        return PictureView(is_shown=False, missing=context.words.say("photo.undecodable"))
    small, large = pictures[0], pictures[-1]

    def path(picture: Picture) -> str:
        return f"{up}{PICTURES}/{picture.name}"

    return PictureView(
        is_shown=True,
        small_src=path(small),
        srcset=", ".join(f"{path(picture)} {picture.width_px}w" for picture in pictures),
        sizes=sizes,
        large_href=href or path(large),
        width=large.width_px,
        height=large.height_px,
        alt=photo_alt(context, match),
    )


def photo_thumb(context: Context, match: PhotoMatch, *, up: str) -> PhotoThumb:
    """Return a small picture of a photo, leading to its card."""
    number = photo_number(context, match)
    href = f"{up}photos.html#{photo_anchor(match)}"
    label = context.words.say("photo.number", number=number)
    return PhotoThumb(
        picture=picture_view(context, match, up=up, sizes="220px", href=href),
        caption=f"{label}: {match.photo.caption}" if match.photo.caption else label,
        href=href,
    )


def photo_anchor(match: PhotoMatch) -> str:
    """Return the anchor of a photo's card."""
    return f"photo-{match.photo.key}"
