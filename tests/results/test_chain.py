"""The chain from radio to air: each loss once, and what a reading can and can't say."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.model.station import Antenna, Feeder, Node, Position, Station, VswrReading
from reportgen.model.walk import NodeChange, Walk
from reportgen.results.chain import node_chain, node_on_walk, station_chain
from tests.results.link_campaign import results_of, value

MHZ = 868e6
LINE_3DB = Feeder(loss_db=3.0)


def station(feeder: Feeder | None = LINE_3DB, vswr: VswrReading | None = None) -> Station:
    return Station(
        key="roof", name="Roof", is_own=True, position=Position(latitude_deg=0, longitude_deg=0),
        transmit_power_dbm=20.0, antenna=Antenna(gain_dbi=5.0), feeder=feeder, vswr=vswr,
    )  # fmt: skip


def reading(vswr: float, at: str = "radio", frequency_hz: float | None = None) -> VswrReading:
    return VswrReading(
        vswr=vswr, measured_at="radio" if at == "radio" else "antenna", frequency_hz=frequency_hz
    )


def test_line_and_mismatch_count_once_each() -> None:
    """A 3 dB line with VSWR 1.5 at the radio: 2.328 at the antenna, 3.75 dB in all, not 4.5."""
    chain = station_chain(station(vswr=reading(1.5)), MHZ)

    assert chain.report is not None
    assert chain.report.vswr_at_antenna == pytest.approx(2.328, abs=0.002)
    assert chain.loss_db == pytest.approx(3.75, abs=0.01)
    assert chain.eirp_dbm == pytest.approx(20.0 - 3.75 + 5.0, abs=0.01)


def test_a_reading_worse_than_the_open_line_is_a_contradiction_with_both_numbers() -> None:
    """6 dB of line with nothing at its end reads 1.67, so 2.0 can't be."""
    chain = station_chain(station(Feeder(loss_db=6.0), reading(2.0)), MHZ)

    assert chain.report is not None
    assert chain.report.is_contradiction
    assert chain.report.open_end_vswr == pytest.approx(1.671, abs=0.002)
    assert chain.loss_db == 6.0
    assert chain.is_mismatch_assumed


def test_a_reading_at_another_frequency_is_told_and_not_counted() -> None:
    """The author's loss is that of the working frequency, and says nothing of another."""
    chain = station_chain(station(vswr=reading(1.5, frequency_hz=915e6)), MHZ)

    assert chain.report is not None
    assert chain.report.vswr_at_antenna is None
    assert not chain.report.is_at_working_frequency
    assert chain.loss_db == 3.0


def test_a_known_cable_carries_its_stated_loss_to_the_frequency_of_the_reading() -> None:
    """RG-213: 16.3 dB at 450 MHz against 24.7 at 850, so 3.0 dB become 1.98."""
    feeder = Feeder(cable="RG-213", length_m=10.0, loss_per_100m_db=30.0)
    chain = station_chain(station(feeder, reading(1.5, frequency_hz=450e6)), 850e6)

    assert chain.report is not None
    assert chain.report.line_loss_db == pytest.approx(3.0 * 16.3 / 24.7)


def test_a_reading_on_the_edge_of_the_possible_says_nothing() -> None:
    """Behind 4.8 dB an open line reads 1.99; a reading of 1.98 is any antenna or none."""
    chain = station_chain(station(Feeder(loss_db=4.8), reading(1.97)), MHZ)

    assert chain.report is not None
    assert chain.report.vswr_at_antenna is None
    assert chain.report.reason == "on-the-edge"
    assert chain.loss_db == 4.8


def test_half_a_decibel_of_line_is_shown_as_a_range() -> None:
    """1.6 read: 12.736 dB of return loss; behind 4.8, 4.3 and 5.3 dB."""
    report = station_chain(station(Feeder(loss_db=4.8), reading(1.6)), MHZ).report

    assert report is not None
    assert report.vswr_low == pytest.approx(4.28, abs=0.02)
    assert report.vswr_at_antenna == pytest.approx(5.60, abs=0.02)
    assert report.vswr_high == pytest.approx(8.2, abs=0.1)


