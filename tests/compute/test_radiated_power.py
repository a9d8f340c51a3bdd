"""Power that leaves an antenna: signs, references and what a rule leaves of it."""

from __future__ import annotations

import pytest

from reportgen.compute.radiated_power import (
    DIPOLE_GAIN_DBI,
    allowed_conducted_power_dbm,
    eirp_dbm,
    erp_dbm,
)
from reportgen.errors import DomainError


def test_radiated_power_takes_losses_away_and_adds_gain() -> None:
    """The sign follows the name."""
    assert eirp_dbm(
        14.0, feeder_loss_db=2.0, antenna_gain_dbi=5.0, mismatch_loss_db=0.5
    ) == pytest.approx(16.5)


@pytest.mark.parametrize("name", ["feeder_loss_db", "mismatch_loss_db"])
def test_negative_loss_is_refused(name: str) -> None:
    """A loss written with a minus sign would turn into a gain."""
    losses = {"feeder_loss_db": 1.0, "mismatch_loss_db": 0.0} | {name: -1.0}

    with pytest.raises(DomainError, match=f"{name} must be 0 or more; found -1"):
        eirp_dbm(14.0, antenna_gain_dbi=2.0, **losses)


def test_effective_radiated_power_counts_from_a_dipole() -> None:
    """A radio on a plain dipole radiates, so counted, what it puts out."""
    on_a_dipole_dbm = eirp_dbm(14.0, feeder_loss_db=0.0, antenna_gain_dbi=DIPOLE_GAIN_DBI)

    assert erp_dbm(on_a_dipole_dbm) == pytest.approx(14.0)


def test_only_gain_beyond_the_allowed_lowers_the_power() -> None:
    """A worse antenna buys no more power at its terminals."""
    allowed_dbm = allowed_conducted_power_dbm(
        30.0, antenna_gain_dbi=[2.0, 6.0, 8.5], gain_allowed_dbi=6.0
    )

    assert allowed_dbm.tolist() == [30.0, 30.0, 27.5]
