"""What a campaign's site will reveal of people, places and devices."""

from __future__ import annotations

from dataclasses import dataclass

from reportgen.match.cut import CUT_CODE
from reportgen.match.join import Joined
from reportgen.model.station import Position, Station

LEFT_OUT_CODES = ("photo/excluded", "publish/left-out")


@dataclass(frozen=True, slots=True, kw_only=True)
class StationReveal:
    """A described station and the place that the site gives it; None where it gives none."""

    name: str
    is_own: bool
    place: Position | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reveals:
    """What a reader of the site learns beside radio.

    Attributes
    ----------
    authors : tuple of str
        As written.
    stations : tuple of StationReveal
        Those that are described.
    unlisted : int
        Stations in the logs that nobody described.
    photos, bare_photos, boxes : int
        Photos shown, those of them without a hidden box, and all hidden boxes.
    identifiers, file_names : bool
        Whether they are shown.
    cuts, rows_cut, photos_cut : int
        Places cut out, and what was left out there.
    left_out : int
        Files left out whole.
    """

    authors: tuple[str, ...]
    stations: tuple[StationReveal, ...]
    unlisted: int
    photos: int
    bare_photos: int
    boxes: int
    identifiers: bool
    file_names: bool
    cuts: int
    rows_cut: int
    photos_cut: int
    left_out: int


def reveals(joined: Joined) -> Reveals:
    """Return what the site of a joined campaign will reveal."""
    campaign = joined.campaign
    boxes = [len(match.photo.hidden) for match in joined.photos]
    cut = [
        (account.unit, item.count)
        for account in joined.accounts
        for item in account.set_aside
        if item.code == CUT_CODE
    ]
    return Reveals(
        authors=campaign.authors,
        stations=tuple(
            _station(station, is_told=campaign.publishing.place != "coarse")
            for station in campaign.stations
        ),
        unlisted=sum(not station.is_listed for station in joined.stations),
        photos=len(boxes),
        bare_photos=boxes.count(0),
        boxes=sum(boxes),
        identifiers=campaign.publishing.identifiers,
        file_names=campaign.publishing.file_names,
        cuts=len(campaign.publishing.cuts),
        rows_cut=sum(count for unit, count in cut if unit != "photos"),
        photos_cut=sum(count for unit, count in cut if unit == "photos"),
        left_out=sum(
            item.count
            for account in joined.accounts
            for item in account.set_aside
            if item.code in LEFT_OUT_CODES
        ),
    )


def _station(station: Station, *, is_told: bool) -> StationReveal:
    place = station.position if is_told else None
    return StationReveal(name=station.name, is_own=station.is_own, place=place)
