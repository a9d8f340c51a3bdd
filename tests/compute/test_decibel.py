"""Levels and ratios."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reportgen.compute.decibel import (
    db_from_ratio,
    dbd_from_dbi,
    dbi_from_dbd,
    dbm_from_watts,
    eirp_from_erp_dbm,
    erp_from_eirp_dbm,
    mean_power_dbm,
    ratio_from_db,
    watts_from_dbm,
)
from reportgen.errors import DomainError

LEVELS = st.floats(-200.0, 100.0)


@given(LEVELS)
def test_levels_survive_the_way_there_and_back(level: float) -> None:
    """Every figure in watts on a page is also shown in dBm: the two must be one value."""
    assert db_from_ratio(ratio_from_db(level)) == pytest.approx(level, abs=1e-9)
    assert dbm_from_watts(watts_from_dbm(level)) == pytest.approx(level, abs=1e-9)
    assert erp_from_eirp_dbm(eirp_from_erp_dbm(level)) == pytest.approx(level, abs=1e-9)
    assert dbd_from_dbi(dbi_from_dbd(level)) == pytest.approx(level, abs=1e-9)


@given(st.lists(LEVELS, min_size=1, max_size=8))
def test_mean_of_powers_lies_between_mean_of_levels_and_the_strongest(levels: list[float]) -> None:
    """Milliwatts are averaged, so the strong values rule; nothing exceeds the strongest."""
    mean_dbm = mean_power_dbm(levels)

    assert mean_dbm >= np.mean(levels) - 1e-9
    assert mean_dbm <= max(levels) + 1e-9


def test_mean_power_leaves_out_what_was_not_measured() -> None:
    """A level not measured is not a level of zero."""
    assert mean_power_dbm([-90.0, np.nan, -90.0]) == pytest.approx(-90.0)
    assert np.isnan(mean_power_dbm([np.nan]))
    assert np.isnan(mean_power_dbm([]))


def test_no_level_stands_for_no_power() -> None:
    """Minus infinity on a chart would hide that something is wrong."""
    with pytest.raises(DomainError, match="power_w must be above 0; found 0"):
        dbm_from_watts([1.0, 0.0])
    with pytest.raises(DomainError, match="ratio must be above 0; found -1"):
        db_from_ratio(-1.0)


def test_unknown_stays_unknown_and_shape_is_kept() -> None:
    """Tables are passed in whole, gaps and all."""
    watts = watts_from_dbm([[0.0, np.nan], [30.0, 30.0]])

    assert watts.shape == (2, 2)
    assert np.isnan(watts[0, 1])
    assert watts[1, 0] == 1.0
