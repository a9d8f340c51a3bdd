"""How far estimates from a walk may be off, frames on one piece of ground being no strangers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

from reportgen.compute.censored_fit import CensoredFit, CensoredRows, censored_fit

CELL_SIZES_M = (400.0, 300.0, 200.0)
"""Edges of the square cells, the first that gives enough of them. Shadows reach some 40 m; cells
of ten times that share few. Chosen by simulation (DEVELOPERS.md)."""

LEAST_CELLS = 8
"""With fewer cells, on average over the placings, no interval is given (our choice)."""

CONFIDENCE_RATIO = 0.95

_PLACINGS = ((0.0, 0.0), (0.5, 0.0), (0.0, 0.5), (0.5, 0.5))
"""Where the corner of the grid lies, in cells: one grid alone is a matter of luck."""

_LEAST_LOST_AT_START = 1e-3
"""At exactly none lost a single miss near the station is impossible, and climbing hard."""

Floats = NDArray[np.float64]
Function = Callable[[Floats], Floats]
"""From parameters, shape (m, p + 2), to values that depend on them, shape (m, k)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundJackknife:
    """Fits which each leave out the frames of one cell of ground.

    Attributes
    ----------
    size_m : float
        Edge of the cells. [m]
    placings : tuple of ndarray, shape (cells, p + 2)
        Parameters without each cell, per placing of the grid.
    is_converged : bool
        Whether every one of these fits converged.
    """

    size_m: float
    placings: tuple[Floats, ...]
    is_converged: bool

    @property
    def cell_count(self) -> float:
        """Cells with frames in them, on average over the placings."""
        return float(np.mean([parameters.shape[0] for parameters in self.placings]))

    def half_width(self, values: Function) -> Floats:
        """Return half the width of the interval of each value, shape (k,).

        Notes
        -----
        Jackknife variance (G - 1)/G sum (v_g - v_mean)^2 over the G cells, averaged over the
        placings of the grid; times the quantile of Student's t with G - 1 degrees of freedom.

        References
        ----------
        .. [1] B. Efron and R. Tibshirani, "An Introduction to the Bootstrap", Chapman & Hall
           (1993), eq. 11.5: the variance (from memory).
        """
        variance = np.mean([_variance(values(each)) for each in self.placings], axis=0)
        quantile = stdtrit(self.cell_count - 1.0, 0.5 + 0.5 * CONFIDENCE_RATIO)
        return np.asarray(quantile * np.sqrt(variance), dtype=np.float64)


@dataclass(frozen=True, slots=True, kw_only=True)
class IndependentFrames:
    """The textbook's error of a fit: it takes every frame as a draw of its own. To compare only.

    Attributes
    ----------
    parameters : ndarray, shape (p + 2,)
    covariance : ndarray, shape (p + 2, p + 2)
    """

    parameters: Floats
    covariance: Floats

    def half_width(self, values: Function) -> Floats:
        """Return half the width of the interval of each value, shape (k,): delta method."""
        steps = 1e-5 * np.eye(self.parameters.size)
        slopes = (values(self.parameters + steps) - values(self.parameters - steps)) / 2e-5
        variance = np.einsum("pk,pq,qk->k", slopes, self.covariance, slopes)
        quantile = stdtrit(np.inf, 0.5 + 0.5 * CONFIDENCE_RATIO)
        return np.asarray(quantile * np.sqrt(np.maximum(variance, 0.0)), dtype=np.float64)


def ground_jackknife(
    rows: CensoredRows,
    fit: CensoredFit,
    *,
    east_m: Floats,
    north_m: Floats,
    highest_lost_ratio: float,
) -> GroundJackknife | None:
    """Return the fits without one cell of ground each, or None if there are too few cells.

    Parameters
    ----------
    rows : CensoredRows
    fit : CensoredFit
        To all rows.
    east_m, north_m : ndarray, shape (n,)
        Place of each row on a plane with any origin. [m]
    highest_lost_ratio : float
        As the fit was made with.

    Notes
    -----
    Cells go by position, so that all walks over one piece of ground fall into one cell: the
    shadows there are the same, however often it is walked.
    """
    for size_m in CELL_SIZES_M:
        grids = [_cells(east_m / size_m + e, north_m / size_m + n) for e, n in _PLACINGS]
        if np.mean([np.max(cell) + 1 for cell in grids]) >= LEAST_CELLS:
            break
    else:
        return None
    start = fit.parameters.copy()
    start[-1] = min(max(start[-1], _LEAST_LOST_AT_START), highest_lost_ratio)
    placings = [
        [
            censored_fit(
                rows.where(cell != left_out), highest_lost_ratio=highest_lost_ratio, start=start
            )
            for left_out in range(int(np.max(cell)) + 1)
        ]
        for cell in grids
    ]
    return GroundJackknife(
        size_m=size_m,
        placings=tuple(np.array([fit.parameters for fit in fits]) for fits in placings),
        is_converged=all(fit.is_converged for fits in placings for fit in fits),
    )


def independent_frames(fit: CensoredFit) -> IndependentFrames | None:
    """Return the textbook's error of a fit, or None where its information can't be inverted."""
    # A share at its bound of 0 is taken as known: the likelihood has no peak in it.
    known = fit.parameters.size - (fit.lost_ratio <= 0.0)
    covariance = np.zeros_like(fit.information)
    try:
        covariance[:known, :known] = np.linalg.inv(fit.information[:known, :known])
    except np.linalg.LinAlgError:
        return None
    return IndependentFrames(parameters=fit.parameters, covariance=covariance)


def _cells(east: Floats, north: Floats) -> NDArray[np.int64]:
    """Return the number of each row's cell, from 0 without gaps."""
    corners = np.column_stack([np.floor(east), np.floor(north)])
    return np.asarray(np.unique(corners, axis=0, return_inverse=True)[1], dtype=np.int64).ravel()


def _variance(values: Floats) -> Floats:
    count = values.shape[0]
    return np.asarray((count - 1.0) * np.var(values, axis=0), dtype=np.float64)
