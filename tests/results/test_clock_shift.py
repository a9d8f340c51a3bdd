from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.match.join import join
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import Results, assemble
from tests.campaigns.made import LINE, row, track, write

PATH = "walk.loop.station.pier.clock"


def blind_row(seconds: float, counter: int, north_m: float = 300.0) -> str:
    """Return a row that leaves its place to the track."""
    return row(seconds, counter, north_m).rsplit(",", 2)[0] + ",,"


def results(folder: Path, rows: tuple[str, ...]) -> Results:
    return assemble(join(read_campaign(write(folder, "Clock", rows=rows, gpx=track(*LINE)))))


def test_a_minute_on_a_straight_walk_moves_everything_by_a_minutes_way(tmp_path: Path) -> None:
    """1.3 m/s straight away from the station for ten minutes: 78 m per minute, by hand."""
    book = results(
        tmp_path / "c", tuple(blind_row(10.0 * n, n) for n in range(6, 50) if n < 30 or n % 3)
    ).figures

    assert book[f"{PATH}.60-s.moved_m"].number == pytest.approx(78.0, abs=0.5)
    assert book[f"{PATH}.60-s.farthest_heard_least_m"].number == pytest.approx(559.0, abs=1.5)
    assert book[f"{PATH}.60-s.farthest_heard_most_m"].number == pytest.approx(715.0, abs=1.5)
    assert book[f"{PATH}.10-s.farthest_heard_most_m"].number == pytest.approx(650.0, abs=1.5)


def test_the_distance_at_which_half_are_heard_moves_as_well(tmp_path: Path) -> None:
    """1.3 m/s times 30 s is 39 m, whatever the distance was."""
    rows = tuple(blind_row(10.0 * n, n) for n in range(6, 50) if n <= 20 or n % 4 == 1)
    book = results(tmp_path / "c", rows).figures
    shown = book["walk.loop.station.pier.half_distance_m"].number
    assert shown is not None

    assert book[f"{PATH}.30-s.half_distance_least_m"].number == pytest.approx(shown - 39, abs=1.5)
    assert book[f"{PATH}.30-s.half_distance_most_m"].number == pytest.approx(shown + 39, abs=1.5)


def test_a_log_with_places_of_its_own_does_not_hang_on_a_clock(tmp_path: Path) -> None:
    book = results(tmp_path / "c", tuple(row(10.0 * n, n, 13.0 * n) for n in range(40))).figures

    assert not [figure.name for figure in book if ".clock." in figure.name]


def test_it_is_told_how_many_of_the_places_hang_on_the_clock(tmp_path: Path) -> None:
    """Of 40 frames heard each fourth leaves its place to the track; none was missed."""
    rows = tuple((row, blind_row)[n % 4 == 0](10.0 * n, n, 13.0 * n) for n in range(40))
    book = results(tmp_path / "c", rows).figures

    assert book[f"{PATH}.places_from_track"].value == 10
    assert book[f"{PATH}.places"].value == 40


def test_a_few_places_from_the_track_do_not_hang_a_walk_on_a_clock(tmp_path: Path) -> None:
    """Misses that the program placed: one of forty is no reason to doubt every figure."""
    rows = tuple(row(10.0 * n, n, 13.0 * n) for n in range(40) if n != 20)
    book = results(tmp_path / "c", rows).figures

    assert not [figure.name for figure in book if ".clock." in figure.name]
