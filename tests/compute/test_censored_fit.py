"""The likelihood of what was heard and missed, and its top."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import norm

from reportgen.compute.censored_fit import CensoredRows, censored_fit
from reportgen.errors import DomainError

Floats = NDArray[np.float64]


def rows(count: int = 300, lost_ratio: float = 0.1, seed: int = 2) -> CensoredRows:
    """Return levels about a line, those below zero and some others missed."""
    chance = np.random.default_rng(seed)
    x = chance.uniform(0.0, 2.0, count)
    level = 8.0 - 5.0 * x + 2.0 * chance.normal(size=count)
    is_missed = (level < 0.0) | (chance.random(count) < lost_ratio)
    return CensoredRows(
        design=np.column_stack([np.ones(count), x]),
        level=np.where(is_missed, np.nan, level),
        limit=np.zeros(count),
    )


def log_likelihood(data: CensoredRows, parameters: Floats) -> float:
    """Return the model's log-likelihood, written out anew."""
    *coefficients, log_spread, lost = parameters.tolist()
    expected = data.design @ np.array(coefficients)
    spread = np.exp(log_spread)
    heard = np.log(1.0 - lost) + norm.logpdf(data.level, expected, spread)
    missed = np.log(lost + (1.0 - lost) * norm.cdf(data.limit, expected, spread))
    return float(np.sum(np.where(np.isnan(data.level), missed, heard)))


def test_likelihood_is_that_of_the_model() -> None:
    data = rows()
    fit = censored_fit(data)

    assert fit.log_likelihood == pytest.approx(log_likelihood(data, fit.parameters), rel=1e-12)


def test_no_neighbour_is_likelier() -> None:
    """A top, not a saddle or a slope: every small step of every parameter leads down."""
    data = rows()
    fit = censored_fit(data)

    assert fit.is_converged
    for step in np.vstack([1e-3 * np.eye(4), -1e-3 * np.eye(4)]):
        assert log_likelihood(data, fit.parameters + step) < fit.log_likelihood


def test_information_is_the_curvature_of_the_likelihood() -> None:
    """Standard errors hang on it; here by differences of the likelihood written out anew."""
    data = rows()
    fit = censored_fit(data)
    step = 1e-4

    def value(first: Floats, second: Floats) -> float:
        return log_likelihood(data, fit.parameters + step * (first + second))

    unit = np.eye(4)
    curvature = [
        [(value(a, b) - value(a, -b) - value(-a, b) + value(-a, -b)) / (4 * step**2) for b in unit]
        for a in unit
    ]

    np.testing.assert_allclose(fit.information, -np.array(curvature), rtol=1e-3, atol=0.05)


def test_share_lost_is_none_where_no_miss_needs_it() -> None:
    """The bound is an answer: at it the likelihood still falls towards more lost."""
    data = rows(lost_ratio=0.0, seed=1)
    fit = censored_fit(data)

    assert fit.lost_ratio == 0.0
    assert fit.is_converged
    more = np.array([0.0, 0.0, 0.0, 1e-4])
    assert log_likelihood(data, fit.parameters + more) < fit.log_likelihood


def test_fixed_share_stays_fixed() -> None:
    assert censored_fit(rows(), highest_lost_ratio=0.0).lost_ratio == 0.0


def test_one_impossible_miss_is_lost_otherwise() -> None:
    """A frame missed beside the station must not drag the whole law down."""
    data = rows(lost_ratio=0.0, seed=5)
    level, design = data.level.copy(), data.design.copy()
    level[0], design[0] = np.nan, [1.0, -60.0]
    with_it = CensoredRows(design=design, level=level, limit=data.limit)

    fit, without = censored_fit(with_it), censored_fit(data)

    assert 0.0 < fit.lost_ratio < 0.02
    np.testing.assert_allclose(fit.coefficients, without.coefficients, atol=0.2)


def test_start_nearby_leads_to_the_same_top() -> None:
    """Fits without a cell start from the fit with all; they must not depend on it."""
    data = rows()
    fit = censored_fit(data)

    again = censored_fit(data, start=fit.parameters + np.array([1.0, -1.0, 0.3, 0.1]))

    np.testing.assert_allclose(again.parameters, fit.parameters, atol=1e-4)


def test_rows_that_determine_nothing_do_not_converge() -> None:
    """All missed: the level may be as low as one likes."""
    data = rows()
    silent = CensoredRows(
        design=data.design, level=np.full_like(data.level, np.nan), limit=data.limit
    )

    assert not censored_fit(silent, highest_lost_ratio=0.0).is_converged


def test_column_of_nothing_does_not_converge() -> None:
    """A coefficient nothing depends on has no likeliest value."""
    data = rows()
    design = np.column_stack([data.design, np.zeros(data.level.size)])
    fit = censored_fit(CensoredRows(design=design, level=data.level, limit=data.limit))

    assert not fit.is_converged


def test_climb_that_runs_out_of_steps_is_no_top(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("reportgen.compute.censored_fit._MOST_STEPS", 1)

    assert not censored_fit(rows()).is_converged


def test_rows_of_unequal_length_are_refused() -> None:
    with pytest.raises(DomainError, match=r"found design \(3,\), level \(2,\)"):
        CensoredRows(design=np.ones((3, 1)), level=np.zeros(2), limit=np.zeros(3))
    with pytest.raises(DomainError, match=r"^design must have two dimensions; found 1$"):
        CensoredRows(design=np.ones(3), level=np.zeros(3), limit=np.zeros(3))