def test_cautions_take_no_credit_for_a_mismatch() -> None:
    chain = station_chain(station(vswr=reading(1.5)), MHZ)

    assert chain.eirp_dbm == pytest.approx(20.0 - 3.75 + 5.0, abs=0.01)
    assert chain.strongest_eirp_dbm == 22.0


def test_a_reading_at_the_antenna_needs_no_line() -> None:
    """VSWR 3 at the antenna: 1.249 dB of mismatch, whatever the line."""
    chain = station_chain(station(vswr=reading(3.0, "antenna")), MHZ)

    assert chain.loss_db == pytest.approx(3.0 + 1.2494, abs=0.0002)


def test_the_table_knows_a_standard_cable_and_the_authors_figure_wins() -> None:
    by_table = station_chain(station(Feeder(cable="RG-213", length_m=10.0)), 850e6)
    own = station_chain(
        station(Feeder(cable="RG-213", length_m=10.0, loss_per_100m_db=30.0)), 850e6
    )

    assert by_table.line.line_loss_db == pytest.approx(2.47)
    assert by_table.line.is_from_table
    assert own.line.line_loss_db == pytest.approx(3.0)
    assert not own.line.is_from_table


@pytest.mark.parametrize(
    "feeder",
    [None, Feeder(cable="something thin", length_m=10.0), Feeder(cable="RG-58")],
    ids=["no feeder", "unknown cable", "no length"],
)
def test_an_unknown_line_leaves_the_output_unknown(feeder: Feeder | None) -> None:
    """Never zero, never guessed."""
    chain = station_chain(station(feeder), MHZ)

    assert chain.loss_db is None
    assert chain.eirp_dbm is None


def test_a_node_without_line_has_its_antenna_on_the_radio() -> None:
    node = Node(key="n", name="N", transmit_power_dbm=14.0, antenna=Antenna(gain_dbi=2.0))

    assert node_chain(node, MHZ).eirp_dbm == 16.0


def test_a_walk_changes_only_what_it_says_of_a_node() -> None:
    node = Node(key="n", name="N", transmit_power_dbm=14.0, antenna=Antenna(gain_dbi=2.0))
    walk = Walk(key="w", title="W", node_changes=(NodeChange(node="n", transmit_power_dbm=0.0),))

    assert node_chain(node_on_walk(node, walk), MHZ).eirp_dbm == 2.0
    assert node_on_walk(node, Walk(key="v", title="V")) is node


def test_figures_of_the_chain_name_what_they_were_made_of(tmp_path: Path) -> None:
    """20 dBm - 2.0 - 0.5 + 5 = 22.5 dBm; by hand."""
    results = results_of(tmp_path, (1000, -80, 10))
    book = results.figures

    assert value(results, "setup.station.pier.eirp_dbm") == pytest.approx(22.5)
    assert value(results, "setup.station.pier.erp_dbm") == pytest.approx(20.35)
    inputs = book["setup.station.pier.eirp_dbm"].inputs
    assert [book[name].value for name in inputs] == [20, 2.5, 0.0, 5]
    assert book["setup.station.pier.transmit_power_dbm"].where is not None
    assert book["setup.station.pier.mismatch_counted_db"].method == "assumed"


def test_a_missing_gain_is_absent_and_so_is_all_that_needs_it(tmp_path: Path) -> None:
    station_text = "    transmit_power_dbm: 20\n    feeder: {loss_db: 1}\n"
    book = results_of(tmp_path, (1000, -80, 10), station=station_text).figures

    assert book["setup.station.pier.antenna_gain_dbi"].absent_reason == "not-stated"
    assert book["setup.station.pier.eirp_dbm"].absent_reason == "missing-input"
    assert book["safety.station.pier.caution_distance_m"].absent_reason == "missing-input"
    assert book["walk.loop.station.pier.loss_db_median"].absent_reason == "missing-input"
    assert book["walk.loop.station.pier.signal_dbm_median"].value is not None
