"""Where magnetic north lies, and where nobody can say."""

from __future__ import annotations

import pytest

from reportgen.compute.declination import magnetic_declination
from reportgen.errors import DomainError


@pytest.mark.parametrize("year", [2014.9, 2030.0])
def test_outside_the_models_years_nothing_is_said(year: float) -> None:
    """The field wanders; a model drawn out beyond its years would be wrong without a word."""
    assert magnetic_declination(49.0, -23.0, decimal_year=year) is None


def test_near_a_magnetic_pole_nothing_is_said() -> None:
    """The north magnetic pole lies near 86 N 140 E: a needle points nowhere there."""
    assert magnetic_declination(86.0, 140.0, decimal_year=2025.0) is None


def test_each_year_has_the_model_made_for_it() -> None:
    models = []
    for year in (2017.5, 2022.0, 2026.9):
        found = magnetic_declination(49.0, -23.0, decimal_year=year)
        assert found is not None
        models.append(found.model)

    assert models == ["WMM-2015v2", "WMM-2020", "WMM-2025"]


def test_models_meet_within_their_errors_where_one_follows_the_other() -> None:
    """A walk over New Year must not turn its photos."""
    before = magnetic_declination(49.0, -23.0, decimal_year=2024.999)
    after = magnetic_declination(49.0, -23.0, decimal_year=2025.0)

    assert before is not None
    assert after is not None
    assert abs(before.value_deg - after.value_deg) < after.error_deg


def test_a_place_beyond_a_pole_is_refused() -> None:
    with pytest.raises(DomainError, match="latitude_deg"):
        magnetic_declination(91.0, 0.0, decimal_year=2026.0)
