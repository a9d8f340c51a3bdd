"""Which limits hold at a frequency."""

from __future__ import annotations

import pytest

from reportgen.model.data_rates import PLANS
from reportgen.model.regional_limits import BANDS_HZ, LIMITS, band_of, limits_for


def test_every_plan_has_a_band_and_a_limit() -> None:
    """A plan that an author may name must not come back empty-handed."""
    assert set(BANDS_HZ) == set(PLANS) == {limit.plan for limit in LIMITS}
    assert band_of("US915") == (902e6, 928e6)


def test_every_limit_limits_something_within_its_band() -> None:
    """And says where it comes from."""
    for limit in LIMITS:
        low_hz, high_hz = band_of(limit.plan)
        assert low_hz <= limit.low_hz < limit.high_hz <= high_hz
        assert limit.eirp_dbm is not None or limit.conducted_dbm is not None
        assert limit.duty_cycle_ratio is None or 0.0 < limit.duty_cycle_ratio < 1.0
        assert (limit.conducted_dbm is None) == (limit.antenna_gain_dbi_allowed is None)
        assert limit.source


def test_limits_depend_on_the_frequency() -> None:
    """The half-watt channel of EU868 is a quarter of a megahertz wide."""
    strong = {limit.eirp_dbm for limit in limits_for("EU868", 869.525e6)}
    usual = {limit.eirp_dbm for limit in limits_for("EU868", 868.1e6)}

    assert max(value for value in strong if value is not None) > 29.0
    assert max(value for value in usual if value is not None) < 17.0


def test_shared_edge_has_the_limits_of_both_sides() -> None:
    """At 865 MHz exactly the stricter duty cycle must not be lost."""
    shares = {limit.duty_cycle_ratio for limit in limits_for("EU868", 865e6)}

    assert shares == {0.001, 0.01, None}


@pytest.mark.parametrize(
    ("plan", "frequency_hz"),
    [("EU868", 915e6), ("US915", 868e6), ("", 868.1e6), ("US915", 928.1e6)],
)
def test_nothing_holds_outside_a_plan(plan: str, frequency_hz: float) -> None:
    """That a frequency lies outside is for the caller to say, by the band."""
    assert limits_for(plan, frequency_hz) == ()


def test_unknown_plan_has_no_band() -> None:
    """Asking for it is a mistake of ours, the reader lets no such plan through."""
    with pytest.raises(KeyError):
        band_of("ZZ000")
