"""Data rates: what name, spreading factor and bandwidth say of each other."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from reportgen.errors import Problem
from reportgen.read.findings import RowFaultError
from reportgen.read.rate_values import Rate, rate_of
from tests.read.log_files import FIELDS, read_log, set_aside


def rate(
    name: str | None = None,
    factor: str | None = None,
    width: str | None = None,
    plan: str | None = "EU868",
    *,
    is_uplink: bool = True,
) -> tuple[str, int | None, float | None]:
    found: Rate = rate_of(
        {"data_rate": name, "spreading_factor": factor, "bandwidth_khz": width},
        ".",
        plan,
        is_uplink=is_uplink,
    )
    width_hz = None if math.isnan(found.bandwidth_hz) else found.bandwidth_hz
    return found.data_rate, found.spreading_factor, width_hz


@pytest.mark.parametrize("name", ["DR3", "dr3", "3", "3.0", "DR 3"])
def test_name_fills_in_spreading_factor_and_bandwidth(name: str) -> None:
    """LoRaWAN Regional Parameters RP002-1.0.5, EU868: DR3 is SF9 at 125 kHz."""
    assert rate(name) == ("DR3", 9, 125e3)


@pytest.mark.parametrize("name", ["SF7BW125", "sf7 bw125", "SF7/125kHz", "SF7BW125.0"])
def test_rate_spelt_out_is_named_after_the_plan(name: str) -> None:
    """LoRaWAN Regional Parameters RP002-1.0.5, EU868: SF7 at 125 kHz is DR5."""
    assert rate(name) == ("DR5", 7, 125e3)


def test_rate_spelt_out_keeps_its_spelling_without_a_plan() -> None:
    assert rate("SF7BW125", plan=None) == ("SF7BW125", 7, 125e3)


@pytest.mark.parametrize("factor", ["SF7", "7", "7.0", "sf 7"])
def test_spreading_factor_and_bandwidth_fill_in_the_name(factor: str) -> None:
    assert rate(None, factor, "125") == ("DR5", 7, 125e3)


def test_spreading_factor_alone_names_no_rate() -> None:
    """SF7 is DR5 or DR6 in EU868, depending on the bandwidth."""
    assert rate(None, "7") == ("", 7, None)


def test_downlink_rates_are_no_candidates_for_an_uplink() -> None:
    """In US915 SF8 at 500 kHz is DR4 upwards and DR12 downwards (RP002-1.0.5)."""
    assert rate(None, "8", "500", "US915") == ("DR4", 8, 500e3)
    assert rate(None, "7", "500", "US915") == ("", 7, 500e3)
    assert rate(None, "8", "500", "US915", is_uplink=False) == ("", 8, 500e3)
    assert rate(None, "7", "500", "US915", is_uplink=False) == ("DR13", 7, 500e3)


@pytest.mark.parametrize("name", ["250 kbit/s", "LR-FHSS M0CW137", "DR15", "FSK"])
def test_name_that_the_plan_does_not_know_stays_as_it_is(name: str) -> None:
    """Other radios have data rates without a spreading factor."""
    assert rate(name) == (name, None, None)


def test_rate_without_spreading_factor_fills_in_none() -> None:
    """EU868 DR8 is LR-FHSS."""
    assert rate("DR8") == ("DR8", None, 137e3)


def test_nothing_known_stays_unknown() -> None:
    assert rate() == ("", None, None)


@pytest.mark.parametrize(
    ("name", "factor", "width"),
    [("DR3", "7", None), ("DR3", None, "250"), ("SF7BW125", "8", None), ("SF7BW125", "7", "250")],
)
def test_fields_that_contradict_each_other_are_a_fault(
    name: str, factor: str | None, width: str | None
) -> None:
    """A wrong regional plan shows in this way; neither field may win silently."""
    with pytest.raises(RowFaultError) as caught:
        rate(name, factor, width)

    assert caught.value.finding.code == "log/data-rate-conflict"


def test_fields_that_agree_are_no_fault() -> None:
    assert rate("DR3", "SF9", "125.0") == ("DR3", 9, 125e3)


@pytest.mark.parametrize("factor", ["4", "13", "7.5", "SFX"])
def test_impossible_spreading_factor_is_a_fault(tmp_path: Path, factor: str) -> None:
    text = f"time,node,station,sf\n2026-03-03T10:00:00Z,A1,gw,{factor}\n"
    reading = read_log(tmp_path, text, {**FIELDS, "spreading_factor": "sf"})

    assert list(set_aside(reading)) in [["log/range"], ["log/number"]]
    problem: Problem = reading.problems[0]
    assert "spreading_factor" in problem.found


def test_a_name_that_is_a_spreading_factor_alone_is_taken_as_one() -> None:
    """Found by the fuzzer: without a bandwidth anywhere there is none to compare."""
    assert rate("SF7") == ("SF7", 7, None)
    assert rate("SF7", "7") == ("SF7", 7, None)
