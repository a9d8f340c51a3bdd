"""What comes back from a mismatched load: physics and properties."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reportgen.compute.mismatch import (
    mismatch_loss_db,
    mismatched_line_loss_db,
    reflection_coefficient,
    return_loss_db,
    standing_wave_loss_db,
    vswr_at_antenna,
    vswr_at_radio,
    vswr_from_return_loss,
)
from reportgen.errors import DomainError

RATIOS = st.floats(1.001, 100.0)
LOSSES = st.floats(0.0, 20.0)


@given(RATIOS)
def test_ratio_and_return_loss_are_two_words_for_one_thing(vswr: float) -> None:
    """There and back; what is not reflected enters the load."""
    assert vswr_from_return_loss(return_loss_db(vswr)) == pytest.approx(vswr, rel=1e-9)
    entering = 10 ** (-mismatch_loss_db(vswr) / 10)
    assert entering + reflection_coefficient(vswr) ** 2 == pytest.approx(1.0)


def test_perfect_match_and_total_reflection() -> None:
    """The ends of the scale are infinite, not errors."""
    assert return_loss_db([1.0, np.inf]).tolist() == [np.inf, 0.0]
    assert mismatch_loss_db([1.0, np.inf]).tolist() == [0.0, np.inf]
    assert vswr_from_return_loss([0.0, np.inf]).tolist() == [np.inf, 1.0]
    assert reflection_coefficient([1.0, np.inf]).tolist() == [0.0, 1.0]


@given(RATIOS, LOSSES)
def test_antenna_is_never_better_than_the_radio_sees_it(vswr: float, loss_db: float) -> None:
    """A line can flatter, not slander; without loss it does neither."""
    at_antenna = vswr_at_antenna(vswr, loss_db)

    assert np.isnan(at_antenna) or at_antenna >= vswr * (1 - 1e-9)
    assert vswr_at_antenna(vswr, 0.0) == pytest.approx(vswr, rel=1e-9)


def test_line_loss_that_contradicts_the_reading_gives_no_number() -> None:
    """2:1 through 6 dB: an open line would read 1.67:1, so one of the two is wrong."""
    assert np.isnan(vswr_at_antenna(2.0, 6.0))
    assert vswr_at_antenna(np.inf, 0.0) == np.inf
    assert np.isnan(vswr_at_antenna(np.nan, 1.0))


def test_impossible_readings_are_refused() -> None:
    """Below 1, below 0 dB."""
    with pytest.raises(DomainError, match=r"vswr must be 1 or more; found 0\.5"):
        mismatch_loss_db(0.5)
    with pytest.raises(DomainError, match="return_loss_db must be 0 or more"):
        vswr_from_return_loss(-1.0)
    with pytest.raises(DomainError, match="matched_line_loss_db must be 0 or more"):
        vswr_at_antenna(1.5, -1.0)


@given(RATIOS, LOSSES)
def test_mismatch_adds_to_a_lossy_line_and_never_more_than_its_own_loss(
    vswr: float, loss_db: float
) -> None:
    """Between the matched loss and matched plus mismatch loss."""
    total_db = mismatched_line_loss_db(loss_db, vswr)

    assert total_db >= loss_db - 1e-9
    assert total_db <= loss_db + mismatch_loss_db(vswr) + 1e-9


def test_line_without_loss_heats_nothing() -> None:
    """Whatever comes back; a lossy line in front of an open port keeps everything."""
    assert mismatched_line_loss_db([0.0, 0.0, 1.0], [3.0, np.inf, np.inf]).tolist() == [
        0.0,
        0.0,
        np.inf,
    ]
    assert mismatched_line_loss_db(2.0, 1.0) == pytest.approx(2.0)
    assert np.isnan(mismatched_line_loss_db(0.0, np.nan))


def test_open_end_looks_the_better_the_longer_the_line() -> None:
    """The check that an antenna is there at all: a good reading through a lossy line proves little.

    Without loss nothing is hidden.
    """
    seen = vswr_at_radio(np.inf, [0.0, 1.0, 3.0, 9.0])

    assert seen[0] == np.inf
    assert np.all(np.diff(seen[1:]) < 0)
    assert np.isnan(vswr_at_antenna(seen[2] * 1.001, 3.0))


@given(RATIOS, LOSSES)
def test_meter_at_the_radio_reads_no_worse_than_the_antenna_is(vswr: float, loss_db: float) -> None:
    """The reflected wave crosses the line twice before it is seen."""
    assert 1.0 <= vswr_at_radio(vswr, loss_db) <= vswr * (1 + 1e-9)
    assert vswr_at_radio(1.0, loss_db) == 1.0


@given(RATIOS, LOSSES)
def test_standing_wave_costs_no_more_than_the_mismatch(vswr: float, loss_db: float) -> None:
    """Nothing on a line without loss, nothing with a match, at most what doesn't enter the load."""
    extra_db = standing_wave_loss_db(loss_db, vswr)

    assert 0.0 <= extra_db <= mismatch_loss_db(vswr) + 1e-9
    assert standing_wave_loss_db(loss_db, 1.0) == pytest.approx(0.0, abs=1e-9)
    assert standing_wave_loss_db(0.0, vswr) == pytest.approx(0.0, abs=1e-9)


def test_standing_wave_before_an_open_end_keeps_everything() -> None:
    """As its total, and an unknown loss stays unknown."""
    assert standing_wave_loss_db(1.0, np.inf) == np.inf
    assert np.isnan(standing_wave_loss_db(np.nan, 2.0))
    with pytest.raises(DomainError, match="matched_line_loss_db must be 0 or more"):
        vswr_at_radio(1.5, -1.0)
