"""Level over distance against a textbook example, and censored fits of other programs."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from reportgen.compute.censored_fit import CensoredFit, CensoredRows, censored_fit
from reportgen.compute.heard_distance import design, reach
from tests.published.reference_rows import ReferenceRow, disagreements, reference_rows

Floats = NDArray[np.float64]


def listed(row: ReferenceRow, name: str) -> Floats:
    """Return one input as an array, null as NaN."""
    return np.array(json.loads(row.inputs[name]), dtype=np.float64)


def fit_of(rows: Floats, level: Floats, limit: float = -1e6) -> CensoredFit:
    """Return the fit with none lost otherwise; without missed levels it is least squares."""
    return censored_fit(
        CensoredRows(design=rows, level=level, limit=np.full(level.size, limit)),
        highest_lost_ratio=0.0,
    )


def standard_errors(fit: CensoredFit) -> Floats:
    """Return the textbook's, from the observed information; the share lost is fixed."""
    return np.asarray(np.sqrt(np.diag(np.linalg.inv(fit.information[:-1, :-1]))))


def survey_of_four_points(row: ReferenceRow) -> float:
    """Return what rows LDP-1 to 5, 7 and 8 ask for."""
    # Row 5 names a distance of its own after those of the four points.
    away_m, level = np.array([100.0, 200.0, 1000.0, 3000.0]), listed(row, "P_dBm")
    if row.key in {"LDP-7", "LDP-8"}:
        free = fit_of(design(away_m), level)
        return float(free.coefficients[0] if row.key == "LDP-8" else -free.coefficients[1] / 10.0)
    through_first = fit_of(design(away_m)[:, 1:], level - level[0])
    printed = np.array([level[0], -44.0])
    squares = float(np.sum((level - design(away_m) @ printed) ** 2))
    return {
        "LDP-1": -float(through_first.coefficients[0]) / 10.0,
        "LDP-2": squares,
        "LDP-3": float(np.sqrt(squares / 4.0)),
        "LDP-3t": through_first.spread,
        "LDP-4": float(np.sqrt(squares / 3.0)),
        "LDP-5": float((design(np.array([2000.0])) @ printed)[0]),
    }[row.key]


@pytest.mark.shared
def test_textbook_survey_of_four_points(shared_folder: Path) -> None:
    """T. S. Rappaport, "Wireless Communications", 2nd ed., section 4.9, example with d0 = 100 m.

    Reference level fixed at the first point. The book prints n = 4.4, sigma = 6.17 dB (from
    memory; exactly it is 6.158, its logarithms being rounded) and -57.24 dBm at 2 km. Rows 7 and
    8: the same points with a free level.
    """
    pattern = r"LDP-([1234578]|3t)"

    assert disagreements(shared_folder, pattern, survey_of_four_points, rows=8) == []


@pytest.mark.shared
def test_textbook_share_above_a_level(shared_folder: Path) -> None:
    """The same example: 67.4 % lie above -60 dBm at 2 km (row LDP-6: 67.24 % +/- 0.3).

    Where so many are above the limit, and just so many are not lost otherwise that half remain,
    half are heard: at 2 km. There 0.3 % are 6 m.
    """
    (row,) = reference_rows(shared_folder, "LDP-6")
    lost = 1.0 - 0.5 / (float(row.expected) / 100.0)
    slope_and_level = [row.number("mean") + 44.0 * np.log10(20.0), -44.0]
    fit = CensoredFit(
        parameters=np.array([*slope_and_level, np.log(row.number("sigma")), lost]),
        log_likelihood=0.0,
        information=np.eye(4),
        is_converged=True,
    )

    half = reach(
        fit, None, limit_dbm=row.number("threshold"), walked_m=np.array([100.0, 3000.0])
    ).half_heard

    assert half.distance_m.value == pytest.approx(2000.0, abs=6.0)


@pytest.mark.shared
def test_free_space_has_an_exponent_of_two(shared_folder: Path) -> None:
    """Row LDP-9; levels on a line have no likeliest spread, so by plain least squares."""
    (row,) = reference_rows(shared_folder, "LDP-9")
    away_m = listed(row, "d_m")
    level = -20.0 * np.log10(4.0 * np.pi * away_m * 915e6 / 299_792_458.0)

    slope = np.linalg.lstsq(design(away_m), level, rcond=None)[0][1]

    assert row.agrees_with(-float(slope) / 10.0)


@pytest.mark.shared
def test_censored_survey_of_other_programs(shared_folder: Path) -> None:
    """Rows TBS: R 4.2.2 survreg, a SciPy likelihood and lifelines 0.30.3 agree on them.

    With them the two wrong ways: missed frames dropped, and the limit put in for them.
    """

    def computed(row: ReferenceRow) -> float:
        rows, level = design(listed(row, "d_m")), listed(row, "rssi_dBm")
        floor = row.number("floor_dBm")
        is_heard = ~np.isnan(level)
        fit = fit_of(rows, level, floor)
        return {
            "TBS-a": float(fit.coefficients[0]),
            "TBS-b": float(fit.coefficients[1]),
            "TBS-n": -float(fit.coefficients[1]) / 10.0,
            "TBS-s": fit.spread,
            "TBS-ll": fit.log_likelihood,
            "TBS-seb": float(standard_errors(fit)[1]),
            "TBS-x1": float(fit_of(rows[is_heard], level[is_heard]).coefficients[1]),
            "TBS-x2": float(fit_of(rows, np.where(is_heard, level, floor)).coefficients[1]),
        }[row.key]

    assert disagreements(shared_folder, r"TBS-.*", computed, rows=8) == []


@pytest.mark.shared
def test_durable_goods_of_tobin(shared_folder: Path) -> None:
    """Rows TOB: Tobin (1958), durable ~ age + quant, left-censored at 0; R survival 3.5-3."""

    def computed(row: ReferenceRow) -> float:
        durable, age, quant = (listed(row, name) for name in ("durable", "age", "quant"))
        rows = np.column_stack([np.ones_like(age), age, quant])
        fit = fit_of(rows, np.where(durable == 0.0, np.nan, durable), 0.0)
        intercept, by_age, by_quant = fit.coefficients.tolist()
        errors = standard_errors(fit).tolist()
        return {
            "TOB-b0": float(intercept),
            "TOB-age": float(by_age),
            "TOB-quant": float(by_quant),
            "TOB-scale": fit.spread,
            "TOB-ll": fit.log_likelihood,
            "TOB-seb0": float(errors[0]),
            "TOB-selog": float(errors[3]),
        }[row.key]

    assert disagreements(shared_folder, r"TOB-.*", computed, rows=7) == []
