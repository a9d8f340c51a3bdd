"""What a coarse site may show: by a rule that leaves out whatever it does not know."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from reportgen.match.join import join
from reportgen.model.station import Position
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import Results, assemble
from reportgen.results.coarse import band_ends, coarse_figure
from reportgen.results.figure import Absent, Figure
from reportgen.results.place_attacks import NO_TABLE, place_found
from reportgen.results.place_published import as_published
from tests.campaigns.made import LINE, publish, row, track, two_own, write


def made(name: str, value: float | str = 1234.5, unit: str = "m") -> Figure:
    return coarse_figure(Figure(name=name, value=value, unit=unit, method="geodesic", count=3))


def results_of(folder: Path, place: str) -> Results:
    publish(two_own(folder), f"place: {place}")
    return assemble(join(read_campaign(folder)))


@pytest.mark.parametrize(
    "name",
    [
        "campaign.delivery_ratio",
        "walk.loop.station.pier.rssi_dbm_median",
        "walk.loop.node.buoy.station.pier.frames_heard",
        "walk.loop.station.pier.data_rate.dr5.delivery_ratio",
        "walk.loop.duration_s",
        "other.hill.frames_heard",
        "comparison.a-b.signal_difference_db",
        "safety.station.pier.caution_distance_m",
        "setup.station.pier.eirp_dbm",
        "input.total.rows.read",
        # A walk may be called like what is left out.
        "walk.sector.station.ring.frames_sent",
    ],
)
def test_counts_shares_and_medians_of_whole_walks_are_kept(name: str) -> None:
    assert made(name).value == 1234.5


@pytest.mark.parametrize(
    "name",
    [
        "photo.quay.distance_m",
        "photo.quay.station.pier.rssi_dbm_median",
        "campaign.farthest_heard_bearing_deg",
        "campaign.farthest_heard_rssi_dbm",
        "campaign.farthest_heard_time",
        "campaign.frames_heard_there",
        "walk.loop.station.pier.rssi_dbm_best",
        "walk.loop.station.pier.ring.0-200.delivery_ratio",
        "walk.loop.station.pier.sector.060.frames_sent",
        "campaign.sector.060.delivery_ratio",
        "walk.loop.station.pier.loss_db_median",
        "walk.loop.station.pier.clock.10-s.moved_m",
        "walk.loop.law.exponent",
        "walk.loop.course.away.frames_heard",
        "other.hill.distance_from_home_m",
        "setup.uplink.pier.buoy.distance_m",
        "setup.uplink.pier.buoy.predicted_dbm",
        "setup.uplink.pier.buoy.level.arriving_dbm",
        "campaign.a_figure_that_nobody_has_thought_of_yet",
        "another.place_deg",
    ],
)
def test_whatever_hangs_on_a_place_is_left_out_and_so_is_what_is_new(name: str) -> None:
    """A list of what is kept: a figure that somebody adds later must not leak."""
    figure = made(name)

    assert (figure.value, figure.absent_reason) == (None, Absent.WITHHELD_COARSE)
    assert (figure.count, figure.low, figure.high, figure.where) == (None, None, None, None)


@pytest.mark.parametrize(
    ("metres", "band"),
    [
        (0.0, (0.0, 500.0)),
        (499.9, (0.0, 500.0)),
        (500.0, (500.0, 1000.0)),
        (1877.6, (1000.0, 2000.0)),
        (70_000.0, (50_000.0, None)),
    ],
)
def test_a_distance_is_told_as_the_band_it_lies_in(
    metres: float, band: tuple[float, float | None]
) -> None:
    figure = made("campaign.farthest_heard_m", metres)

    assert band_ends(figure) == band
    assert figure.number is None
    assert coarse_figure(figure) == figure


def test_a_number_and_a_text_are_no_bands() -> None:
    """Rings are named like bands, and figures of other units may be texts."""
    assert band_ends(Figure(name="a.b", value=1000.0, unit="m", method="geodesic")) is None
    assert band_ends(Figure(name="a.b", value="0-200", unit="text", method="geodesic")) is None


def test_no_row_of_a_coarse_campaign_has_a_place_or_a_level(tmp_path: Path) -> None:
    """Whatever a page makes of tables can't tell more than the figures."""
    whole = results_of(tmp_path / "c", "coarse")
    told = as_published(whole)
    joined = told.joined
    tables = [joined.receptions, joined.frames, joined.downlinks, joined.campaign.track_points]
    tables += [joined.campaign.records]
    tables += [table for walk in told.walks for table in (walk.track, walk.receptions, walk.frames)]

    assert whole.joined.receptions["distance_m"].notna().any()
    for table in tables:
        for name in ("latitude_deg", "longitude_deg", "distance_m", "bearing_deg", "rssi_dbm"):
            assert name not in table or table[name].isna().all()
    assert told.cells.empty
    assert not joined.tracks
    everybody = (*joined.stations, *joined.campaign.stations, *told.walks[0].stations)
    assert all(station.position is None for station in everybody)


