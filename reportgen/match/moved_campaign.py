"""A whole campaign moved to where nobody can mistake it for a real place."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.declination import magnetic_declination, year_of
from reportgen.compute.geodesy import from_local_metres, local_metres
from reportgen.errors import Problem, Severity, Where
from reportgen.model.campaign import Campaign, Cut
from reportgen.model.photo import Photo
from reportgen.model.station import Position, Station

MOVED_TO = Position(latitude_deg=0.0, longitude_deg=0.0)
"""Open sea, where the equator meets the prime meridian: known to every map maker as no place. A
fixed point, so that no secret offset exists that could be lost or guessed."""

PROBLEM_CODES = (
    ("publish/left-out-moved", "Something is left out, since the place of the campaign is moved."),
)  # fmt: skip


def moved(campaign: Campaign) -> Campaign:
    """Return a campaign with every coordinate moved to `MOVED_TO`, and nothing that tells whence.

    The azimuthal equidistant projection about the first own station's place, and the way back
    about `MOVED_TO`: distances and bearings from that place stay as they are, those between other
    places to less than a millionth within 10 km (the ellipsoid is curved a little otherwise
    there). Overlays, pictures under maps and tiles are left out, and so are the places of
    stations of others: whoever knows where one of them stands could move the map back. What
    depends on the true place is worked out before: the declination, if anything needs it.
    """
    # Without any coordinate there is nothing to move, but overlays and tiles may be there.
    centre = _centre(campaign) or MOVED_TO
    return replace(
        campaign,
        publishing=replace(
            campaign.publishing,
            cuts=tuple(_cut(cut, centre) for cut in campaign.publishing.cuts),
        ),
        stations=tuple(_station(station, centre) for station in campaign.stations),
        photos=tuple(_photo(photo, centre) for photo in campaign.photos),
        records=_table(campaign.records, centre),
        track_points=_table(campaign.track_points, centre),
        declination_deg=_declination_deg(campaign, centre),
        input_checksums=undrawn_checksums(campaign),
        problems=(*campaign.problems, *_notes(campaign)),
        overlays=(),
        picture_overlays=(),
        tiles=None,
    )


def _centre(campaign: Campaign) -> Position | None:
    """Return the first own station's place, else any place of the campaign."""
    for station in campaign.own_stations:
        if station.position is not None:
            return station.position
    for table in (campaign.track_points, campaign.records):
        placed = table[table["latitude_deg"].notna()]
        if len(placed):
            row = placed.iloc[0]
            return Position(
                latitude_deg=float(row["latitude_deg"]), longitude_deg=float(row["longitude_deg"])
            )
    places = [photo.metadata.position for photo in campaign.photos]
    return next((place for place in places if place is not None), None)


def _move(
    latitude_deg: object, longitude_deg: object, centre: Position
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    east_m, north_m = local_metres(
        np.asarray(latitude_deg, dtype=np.float64),
        np.asarray(longitude_deg, dtype=np.float64),
        centre.latitude_deg,
        centre.longitude_deg,
    )
    return from_local_metres(east_m, north_m, MOVED_TO.latitude_deg, MOVED_TO.longitude_deg)


def _position(position: Position | None, centre: Position) -> Position | None:
    if position is None:
        return None
    latitude, longitude = _move(position.latitude_deg, position.longitude_deg, centre)
    return Position(latitude_deg=float(latitude), longitude_deg=float(longitude))


def _station(station: Station, centre: Position) -> Station:
    place = _position(station.position, centre) if station.is_own else None
    return replace(station, position=place)


def _cut(cut: Cut, centre: Position) -> Cut:
    return replace(cut, position=_position(cut.position, centre) or cut.position)


def _photo(photo: Photo, centre: Position) -> Photo:
    place = _position(photo.metadata.position, centre)
    return replace(photo, metadata=replace(photo.metadata, position=place))


def _table(table: pd.DataFrame, centre: Position) -> pd.DataFrame:
    latitude, longitude = _move(table["latitude_deg"], table["longitude_deg"], centre)
    return table.assign(latitude_deg=latitude, longitude_deg=longitude)


def _declination_deg(campaign: Campaign, centre: Position) -> float | None:
    """Return the declination as stated, else by the model at the true place, if a photo needs it.

    It changes by a hundredth of a degree in a kilometre or so: one for the whole campaign will do.
    """
    when = campaign.last_time_utc
    needs = any(photo.metadata.heading_reference == "magnetic" for photo in campaign.photos)
    if campaign.declination_deg is not None or when is None or not needs:
        return campaign.declination_deg
    found = magnetic_declination(
        centre.latitude_deg, centre.longitude_deg, decimal_year=year_of(when)
    )
    return None if found is None else found.value_deg


def undrawn_checksums(campaign: Campaign) -> tuple[tuple[str, str], ...]:
    """Return the checksums of files, less those of overlays: a coast's name tells where it is."""
    drawn = {item.path for item in campaign.overlays}
    drawn |= {item.path for item in campaign.picture_overlays}
    return tuple(item for item in campaign.input_checksums if item[0] not in drawn)


def _notes(campaign: Campaign) -> tuple[Problem, ...]:
    """Return what was left out, for the author to know."""
    others = [item for item in campaign.stations if not item.is_own and item.position is not None]
    found = [
        (key, text)
        for key, text, is_there in (
            ("overlays", "overlays under the maps", campaign.overlays or campaign.picture_overlays),
            ("tiles", "map tiles", campaign.tiles),
            ("stations", "places of stations of others", others),
        )
        if is_there
    ]
    places = dict(campaign.stated_at)
    return tuple(
        Problem(
            where=places.get(key, Where(path=campaign.description_path)),
            code="publish/left-out-moved",
            severity=Severity.NOTE,
            found=f"{text}, while publish.place is moved",
            expected="nothing on the site that ties the moved map to a real one",
            do="nothing, they are left out; say 'publish: {place: exact}' to have them",
        )
        for key, text in found
    )
