"""What a reception says of its path: by hand, and where it must not say anything."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from tests.results.link_campaign import NODE, RADIO, results_of, value

STATION_PATH = "walk.loop.station.pier"


def test_loss_margin_and_signal_by_hand(tmp_path: Path) -> None:
    """At SNR 0 dB the signal is half of the power: RSSI - 3.01 dB.

    Uplink: EIRP 14 + 2 = 16 dBm; station +5 dBi - 2.5 dB. Loss 16 + 2.5 + 93.01 dB. Sensitivity
    at SF7, noise figure 6 dB: -173.975 + 50.969 + 6 - 7.5 = -124.506 dBm.
    """
    results = results_of(tmp_path, (1000, -90, 0))

    assert value(results, f"{STATION_PATH}.signal_dbm_median") == pytest.approx(-93.010, abs=0.001)
    assert value(results, f"{STATION_PATH}.loss_db_median") == pytest.approx(111.510, abs=0.001)
    margin_db = value(results, f"{STATION_PATH}.link_margin_db_median")
    assert margin_db == pytest.approx(-93.010 + 124.506, abs=0.002)


def test_excess_is_the_loss_beyond_free_space_over_the_slant_path(tmp_path: Path) -> None:
    """Free space by hand: 32.4478 + 20 log10(868) + 20 log10(d/km), d with 9 m of height."""
    results = results_of(tmp_path, (100, -90, 0))
    row = results.joined.receptions.iloc[0]
    slant_km = math.hypot(row["distance_m"], 9.0) / 1000
    free_db = 32.4478 + 20 * math.log10(868) + 20 * math.log10(slant_km)

    assert row["excess_loss_db"] == pytest.approx(row["loss_db"] - free_db, abs=0.001)


def test_a_receiver_that_reports_the_signal_alone_is_not_corrected(tmp_path: Path) -> None:
    radio = RADIO + ", rssi_counts: signal only"

    results = results_of(tmp_path, (1000, -90, 0), radio=radio)

    assert value(results, f"{STATION_PATH}.signal_dbm_median") == -90.0


def test_a_level_no_path_can_give_is_flagged_and_used_for_no_loss(tmp_path: Path) -> None:
    """At 1 km free space leaves -72.7 dBm; -50 is more than 6 + 3 dB above it."""
    results = results_of(tmp_path, (1000, -90, 10), (1000, -50, 10))
    flags = results.joined.receptions["is_too_strong"].tolist()

    assert flags == [False, True]
    assert value(results, f"{STATION_PATH}.too_strong") == 1
    assert results.figures[f"{STATION_PATH}.loss_db_median"].count == 1


def test_the_allowance_is_reflection_rssi_error_and_position(tmp_path: Path) -> None:
    """Level of free space at 1 km: 16 - 91.218 + 2.5 = -72.718 dBm; allowed up to 9.09 dB more.

    Slant path 1000.04 m less 10 m of position error: 0.087 dB.
    """
    at_limit = results_of(tmp_path / "a", (1000, -63.7, 60))
    beyond = results_of(tmp_path / "b", (1000, -63.5, 60))
    doubted = results_of(
        tmp_path / "c", (1000, -63.5, 60), radio=RADIO + ", rssi_error_db: 4"
    )  # fmt: skip

    assert value(at_limit, f"{STATION_PATH}.too_strong") == 0
    assert value(beyond, f"{STATION_PATH}.too_strong") == 1
    assert value(doubted, f"{STATION_PATH}.too_strong") == 0


def test_under_adaptive_rate_an_uplink_log_gives_margins_and_no_loss(tmp_path: Path) -> None:
    """The network lowers power with the rate, and the log does not show to what."""
    results = results_of(tmp_path, (1000, -90, 10), walk="    adaptive_rate: true\n")

    assert results.figures[f"{STATION_PATH}.loss_db_median"].absent_reason == "adaptive-power"
    assert results.figures[f"{STATION_PATH}.too_strong"].absent_reason == "adaptive-power"
    assert value(results, f"{STATION_PATH}.link_margin_db_median") > 0


def test_a_recorded_power_gives_losses_even_under_adaptive_rate(tmp_path: Path) -> None:
    results = results_of(
        tmp_path,
        (1000, -90, 60),
        (1000, -94, 60),
        walk="    adaptive_rate: true\n",
        powers=("14", "10"),
    )

    losses = results.joined.receptions["loss_db"].tolist()
    assert losses[0] == pytest.approx(losses[1], abs=1e-6)
    assert losses[0] == pytest.approx(16 + 2.5 + 90, abs=0.001)


def test_rates_that_changed_unexplained_give_no_loss(tmp_path: Path) -> None:
    results = results_of(tmp_path, (1000, -90, 10), (1000, -90, 10), rates=("DR5", "DR3"))

    assert results.figures[f"{STATION_PATH}.loss_db_median"].absent_reason == "adaptive-unknown"


def test_rates_that_changed_on_purpose_do(tmp_path: Path) -> None:
    results = results_of(
        tmp_path, (1000, -90, 10), (1000, -90, 10), rates=("DR5", "DR3"),
        radio=RADIO + ", adaptive_rate: false",
    )  # fmt: skip

    assert results.figures[f"{STATION_PATH}.loss_db_median"].count == 2


def test_a_node_changed_for_the_walk_changes_the_loss(tmp_path: Path) -> None:
    """3.5 dB less antenna at the node is 3.5 dB less loss on the path."""
    usual = results_of(tmp_path / "a", (1000, -90, 0))
    stub = results_of(
        tmp_path / "b", (1000, -90, 0),
        walk="    node_changes: {buoy: {antenna: {gain_dbi: -1.5}}}\n",
    )  # fmt: skip

    name = f"{STATION_PATH}.loss_db_median"
    assert value(usual, name) - value(stub, name) == pytest.approx(3.5)


def test_a_power_that_cannot_be_read_is_no_reason_to_lose_the_reception(tmp_path: Path) -> None:
    results = results_of(tmp_path, (1000, -90, 10), (1000, -90, 10), powers=("abc", "99"))

    assert value(results, f"{STATION_PATH}.frames_heard") == 2
    assert any(p.code == "log/range" for p in results.joined.problems)


def test_without_a_place_nothing_is_too_strong_and_nothing_is_fine(tmp_path: Path) -> None:
    """Zero of none would read as a clean bill."""
    results = results_of(tmp_path, (0.0, -90, 10))

    assert results.figures[f"{STATION_PATH}.loss_db_median"].value is not None
    near = results_of(tmp_path / "b", (1000, 0, 60))
    assert near.figures[f"{STATION_PATH}.loss_db_median"].absent_reason == "all-too-strong"


def test_downlink_levels_use_the_downlinks_budget(tmp_path: Path) -> None:
    """Station: 20 - 2.5 + 5 = 22.5 dBm EIRP; node +2 dBi. Loss 22.5 + 2 + 93.01."""
    results = results_of(tmp_path, (1000, -90, 0), measured_at="node")

    loss_db = value(results, "walk.loop.downlink.pier.loss_db_median")
    assert loss_db == pytest.approx(117.510, abs=0.001)
    assert results.figures[f"{STATION_PATH}.loss_db_median"].absent_reason == "nothing-heard"


def test_another_radio_needs_a_stated_sensitivity_only(tmp_path: Path) -> None:
    results = results_of(
        tmp_path, (1000, -90, 60), rates=("",), node=NODE,
        radio="frequency_mhz: 868, sensitivity_dbm: -104",
    )  # fmt: skip

    assert value(results, f"{STATION_PATH}.link_margin_db_median") == pytest.approx(14.0)
    assert value(results, "setup.uplink.pier.buoy.any.sensitivity_dbm") == -104
