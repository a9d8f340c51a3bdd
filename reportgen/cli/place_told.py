"""What `check` says of the station's place: what the site will tell, and what follows from it."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator

import pandas as pd

from reportgen.model.campaign import Campaign
from reportgen.pages.downloads import Download
from reportgen.results.assemble import Results
from reportgen.results.place_attacks import NO_TABLE, ROUNDED_M, PlaceFound, place_found

_TELLS = {
    "exact": "true coordinates, and the place of the station itself",
    "moved": "coordinates moved together to 0° N 0° E; distances and directions stay true",
    "coarse": "distances as bands and levels as medians of whole walks",
}
_REST = {
    "exact": "Whoever reads the site knows the place without any of this.",
    "moved": "This is on the moved map, where the station is drawn anyway. What ties that map to a "
    "real one is the shape of the walks, the time zone, heights, names, pictures and what you "
    "write: look at them as a stranger would.",
    "coarse": "Names, pictures and what you write may still tell the place: look at them as a "
    "stranger would.",
}
_RECEPTIONS, _FRAMES = "data/receptions.csv", "data/frames.csv"


def unstated_place(campaign: Campaign) -> str:
    """Return what happens to a place of which the author says nothing; blank where one does."""
    if "publish.place" in dict(campaign.stated_at):
        return ""
    return (
        "Nothing is said of publish.place, so the site tells no true coordinates: the whole "
        "campaign is moved together, overlays and tiles are left out. Write 'publish: {place: "
        "exact}' to publish places as they are, or coarse to publish none."
    )


def place_lines(results: Results, files: Iterable[Download]) -> Iterator[str]:
    """Yield what the site will tell of the place, and how near two attacks come by its files.

    Parameters
    ----------
    results : Results
        Whole: as matched, with the place of the station.
    files : iterable of Download
        The files of the site to be.
    """
    campaign, home = results.joined.campaign, results.joined.home
    place = campaign.publishing.place
    by_path = {file.path: file for file in files}
    receptions, frames = (_table(by_path.get(path)) for path in (_RECEPTIONS, _FRAMES))
    yield f"Place of {home.name} (publish.place: {place})"
    if unstated_place(campaign):
        yield f"  {unstated_place(campaign)}"
    yield f"  the site tells {_TELLS[place]}"
    yield f"  places in its files: {_places(receptions)} of receptions, {_places(frames)} of frames"
    if home.position is None:
        yield "  the description states no place of the station, so there is none to find"
        return
    found = place_found(receptions, frames, home.key, home.position)
    yield f"  by distances: {_by_distances(found)}"
    yield f"  by levels alone: {_by_levels(found)}"
    yield f"  {_REST[place]}"


def _table(file: Download | None) -> pd.DataFrame:
    """Return a published table as anybody reads it; an empty one where none is published."""
    return NO_TABLE if file is None else pd.read_csv(io.BytesIO(file.content))


def _places(table: pd.DataFrame) -> int:
    return int(table["latitude_deg"].notna().sum())


def _by_distances(found: PlaceFound) -> str:
    if found.by_distances_m is None:
        return _none(found.distances, "distances from places")
    rounded = found.by_rounded_distances_m
    more = "" if rounded is None else f"; rounded to {ROUNDED_M:.0f} m, {_metres(rounded)} off"
    return f"found {_metres(found.by_distances_m)} off, by {found.distances} distances{more}"


def _by_levels(found: PlaceFound) -> str:
    if found.by_levels_m is None:
        return _none(found.levels, "levels at places")
    return f"found {_metres(found.by_levels_m)} off, by {found.levels} levels"


def _none(count: int, what: str) -> str:
    return f"no estimate: the site's files have {count or 'no'} {what} to work from"


def _metres(error_m: float) -> str:
    return f"{error_m:.1f} m" if error_m < 10.0 else f"{error_m:.0f} m"
