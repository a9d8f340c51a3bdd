"""What `check` prints of what the site will reveal."""

from __future__ import annotations

from collections.abc import Iterator

from reportgen.errors import number_of
from reportgen.results.reveals import Reveals, StationReveal


def revealed_lines(found: Reveals) -> Iterator[str]:
    """Yield the section, each line a thing that a reader of the site learns or does not."""
    yield "What the site will reveal"
    yield f"  authors: {', '.join(found.authors) or 'none named'}"
    for station in found.stations:
        yield f"  place of {station.name}: {_place(station)}"
    yield f"  photos: {_photos(found)}"
    yield f"  identifiers of nodes and stations: {_identifiers(found)}"
    yield f"  names of files: {_file_names(found)}"
    yield f"  ground cut out: {_cuts(found)}"
    if found.left_out:
        yield f"  left out by request: {number_of(found.left_out, 'file')}"


def _place(station: StationReveal) -> str:
    place = station.place
    if place is None:
        return "none"
    return f"{place.latitude_deg:.6f}, {place.longitude_deg:.6f}"


def _photos(found: Reveals) -> str:
    if not found.photos:
        return "none"
    shown = f"{found.photos}, without what their files say of owner, camera and dates"
    if not found.bare_photos:
        return f"{shown}; {number_of(found.boxes, 'part')} of them hidden, in every photo one"
    hidden = f"{number_of(found.boxes, 'part')} hidden" if found.boxes else "nothing hidden"
    return (
        f"{shown}; {hidden}: look at the {found.bare_photos} without a box for faces and number "
        "plates, which 'hide' covers"
    )


def _identifiers(found: Reveals) -> str:
    if found.identifiers:
        return "shown, for publish.identifiers is true"
    aliases = f"; {number_of(found.unlisted, 'unlisted station')} under an alias"
    return f"not shown{aliases if found.unlisted else ''}"


def _file_names(found: Reveals) -> str:
    if found.file_names:
        return "shown, for publish.file_names is true"
    return "not shown; logs, tracks, photos and overlays are numbered"


def _cuts(found: Reveals) -> str:
    if not found.cuts:
        return "none; publish.cut leaves out what lies near a place, such as your door"
    return (
        f"near {number_of(found.cuts, 'place')}: {number_of(found.rows_cut, 'row')} and "
        f"{number_of(found.photos_cut, 'photo')} left out; the site says that it was cut, not where"
    )
