"""Which station is meant by an identifier in a log."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from reportgen.model.station import Station

UNLISTED = "Unlisted station "
"""What the alias of a station begins with that nobody described; a page says it in its language."""


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
        Described stations first, then unlisted ones. The key of a station without identifiers
        stands for it, as in a log that names its station by a constant.
    """
    key_of_id = {_folded(name): s.key for s in described for name in s.ids or (s.key,)}
    taken = {station.key for station in described}
    unlisted: list[Station] = []
    for identifier in ids_in_logs:
        if _folded(identifier) not in key_of_id:
            number = len(unlisted) + 1
            alias = f"{UNLISTED}{identifier if show_identifiers else number}"
            key = _free_key(f"unlisted-{number}", taken)
            station = Station(key=key, name=alias, is_own=False, is_listed=False)
            unlisted.append(station)
            key_of_id[_folded(identifier)] = station.key
    return KnownStations(stations=(*described, *unlisted), key_of_id=key_of_id)


def _free_key(key: str, taken: set[str]) -> str:
    """Return the key, lengthened until nobody has it, and remember it."""
    while key in taken:
        key = f"{key}-x"
    taken.add(key)
    return key


def station_key(known: KnownStations, identifier: str) -> str:
    """Return the key of the station that `identifier` names."""
    return known.key_of_id[_folded(identifier)]


def known_key(known: KnownStations, identifier: str) -> str | None:
    """Return the key of the station that `identifier` names, None where none is known by it."""
    return known.key_of_id.get(_folded(identifier))


def _folded(identifier: str) -> str:
    return identifier.strip().casefold()
