"""Which station is meant by an identifier in a log."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from reportgen.model.station import Station


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownStations:
    """Every station of the campaign, described or not, and the way from identifier to key."""

    stations: tuple[Station, ...]
    key_of_id: Mapping[str, str]


def known_stations(
    described: tuple[Station, ...], ids_in_logs: Iterable[str], *, show_identifiers: bool
) -> KnownStations:
    """Add a station under an alias for every identifier that nobody described.

    Parameters
    ----------
    described : tuple of Station
        Stations of the campaign description.
    ids_in_logs : iterable of str
        Identifiers in order of first appearance; repeats are fine.
    show_identifiers : bool
        Whether the author lets identifiers out; otherwise an alias stands for each.

    Returns
    -------
    KnownStations
        Described stations first, then unlisted ones. An identifier may also be the station's
        own key, as in a log that names its station by a constant.
    """
    key_of_id = {station.key: station.key for station in described}
    for station in described:
        key_of_id.update({_folded(identifier): station.key for identifier in station.ids})
    unlisted: list[Station] = []
    for identifier in ids_in_logs:
        if _folded(identifier) not in key_of_id:
            number = len(unlisted) + 1
            alias = f"Unlisted station {identifier if show_identifiers else number}"
            station = Station(key=f"unlisted-{number}", name=alias, is_own=False, is_listed=False)
            unlisted.append(station)
            key_of_id[_folded(identifier)] = station.key
    return KnownStations(stations=(*described, *unlisted), key_of_id=key_of_id)


def station_key(known: KnownStations, identifier: str) -> str:
    """Return the key of the station that `identifier` names."""
    return known.key_of_id[_folded(identifier)]


def _folded(identifier: str) -> str:
    return identifier.strip().casefold()
