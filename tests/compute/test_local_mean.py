"""Local means: how long, how many samples, how far off."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.compute.local_mean import (
    AVERAGING_WAVELENGTHS,
    NEEDED_SAMPLES,
    RAYLEIGH_STANDARD_DEVIATION_DB,
    RAYLEIGH_VARIATION_RATIO,
    averaging_length_m,
    local_mean_error_db,
    rayleigh_level_exceeded_db,
    samples_within,
    spacing_m,
)
from reportgen.errors import DomainError


def test_length_is_forty_wavelengths() -> None:
    """At 300 MHz, where a wavelength is a metre."""
    assert averaging_length_m(299_792_458.0) == AVERAGING_WAVELENGTHS == 40.0
    assert averaging_length_m(299_792_458.0, 20.0) == 20.0


def test_walker_with_a_slow_node_has_no_local_mean() -> None:
    """One frame in half a minute at walking pace: a third of a sample in 40 wavelengths."""
    samples = samples_within(averaging_length_m(915e6), spacing_m(1.34, 30.0))

    assert samples < 1.0 < NEEDED_SAMPLES
    assert local_mean_error_db(samples) == local_mean_error_db(1.0)


def test_standing_still_takes_the_same_sample_again() -> None:
    """No number of frames from one place says anything of its neighbourhood."""
    assert np.isnan(samples_within(13.0, spacing_m(0.0, 30.0)))
    assert np.isnan(local_mean_error_db(np.nan))


def test_more_samples_come_nearer() -> None:
    """With the root of their number."""
    error_db = local_mean_error_db([1, 4, 36, 50, 1e6])

    assert np.all(np.diff(error_db) < 0)
    assert error_db[-1] < 0.01


def test_rayleigh_figures_are_those_of_drawn_amplitudes() -> None:
    """Drawn, not derived: 200,000 complex normal amplitudes with a fixed seed."""
    draw = np.random.default_rng(20).normal(size=(2, 200_000))
    amplitude = np.hypot(*draw)
    level_db = 20 * np.log10(amplitude)
    mean_power_db = 10 * np.log10(np.mean(amplitude**2))

    assert np.std(level_db) == pytest.approx(RAYLEIGH_STANDARD_DEVIATION_DB, abs=0.03)
    spread = np.std(amplitude) / np.mean(amplitude)
    assert spread == pytest.approx(RAYLEIGH_VARIATION_RATIO, abs=0.003)
    assert np.quantile(level_db, 0.1) - mean_power_db == pytest.approx(
        float(rayleigh_level_exceeded_db(0.9)), abs=0.05
    )


def test_mean_of_drawn_samples_stays_within_the_stated_error() -> None:
    """36 amplitudes at a time: nine means in ten lie within, one in twenty above."""
    draw = np.random.default_rng(21).normal(size=(2, 20_000, NEEDED_SAMPLES))
    mean_db = 20 * np.log10(np.mean(np.hypot(*draw), axis=1) / np.sqrt(np.pi / 2))

    above = np.mean(mean_db > local_mean_error_db(NEEDED_SAMPLES))

    assert above == pytest.approx(0.05, abs=0.006)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: averaging_length_m(915e6, 0.0), "wavelengths must be above 0"),
        (lambda: spacing_m(-1.0, 30.0), "pace_mps must be 0 or more"),
        (lambda: spacing_m(1.0, 0.0), "interval_s must be above 0"),
        (lambda: samples_within(-1.0, 1.0), "averaging_length_m must be 0 or more"),
        (lambda: local_mean_error_db(0.0), "samples must be above 0"),
        (lambda: rayleigh_level_exceeded_db(1.5), "exceeded_ratio must be from 0 to 1"),
    ],
)
def test_numbers_out_of_range_are_refused(call: object, message: str) -> None:
    """No sample is no mean."""
    assert callable(call)
    with pytest.raises(DomainError, match=message):
        call()
