"""Leaving out one piece of ground after the other."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import t as student

from reportgen.compute.censored_fit import CensoredFit, CensoredRows, censored_fit
from reportgen.compute.ground_cells import (
    GroundJackknife,
    IndependentFrames,
    ground_jackknife,
    independent_frames,
)

Floats = NDArray[np.float64]


def identity(parameters: Floats) -> Floats:
    return parameters


def levels(count: int, seed: int = 4) -> CensoredRows:
    level = np.random.default_rng(seed).normal(size=count)
    return CensoredRows(design=np.ones((count, 1)), level=level, limit=np.full(count, -100.0))


def made(data: CensoredRows, east_m: Floats, north_m: Floats) -> GroundJackknife | None:
    return ground_jackknife(
        data, censored_fit(data), east_m=east_m, north_m=north_m, highest_lost_ratio=0.5
    )


def test_mean_of_one_frame_per_cell_has_the_textbook_interval() -> None:
    """The jackknife of a mean is exactly s / sqrt(n), whatever the placing of the grid."""
    data = levels(25)
    east, north = (axis.ravel() * 1000.0 + 50.0 for axis in np.mgrid[:5, :5])

    jackknife = made(data, east, north)

    assert jackknife is not None
    assert (jackknife.cell_count, jackknife.size_m, len(jackknife.placings)) == (25.0, 400.0, 4)
    error = np.std(data.level, ddof=1) / 5.0
    expected = float(student.ppf(0.975, 24)) * error
    assert jackknife.half_width(identity)[0] == pytest.approx(expected, rel=1e-5)


def test_moving_the_origin_by_half_a_cell_changes_nothing() -> None:
    """The origin of the plane is arbitrary; no figure may depend on it by more than rounding."""
    data = levels(400)
    chance = np.random.default_rng(1)
    east, north = chance.uniform(0.0, 3000.0, (2, 400))

    first, second = made(data, east, north), made(data, east + 200.0, north + 600.0)

    assert first is not None
    assert second is not None
    np.testing.assert_allclose(first.half_width(identity), second.half_width(identity), rtol=1e-6)


def test_cells_shrink_before_the_interval_is_given_up() -> None:
    """A street of 1.2 km has three cells of 400 m, six of 200 m: too few either way."""
    data = levels(100)
    still = np.zeros(100)

    def size_m(length_m: float) -> float:
        jackknife = made(data, np.linspace(0.0, length_m, 100), still)
        return np.nan if jackknife is None else jackknife.size_m

    assert [size_m(length_m) for length_m in (4000.0, 2500.0, 1700.0)] == [400.0, 300.0, 200.0]
    assert np.isnan(size_m(1000.0))


def fit_with(information: Floats, lost_ratio: float) -> CensoredFit:
    return CensoredFit(
        parameters=np.array([1.0, 0.0, lost_ratio]),
        log_likelihood=0.0,
        information=information,
        is_converged=True,
    )


def test_information_that_cannot_be_inverted_gives_no_error() -> None:
    """Nothing learnt about the first coefficient: its error is not zero, there is none."""
    assert independent_frames(fit_with(np.diag([0.0, 1.0, 1.0]), 0.1)) is None


@pytest.mark.parametrize(("lost_ratio", "variance"), [(0.1, 0.25), (0.0, 0.0)])
def test_share_at_its_bound_is_taken_as_known(lost_ratio: float, variance: float) -> None:
    """At the bound the likelihood has no peak in it, hence no textbook error."""
    errors = independent_frames(fit_with(np.diag([1.0, 2.0, 4.0]), lost_ratio))

    assert errors is not None
    np.testing.assert_allclose(errors.covariance, np.diag([1.0, 0.5, variance]))


def test_textbook_error_of_a_function_is_that_of_its_slope() -> None:
    """Delta method: the error of exp(a) at a = 2 with error 0.1 is 0.1 exp(2)."""
    errors = IndependentFrames(
        parameters=np.array([2.0, 0.0, 0.0]), covariance=np.diag([0.01, 0.0, 0.0])
    )

    half_width = errors.half_width(lambda rows: np.exp(rows[:, :1]))

    assert half_width == pytest.approx([1.959964 * 0.1 * np.exp(2.0)], rel=1e-6)
