"""Lines by length and frequency, and which cable a description names."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.compute.feeder_loss import (
    CABLES,
    CableType,
    cable_attenuation_db_per_100m,
    cable_of,
    is_within_listed,
    line_loss_db,
    per_100m_from_per_100ft,
)
from reportgen.errors import DomainError

MADE_UP = CableType(
    name="made up", aliases=(), points=((100e6, 10.0), (400e6, 20.0), (800e6, 40.0)), source="here"
)
"""Half a power of the frequency between the first two points, a whole one after."""


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("rg58", "RG-58"),
        ("RG 58 C/U", "RG-58"),
        ("RG-58/U", "RG-58"),
        ("RG58CU, black", "RG-58"),
        ("RG\N{EN DASH}58", "RG-58"),
        ("10 m RG213 with N plugs", "RG-213"),
        ("RG-58 with PL-259", "RG-58"),
        ("rg-8x", "RG-8X"),
        ("RG-8 X", "RG-8X"),
        ("mini-8", "RG-8X"),
        ("RG-8/U", "RG-8"),
        ("RG8", "RG-8"),
        ("RG-8 foam", "RG-8 foam"),
        ("RG 174/U pigtail, 0.2 m", "RG-174"),
        ("RG-59 B/U", "RG-59"),
        ("RG58 and again RG-58", "RG-58"),
    ],
)
def test_a_type_is_found_as_people_write_it(text: str, name: str) -> None:
    """The type decides the loss: RG-8X loses nearly twice what RG-8 does."""
    cable = cable_of(text)

    assert cable is not None
    assert cable.name == name


@pytest.mark.parametrize(
    "text",
    [
        "",
        "coax",
        "RG-580",
        "RG-9",
        "PRG58",
        "RG-58 and RG-213",
        "RG-58 low loss",
        "RG-58 foam",
        "RG-8 size",
        "ABC-400 (as RG-8)",
        "RG-58, later RG-9",
    ],
)
def test_no_type_is_guessed(text: str) -> None:
    """Unknown, several, or another construction beside a type number: the loss stays unknown."""
    assert cable_of(text) is None


def test_no_two_types_share_a_name() -> None:
    """A designation stands for one cable."""
    names = [alias for cable in CABLES for alias in cable.aliases]

    assert len(names) == len(set(names))
    assert all(cable_of(cable.name) is cable for cable in CABLES)


@pytest.mark.parametrize("cable", CABLES, ids=lambda cable: cable.name)
def test_tables_rise_like_coaxial_cables(cable: CableType) -> None:
    """A slip of the keyboard shows as a power far from one half (conductors) to one (dielectric).

    Round figures and different sources leave some slack.
    """
    frequency_hz, attenuation = np.array(cable.points).T
    power = np.diff(np.log(attenuation)) / np.diff(np.log(frequency_hz))

    assert np.all(np.diff(frequency_hz) > 0)
    assert np.all((power > 0.38) & (power < 0.95))
    assert cable.source


def test_listed_points_come_back_as_listed() -> None:
    """At the first, a middle and the last."""
    at_points = cable_attenuation_db_per_100m(MADE_UP, [100e6, 400e6, 800e6])

    assert at_points == pytest.approx([10.0, 20.0, 40.0])


def test_between_points_loss_is_a_power_of_frequency() -> None:
    """And beyond the ends the power of the end pair goes on."""
    between = cable_attenuation_db_per_100m(MADE_UP, [200e6, 600e6, 50e6, 1.6e9])

    assert between == pytest.approx([200**0.5, 30.0, 50**0.5, 80.0])


def test_far_from_the_table_nothing_is_said() -> None:
    """More than an octave away; within it, it is said that the table doesn't reach there."""
    frequency_hz = [49e6, 1.61e9, np.nan]

    assert np.isnan(cable_attenuation_db_per_100m(MADE_UP, frequency_hz)).all()
    listed = is_within_listed(MADE_UP, [99e6, 100e6, 800e6, 801e6, np.nan])
    assert listed.tolist() == [False, True, True, False, False]


def test_loss_grows_with_the_length() -> None:
    """25 dB/100 m over 10 m; an unknown length leaves it unknown."""
    assert line_loss_db(25.0, [0.0, 10.0]).tolist() == [0.0, 2.5]
    assert np.isnan(line_loss_db(25.0, np.nan))


def test_hundred_feet_are_not_a_hundred_metres() -> None:
    """Mistaking one for the other is a factor of three."""
    assert line_loss_db(per_100m_from_per_100ft(5.0), 30.48) == pytest.approx(5.0)


def test_impossible_lines_are_refused() -> None:
    """Negative lengths and losses, frequencies of zero."""
    with pytest.raises(DomainError, match="length_m must be 0 or more"):
        line_loss_db(20.0, -1.0)
    with pytest.raises(DomainError, match="db_per_100m must be 0 or more"):
        line_loss_db(-20.0, 1.0)
    with pytest.raises(DomainError, match="frequency_hz must be above 0"):
        cable_attenuation_db_per_100m(MADE_UP, 0.0)
