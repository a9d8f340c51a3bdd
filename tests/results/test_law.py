"""The distance law of a walk: what it finds, and when it must say nothing."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from tests.results.link_campaign import RADIO, results_of, value

PATH = "walk.loop.law"
FIXED = RADIO + ", adaptive_rate: false"


def rows_of_a_law(
    exponent: float, *, count: int = 240, seed: int = 3, spread_db: float = 4.0
) -> tuple[tuple[float, float, float], ...]:
    """Return heard rows of a law: -70 dBm at 100 m; total power and SNR over -117 dBm of noise."""
    chance = np.random.default_rng(seed)
    away_m = np.geomspace(100.0, 9000.0, count)
    signal = -70 - 10 * exponent * np.log10(away_m / 100) + spread_db * chance.normal(size=count)
    rows = []
    for distance_m, level in zip(away_m, signal, strict=True):
        total = 10 * math.log10(10 ** (level / 10) + 10 ** (-117 / 10))
        rows.append((float(distance_m), round(total, 2), round(float(level) + 117, 2)))
    # Out and back, so that what is missed far out has heard frames before and after it.
    return (*rows[::2], *rows[1::2][::-1])


def test_misses_count_and_the_law_is_found(tmp_path: Path) -> None:
    """Truth 3.0: heard frames alone must come out flatter, the law within its interval."""
    rows = rows_of_a_law(3.0)
    missed = frozenset(number for number, (_, _, snr) in enumerate(rows) if snr < -7.5)

    results = results_of(tmp_path, *rows, radio=FIXED, missed=missed)

    exponent = results.figures[f"{PATH}.exponent"]
    assert value(results, f"{PATH}.missed") > 5
    assert exponent.low is not None
    assert exponent.high is not None
    assert exponent.low < 3.0 < exponent.high
    assert value(results, f"{PATH}.exponent") == pytest.approx(3.0, abs=0.25)
    assert value(results, f"{PATH}.naive_exponent") < value(results, f"{PATH}.exponent")
    assert value(results, f"{PATH}.noise_dbm") == pytest.approx(-117.0, abs=0.1)


def test_few_frames_give_no_law(tmp_path: Path) -> None:
    results = results_of(tmp_path, *rows_of_a_law(3.0, count=12), radio=FIXED)

    assert results.figures[f"{PATH}.exponent"].absent_reason == "too-few-heard"


def test_standing_at_one_distance_gives_no_law(tmp_path: Path) -> None:
    rows = tuple((500.0 + n, -90.0, 5.0) for n in range(60))

    results = results_of(tmp_path, *rows, radio=FIXED)

    assert results.figures[f"{PATH}.exponent"].absent_reason == "no-spread"


def test_adaptive_power_that_nobody_recorded_gives_no_law(tmp_path: Path) -> None:
    results = results_of(tmp_path, *rows_of_a_law(3.0), radio=RADIO + ", adaptive_rate: true")

    assert results.figures[f"{PATH}.exponent"].absent_reason == "adaptive-power"


def test_levels_on_the_floor_without_snr_give_no_law(tmp_path: Path) -> None:
    """RSSI that stays at the receiver's noise says nothing of the path."""
    rows = tuple(
        (distance_m, max(-70 - 30 * math.log10(distance_m / 100), -110.0), None)
        for distance_m in np.geomspace(100.0, 9000.0, 120)
    )

    results = results_of(tmp_path, *rows, radio=FIXED)

    assert results.figures[f"{PATH}.exponent"].absent_reason == "on-floor"
    assert value(results, f"{PATH}.floor_ratio") > 0.25


def test_a_share_reached_far_beyond_the_walk_is_not_given(tmp_path: Path) -> None:
    rows = tuple((distance_m, -60.0 - 0.001 * distance_m, 10.0)
                 for distance_m in np.linspace(60.0, 900.0, 80))  # fmt: skip

    results = results_of(tmp_path, *rows, radio=FIXED)

    assert results.figures[f"{PATH}.dr5.half_heard_m"].absent_reason in {
        "far-beyond",
        "level-does-not-fall",
    }


def test_walks_with_other_antennas_are_shifted_to_one_output(tmp_path: Path) -> None:
    """The same levels from a node of 3.5 dB less gain mean a path of 3.5 dB less loss."""
    usual = results_of(tmp_path / "a", *rows_of_a_law(3.0), radio=FIXED)
    stub = results_of(
        tmp_path / "b", *rows_of_a_law(3.0), radio=FIXED,
        walk="    node_changes: {buoy: {antenna: {gain_dbi: -1.5}}}\n",
    )  # fmt: skip

    name = f"{PATH}.level_at_100m_dbm"
    assert value(stub, name) - value(usual, name) == pytest.approx(3.5, abs=1e-6)
