"""Local means and Rayleigh fading against Lee's rule and closed forms."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from reportgen.compute.feeder_loss import FEET
from reportgen.compute.local_mean import (
    NEEDED_SAMPLES,
    RAYLEIGH_STANDARD_DEVIATION_DB,
    averaging_length_m,
    local_mean_error_db,
    rayleigh_level_exceeded_db,
    samples_within,
    spacing_m,
)
from tests.published.reference_rows import ReferenceRow, disagreements


def test_fifty_samples_give_one_decibel() -> None:
    """Lee (1985), as textbooks repeat it: 36 samples or more, 50 for an error within 1 dB."""
    assert NEEDED_SAMPLES == 36
    assert local_mean_error_db(50) == pytest.approx(1.0, abs=0.05)


def test_spread_of_rayleigh_levels() -> None:
    """Textbooks on mobile radio: 5.57 dB, median 1.59 dB below the mean power.

    (10/ln 10) pi/sqrt 6 and 10 log10(ln 2).
    """
    assert pytest.approx(5.57, abs=0.005) == RAYLEIGH_STANDARD_DEVIATION_DB
    assert rayleigh_level_exceeded_db(0.5) == pytest.approx(-1.59, abs=0.005)


def test_crossing_pace_of_the_traffic_manual() -> None:
    """US MUTCD, pedestrian clearance: 3.5 ft/s is 1.0668 m/s (seen second-hand; row WLK-2)."""
    assert spacing_m(3.5 * FEET, 1.0) == pytest.approx(1.0668, abs=0.00005)


@pytest.mark.shared
def test_all_reference_lengths_and_samples(shared_folder: Path) -> None:
    """Rows LEE: lengths, spacing of 50 samples, time and rate on foot; WLK-4, a step of 30 s."""

    def length(row: ReferenceRow) -> object:
        return averaging_length_m(row.number("f_MHz") * 1e6, float(row.key.split("-")[1]))

    def spacing(row: ReferenceRow) -> object:
        whole_m = averaging_length_m(row.number("f_MHz") * 1e6, row.number("wavelengths"))
        step_m = whole_m / row.number("n")
        assert samples_within(whole_m, step_m) == pytest.approx(row.number("n"))
        return step_m

    def walked_s(row: ReferenceRow) -> object:
        return averaging_length_m(row.number("f_MHz") * 1e6) / spacing_m(row.number("v_m_s"), 1.0)

    def rate(row: ReferenceRow) -> object:
        step_m = spacing_m(1.34, row.number("t_s") / row.number("N"))
        assert samples_within(averaging_length_m(915e6), step_m) == pytest.approx(36, abs=0.05)
        return row.number("N") / row.number("t_s")

    def step(row: ReferenceRow) -> object:
        return spacing_m(row.number("v_m_s"), row.number("dt_s"))

    assert disagreements(shared_folder, r"LEE-[24]0-\d+", length, rows=6) == []
    assert disagreements(shared_folder, r"LEE-S", spacing, rows=1) == []
    assert disagreements(shared_folder, r"LEE-T", walked_s, rows=1) == []
    assert disagreements(shared_folder, r"LEE-R", rate, rows=1) == []
    assert disagreements(shared_folder, r"WLK-4", step, rows=1) == []


@pytest.mark.shared
def test_all_reference_errors_and_fades(shared_folder: Path) -> None:
    """Rows LEE-C (mean of N amplitudes), LEE-N36 (from memory) and RAY."""

    def error(row: ReferenceRow) -> object:
        return local_mean_error_db(row.number("N"))

    def fade(row: ReferenceRow) -> object:
        return rayleigh_level_exceeded_db(float(row.inputs.get("p", "0.5")))

    assert disagreements(shared_folder, r"LEE-C\d+", error, rows=3) == []
    assert disagreements(shared_folder, r"LEE-N36", lambda _: NEEDED_SAMPLES, rows=1) == []
    assert disagreements(shared_folder, r"RAY-[123]", fade, rows=3) == []
    spread = np.float64(RAYLEIGH_STANDARD_DEVIATION_DB)
    assert disagreements(shared_folder, r"RAY-4", lambda _: spread, rows=1) == []
