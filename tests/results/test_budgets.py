"""Both directions apart, and which of them ends first."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.results.link_campaign import STATION, results_of, value


def test_both_directions_by_hand(tmp_path: Path) -> None:
    """Uplink: 16 + 5 - 2.5 + 124.506 = 143.006 dB. Downlink: 22.5 + 2 + 122.506 = 147.006 dB."""
    results = results_of(tmp_path, (1000, -90, 0))

    uplink_db = value(results, "setup.uplink.pier.buoy.sf7.largest_loss_db")
    downlink_db = value(results, "setup.downlink.pier.buoy.sf7.largest_loss_db")
    assert uplink_db == pytest.approx(143.006, abs=0.001)
    assert downlink_db == pytest.approx(147.006, abs=0.001)
    assert value(results, "setup.link.pier.buoy.sf7.imbalance_db") == pytest.approx(-4.0)
    assert results.figures["setup.link.pier.buoy.sf7.limiting_direction"].value == "uplink"


@pytest.mark.parametrize(
    ("power_dbm", "first"), [(20, "uplink"), (16, "neither direction"), (10, "downlink")]
)
def test_which_direction_ends_first(tmp_path: Path, power_dbm: int, first: str) -> None:
    station = STATION.replace("transmit_power_dbm: 20", f"transmit_power_dbm: {power_dbm}")

    book = results_of(tmp_path, (1000, -90, 0), station=station).figures

    assert book["setup.link.pier.buoy.sf7.limiting_direction"].value == first


def test_a_log_of_one_direction_exercises_that_one_only(tmp_path: Path) -> None:
    results = results_of(tmp_path, (1000, -90, 0))
    book = results.figures

    assert book["setup.uplink.pier.buoy.receptions"].value == 1
    assert book["setup.downlink.pier.buoy.receptions"].value == 0
    assert book["setup.downlink.pier.buoy.measured_dbm"].absent_reason == "not-exercised"
    assert book["setup.downlink.pier.buoy.predicted_dbm"].value is not None


def test_level_along_the_chain_ends_at_the_prediction(tmp_path: Path) -> None:
    """14, 14, 16 dBm; -75.22 arriving over 91.22 dB; +5; -2.5 dB at the receiver."""
    results = results_of(tmp_path, (1000, -90, 0))
    path = "setup.uplink.pier.buoy"
    stages = ("radio", "terminals", "eirp", "arriving", "collected")
    levels = [value(results, f"{path}.level.{stage}_dbm") for stage in stages]

    assert levels == pytest.approx([14, 14, 16, -75.22, -70.22], abs=0.02)
    predicted_dbm = value(results, f"{path}.predicted_dbm")
    assert predicted_dbm == pytest.approx(levels[-1] - 2.5, abs=1e-9)