@pytest.mark.parametrize("place", ["exact", "moved", "coarse"])
def test_publishing_twice_is_as_good_as_once(tmp_path: Path, place: str) -> None:
    once = as_published(results_of(tmp_path / "c", place))

    assert list(as_published(once).figures) == list(once.figures)


def test_exact_publishes_everything(tmp_path: Path) -> None:
    whole = results_of(tmp_path / "c", "exact")

    assert as_published(whole) is whole


def test_moved_tells_figures_as_they_are_and_no_heights_row_by_row(tmp_path: Path) -> None:
    """A profile of heights is as good as a map to whoever has a model of the ground."""
    whole = results_of(tmp_path / "c", "moved")
    exact = results_of(tmp_path / "d", "exact")
    told = as_published(whole)

    assert told.joined.receptions["height_msl_m"].isna().all()
    for name in (
        "campaign.farthest_heard_m",
        "campaign.delivery_ratio",
        "campaign.half_distance_m",
    ):
        assert told.figures[name].number == pytest.approx(exact.figures[name].number, rel=1e-6)


def test_moved_tells_no_levels_at_stations_of_others(tmp_path: Path) -> None:
    """By them such a station is found on the moved map, and who knows its place moves it back."""
    folder = tmp_path / "c"
    rows = tuple(row(10 * n, n, 13.0 * n, station=("gw-1", "gw-9")[n % 2]) for n in range(40))
    publish(write(folder, "Two stations", rows=rows), "place: moved")
    whole = assemble(join(read_campaign(folder)))
    told = as_published(whole)

    for tables in (
        (told.joined.receptions, whole.joined.receptions),
        (told.walks[0].receptions, whole.walks[0].receptions),
    ):
        rows_told, rows_known = (table.set_index("is_own")["rssi_dbm"] for table in tables)
        assert rows_told[False].isna().all()
        assert rows_told[True].equals(rows_known[True])
        assert rows_known.notna().all()


def test_tables_without_places_leave_nothing_to_work_from() -> None:
    truth = Position(latitude_deg=47.5, longitude_deg=-31.25)
    found = place_found(NO_TABLE, NO_TABLE, "pier", truth)

    assert (found.distances, found.levels) == (0, 0)
    assert found.by_distances_m is found.by_rounded_distances_m is found.by_levels_m is None


def test_a_station_s_place_that_nobody_states_has_no_error(tmp_path: Path) -> None:
    """An attack may find something; how far off it is, nobody can say."""
    folder = write(tmp_path / "c", "One", rows=tuple(row(9 * n, n, 40 * n) for n in range(1, 9)),
                   gpx=track(*LINE))  # fmt: skip
    joined = assemble(join(read_campaign(folder))).joined
    known = place_found(joined.receptions, joined.frames, "pier", joined.home.position)
    unknown = place_found(joined.receptions, joined.frames, "pier", None)

    assert known.distances == unknown.distances == 8
    assert known.by_distances_m is not None
    assert np.isfinite(known.by_distances_m)
    assert unknown.by_distances_m is unknown.by_levels_m is None
