from __future__ import annotations

from reportgen.match.stations import known_stations, station_key
from reportgen.model.station import Station

OWN = Station(key="roof", name="Roof", is_own=True, ids=("AA01",))


def test_an_identifier_nobody_described_gets_an_alias_and_is_not_own() -> None:
    """Its identifier may be somebody's address; the alias keeps it from the site."""
    known = known_stations((OWN,), ["AA01", "ffee", "AA02", "ffee"], show_identifiers=False)

    assert [s.name for s in known.stations] == ["Roof", "Unlisted station 1", "Unlisted station 2"]
    assert [s.is_own for s in known.stations] == [True, False, False]
    assert station_key(known, "AA02") == "unlisted-2"


def test_identifiers_are_shown_only_when_the_author_lets_them() -> None:
    known = known_stations((OWN,), ["ffee"], show_identifiers=True)

    assert known.stations[1].name == "Unlisted station ffee"


def test_identifiers_are_compared_without_case_and_blanks() -> None:
    known = known_stations((OWN,), [" aa01"], show_identifiers=False)

    assert known.stations == (OWN,)
    assert station_key(known, "aA01 ") == "roof"


def test_the_key_of_a_station_without_identifiers_stands_for_it() -> None:
    nameless = Station(key="roof", name="Roof", is_own=True)

    known = known_stations((nameless,), ["roof"], show_identifiers=False)

    assert station_key(known, "roof") == "roof"


def test_the_key_of_a_station_with_identifiers_is_no_identifier() -> None:
    """Somebody else's station may be called what the author calls the own one."""
    known = known_stations((OWN,), ["roof"], show_identifiers=False)

    assert station_key(known, "roof") == "unlisted-1"


def test_an_alias_never_takes_the_key_of_a_described_station() -> None:
    described = Station(key="unlisted-1", name="Odd", is_own=True, ids=("AA01",))

    known = known_stations((described,), ["ffee"], show_identifiers=False)

    assert station_key(known, "ffee") == "unlisted-1-x"
