"""Caution distances: the largest first, never inside the near field, never without output."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from tests.results.link_campaign import STATION, results_of, value

STRONG = STATION.replace("transmit_power_dbm: 20", "transmit_power_dbm: 36")


def test_the_distance_to_keep_is_the_largest_of_both_frameworks(tmp_path: Path) -> None:
    """EIRP 38.5 dBm = 7.079 W; ICNIRP public 4.34 W/m2, F = 2.56: sqrt(2.56 P / (4 pi S))."""
    results = results_of(tmp_path, (1000, -90, 0), station=STRONG)
    by_hand_m = math.sqrt(2.56 * 7.0795 / (4 * math.pi * 4.34))

    keep_m = value(results, "safety.station.pier.caution_distance_m")

    assert keep_m == pytest.approx(by_hand_m, rel=1e-4)
    for framework in ("icnirp", "fcc"):
        for group in ("public", "occupational"):
            path = f"safety.station.pier.{framework}.{group}"
            free_m = value(results, f"{path}.free.full.caution_distance_m")
            ground_m = value(results, f"{path}.ground.full.caution_distance_m")
            assert ground_m == pytest.approx(1.6 * free_m)
            assert ground_m <= keep_m


def test_inside_the_near_field_no_distance_is_given_and_its_edge_is_kept(tmp_path: Path) -> None:
    """100 mW at 868 MHz: 7 cm to the public level over ground, while lambda / 2 pi is 5.5 cm."""
    station = STATION.replace("transmit_power_dbm: 20", "transmit_power_dbm: 0")
    results = results_of(tmp_path, (1000, -90, 0), station=station)
    book = results.figures

    figure = book["safety.station.pier.icnirp.public.ground.full.caution_distance_m"]
    keep = book["safety.station.pier.caution_distance_m"]
    assert figure.absent_reason == "near-field"
    assert keep.value == pytest.approx(0.34538 / (2 * math.pi), abs=1e-4)
    assert keep.prefix == "at least"


def test_duty_cycle_shortens_by_its_root(tmp_path: Path) -> None:
    radio = (
        "frequency_mhz: 868, bandwidth_khz: 125, spreading_factors: [7], payload_bytes: 20, "
        "overhead_bytes: 0, interval_s: 1"
    )
    very_strong = STRONG.replace("power_dbm: 36", "power_dbm: 50")
    results = results_of(tmp_path, (1000, -90, 0), radio=radio, station=very_strong)
    path = "safety.station.pier.icnirp.public.ground"

    duty = value(results, "safety.station.pier.duty_cycle_ratio")
    ratio = value(results, f"{path}.duty.caution_distance_m") / value(
        results, f"{path}.full.caution_distance_m"
    )
    assert duty == pytest.approx(0.056576)  # 56.576 ms, AN1200.13, each second
    assert ratio == pytest.approx(math.sqrt(duty))


def test_what_a_node_carried_on_one_walk_counts_for_its_cautions(tmp_path: Path) -> None:
    """27 dBm into 12 dBi for one walk: 39 dBm, whatever the node usually is."""
    change = "{buoy: {transmit_power_dbm: 27, antenna: {gain_dbi: 12}}}"
    results = results_of(tmp_path, (1000, -60, 0), walk=f"    node_changes: {change}\n")

    assert value(results, "safety.node.buoy.eirp_dbm") == 39
    assert value(results, "setup.node.buoy.eirp_dbm") == 16


def test_room_below_the_plans_limits(tmp_path: Path) -> None:
    """EIRP 22.5 dBm at 868 MHz: over the 16.13 dBm of 25 mW ERP by 6.4 dB."""
    results = results_of(tmp_path, (1000, -90, 0))
    rooms = [
        figure.number
        for figure in results.figures
        if figure.name.startswith("safety.station.pier.limit.")
        and figure.name.endswith("power_room_db")
    ]

    assert pytest.approx(-6.37, abs=0.01) in rooms
