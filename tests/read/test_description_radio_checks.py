"""What a radio can't be is refused where it stands; what is missing is not."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.errors import CampaignError, Problem, Severity
from reportgen.read.campaign_parts import nodes_of, stated_at, stations_of, walks_of
from reportgen.read.description import read_description
from reportgen.read.description_checks import check_description
from tests.read.description_text import described

RADIO = "radio: {{frequency_mhz: {mhz}, bandwidth_khz: 125, spreading_factors: [{sf}]{more}}}"


def radio(mhz: float = 868.1, sf: int = 7, more: str = "") -> str:
    return RADIO.format(mhz=mhz, sf=sf, more=more)


def own(extra: str) -> str:
    return f"    own: true\n{extra}"


def errors_of(folder: Path) -> list[Problem]:
    with pytest.raises(CampaignError) as caught:
        read_description(folder)
    return list(caught.value.problems)


def remarks_of(folder: Path) -> list[Problem]:
    description, locate = read_description(folder)
    return list(check_description(description, locate))


@pytest.mark.parametrize(
    ("line", "key", "value", "permitted"),
    [
        ("    vswr: {value: 0.9, measured_at: radio}", "vswr.value", "0.9", "1"),
        ("    feeder: {cable: RG-58, loss_db: -1}", "feeder.loss_db", "-1", "0"),
        ("    antenna: {gain_dbi: 60}", "antenna.gain_dbi", "60", "30"),
        ("    noise_figure_db: 70", "noise_figure_db", "70", "40"),
        ("    transmit_power_dbm: 90", "transmit_power_dbm", "90", "60"),
    ],
)
def test_an_impossible_value_names_its_line_itself_and_what_is_permitted(
    tmp_path: Path, line: str, key: str, value: str, permitted: str
) -> None:
    (problem,) = errors_of(described(tmp_path, own=own(line)))

    assert problem.where.line == 8
    assert problem.found == f"stations.quay.{key} = {value}"
    assert f" {permitted} " in problem.expected


@pytest.mark.parametrize("factor", [4, 13])
def test_a_spreading_factor_that_does_not_exist_is_an_error(tmp_path: Path, factor: int) -> None:
    (problem,) = errors_of(described(tmp_path, radio=radio(sf=factor)))

    assert problem.code == "description/spreading-factor"
    assert str(factor) in problem.found
    assert "5 to 12" in problem.expected
    assert problem.where.line == 3


def test_a_spreading_factor_the_plan_does_not_know_is_a_warning(tmp_path: Path) -> None:
    """US915 has no data rate for SF5; somebody may still use it outside LoRaWAN."""
    folder = described(tmp_path, radio=radio(915.0, 5, ", regional_plan: US915"))

    (problem,) = remarks_of(folder)

    assert (problem.code, problem.severity) == (
        "description/spreading-factor",
        Severity.WARNING,
    )


@pytest.mark.parametrize("mhz", [862.9, 870.1, 915.0])
def test_a_frequency_outside_the_plan_is_an_error_with_the_band(tmp_path: Path, mhz: float) -> None:
    """EU868 is 863 to 870 MHz."""
    folder = described(tmp_path, radio=radio(mhz, more=", regional_plan: EU868"))

    (problem,) = errors_of(folder)

    assert problem.code == "description/band"
    assert "863 to 870 MHz" in problem.expected


def test_a_frequency_within_the_plan_or_without_one_is_none(tmp_path: Path) -> None:
    assert remarks_of(described(tmp_path, radio=radio(more=", regional_plan: EU868"))) == []
    assert remarks_of(described(tmp_path, radio=radio(433.5))) == []


def test_a_loss_per_length_stated_twice_is_an_error(tmp_path: Path) -> None:
    line = "    feeder: {length_m: 9, loss_per_100m_db: 50, loss_per_100ft_db: 16}"

    (problem,) = errors_of(described(tmp_path, own=own(line)))

    assert problem.code == "description/feeder"
    assert "one of the two" in problem.expected


def test_a_loss_per_100_ft_becomes_one_per_100_m(tmp_path: Path) -> None:
    """7.53 dB per 100 ft is 24.70 dB per 100 m: 1 ft = 0.3048 m."""
    line = "    feeder: {length_m: 9, loss_per_100ft_db: 7.53}"
    description, _ = read_description(described(tmp_path, own=own(line)))

    feeder = stations_of(description)[0].feeder

    assert feeder is not None
    assert feeder.loss_per_100m_db == pytest.approx(24.70, abs=0.01)


def test_a_node_can_carry_something_else_on_one_walk(tmp_path: Path) -> None:
    line = (
        "    logs: [ridge.csv]\n    adaptive_rate: true\n"
        "    node_changes: {one: {antenna: {gain_dbi: -2}}}"
    )
    description, locate = read_description(described(tmp_path, logs=line))

    (walk,) = walks_of(description, locate)

    assert walk.is_rate_adaptive is True
    assert walk.node_changes[0].antenna is not None
    assert walk.node_changes[0].antenna.gain_dbi == -2
    assert walk.node_changes[0].transmit_power_dbm is None
    assert nodes_of(description)[0].antenna.gain_dbi is None


def test_a_change_of_a_node_that_was_not_carried_is_an_error(tmp_path: Path) -> None:
    line = "    logs: [ridge.csv]\n    node_changes: {two: {transmit_power_dbm: 10}}"

    (problem,) = errors_of(described(tmp_path, logs=line))

    assert problem.code == "description/unknown-node"
    assert "two" in problem.found


def test_what_is_stated_is_known_with_its_line_and_defaults_are_not(tmp_path: Path) -> None:
    """A value with a line is the author's; one without is the program's assumption."""
    description, locate = read_description(described(tmp_path))

    places = dict(stated_at(description, locate))

    assert places["radio.frequency_mhz"].line == 3
    assert "radio.rssi_error_db" not in places


@pytest.mark.parametrize(
    ("plan", "factor", "is_told"),
    [("US915", 12, True), ("US915", 10, False), ("EU868", 12, False), ("AU915", 12, False)],
)
def test_a_spreading_factor_that_the_plan_has_at_another_bandwidth_only_is_told(
    tmp_path: Path, plan: str, factor: int, is_told: bool
) -> None:
    """RP002-1.0.5: US915 has SF12 at 500 kHz, in downlinks; at 125 kHz SF7 to SF10."""
    mhz = 868.1 if plan == "EU868" else 917.0
    folder = described(tmp_path, radio=radio(mhz, factor, f", regional_plan: {plan}"))

    found = [problem.code for problem in remarks_of(folder)]

    assert ("description/spreading-factor" in found) is is_told
