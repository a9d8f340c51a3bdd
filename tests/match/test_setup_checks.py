"""What the description of lines and frames can't mean is said before anything is built."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.results.link_campaign import RADIO, STATION, results_of

LINE = "    feeder: {cable: RG-213, length_m: 10, loss_per_100m_db: 20, connectors_loss_db: 0.5}\n"


def codes(folder: Path, station: str = STATION, radio: str = RADIO) -> dict[str, int]:
    results = results_of(folder, (1000, -90, 0), station=station, radio=radio)
    return {p.code: p.where.line for p in results.joined.problems if p.code.startswith("setup/")}


def test_a_sound_setup_has_no_remarks(tmp_path: Path) -> None:
    assert codes(tmp_path) == {}


@pytest.mark.parametrize("cable", ["XYZ-99", "RG-8"])
def test_a_cable_whose_loss_nobody_knows_is_warned_of_at_its_line(
    tmp_path: Path, cable: str
) -> None:
    """RG-8 is listed at 30 and 150 MHz only."""
    unknown = STATION.replace(LINE, f"    feeder: {{cable: {cable}, length_m: 10}}\n")

    assert codes(tmp_path, unknown)["setup/unknown-cable"] > 1


def test_a_known_cable_needs_no_loss(tmp_path: Path) -> None:
    known = STATION.replace(LINE, "    feeder: {cable: RG-58, length_m: 10}\n")

    assert codes(tmp_path, known) == {}


def test_a_reading_that_contradicts_the_line_is_warned_of(tmp_path: Path) -> None:
    assert list(codes(tmp_path, STATION + "    vswr: {value: 4, measured_at: radio}\n")) == [
        "setup/reading-contradicts-line"
    ]


def test_a_frame_longer_than_the_modulation_carries_is_warned_of(tmp_path: Path) -> None:
    assert list(codes(tmp_path, radio=RADIO + ", payload_bytes: 250")) == ["setup/payload-too-long"]
    assert codes(tmp_path / "b", radio=RADIO + ", payload_bytes: 242") == {}


def test_a_stated_sensitivity_beside_spreading_factors_is_warned_of(tmp_path: Path) -> None:
    """Walks would go by the one and the budgets by the other."""
    assert list(codes(tmp_path, radio=RADIO + ", sensitivity_dbm: -120")) == ["setup/two-limits"]
