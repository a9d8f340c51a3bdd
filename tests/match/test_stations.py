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


def test_a_log_may_name_a_station_by_its_key() -> None:
    known = known_stations((OWN,), ["roof"], show_identifiers=False)

    assert station_key(known, "roof") == "roof"
