"""Loss of the path itself, and the least it can be."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.compute.exposure import reactive_near_field_edge_m
from reportgen.compute.measured_loss import (
    basic_transmission_loss_db,
    excess_loss_db,
    is_too_strong,
    least_plausible_loss_db,
)
from reportgen.compute.transmission_loss import free_space_basic_transmission_loss_db
from reportgen.errors import DomainError

FREQUENCY_HZ = 868e6


def test_everything_but_the_path_is_taken_out() -> None:
    """A better receiving antenna hears more; the path has not changed."""
    plain_db = basic_transmission_loss_db(
        -100.0, eirp_dbm=16.0, receive_gain_dbi=0.0, receive_loss_db=0.0
    )
    better_db = basic_transmission_loss_db(
        -93.0, eirp_dbm=16.0, receive_gain_dbi=8.0, receive_loss_db=1.0
    )

    assert plain_db == better_db == 116.0


def test_a_link_over_free_space_has_no_excess() -> None:
    """Received as free space gives it, by the formula of the model."""
    away_m = np.array([10.0, 1_000.0, 20_000.0])
    free_db = free_space_basic_transmission_loss_db(away_m, frequency_hz=FREQUENCY_HZ)
    received_dbm = 16.0 - free_db + 2.0 - 1.5

    loss_db = basic_transmission_loss_db(
        received_dbm, eirp_dbm=16.0, receive_gain_dbi=2.0, receive_loss_db=1.5
    )

    assert excess_loss_db(loss_db, away_m, FREQUENCY_HZ) == pytest.approx([0.0] * 3, abs=1e-9)
    least_db = least_plausible_loss_db(away_m, frequency_hz=FREQUENCY_HZ)
    assert not is_too_strong(loss_db, least_db).any()
    assert is_too_strong(loss_db - 9.5, least_db).all()


def test_allowances_add_up() -> None:
    """Reflection, level and place each excuse something."""
    strict_db = least_plausible_loss_db(
        100.0, frequency_hz=FREQUENCY_HZ, rssi_error_db=0.0, reflection_db=0.0
    )
    lenient_db = least_plausible_loss_db(
        100.0,
        frequency_hz=FREQUENCY_HZ,
        rssi_error_db=2.0,
        reflection_db=6.0,
        position_error_m=50.0,
    )

    assert strict_db == free_space_basic_transmission_loss_db(100.0, frequency_hz=FREQUENCY_HZ)
    assert strict_db - lenient_db == pytest.approx(8.0 + 20 * np.log10(2.0))


def test_nothing_is_said_of_ends_that_may_touch() -> None:
    """Closer than the near field, by error of position or in truth, no level is too strong."""
    edge_m = float(reactive_near_field_edge_m(FREQUENCY_HZ))
    away_m = [0.0, edge_m, 10.0, np.nan]
    least_db = least_plausible_loss_db(
        away_m, frequency_hz=FREQUENCY_HZ, position_error_m=[0.0, 0.0, 10.0, 0.0]
    )

    assert np.isnan(least_db).all()
    assert not is_too_strong(0.0, least_db).any()
    assert np.isnan(excess_loss_db(60.0, away_m[:2], FREQUENCY_HZ)).all()
    assert not np.isnan(least_plausible_loss_db(edge_m * 1.01, frequency_hz=FREQUENCY_HZ))


def test_unknown_levels_are_not_too_strong() -> None:
    """A link of which something is not known is not wrong for that."""
    loss_db = basic_transmission_loss_db(
        -60.0, eirp_dbm=np.nan, receive_gain_dbi=0.0, receive_loss_db=0.0
    )

    assert np.isnan(loss_db)
    assert not is_too_strong(loss_db, 80.0)


@pytest.mark.parametrize(
    ("name", "call"),
    [
        ("distance_m", lambda: least_plausible_loss_db(-1.0, frequency_hz=FREQUENCY_HZ)),
        (
            "position_error_m",
            lambda: least_plausible_loss_db(1.0, frequency_hz=FREQUENCY_HZ, position_error_m=-1.0),
        ),
        (
            "rssi_error_db",
            lambda: least_plausible_loss_db(1.0, frequency_hz=FREQUENCY_HZ, rssi_error_db=-1.0),
        ),
        (
            "reflection_db",
            lambda: least_plausible_loss_db(1.0, frequency_hz=FREQUENCY_HZ, reflection_db=-1.0),
        ),
        (
            "receive_loss_db",
            lambda: basic_transmission_loss_db(
                -90.0, eirp_dbm=14.0, receive_gain_dbi=0.0, receive_loss_db=-1.0
            ),
        ),
        ("distance_m", lambda: excess_loss_db(100.0, -1.0, FREQUENCY_HZ)),
    ],
)
def test_negative_numbers_are_refused(name: str, call: object) -> None:
    """Errors, losses and distances have no sign."""
    assert callable(call)
    with pytest.raises(DomainError, match=f"{name} must be 0 or more; found -1"):
        call()
