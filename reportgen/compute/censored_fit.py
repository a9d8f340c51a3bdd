"""Maximum-likelihood fit of levels some of which were too low to be heard."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr

from reportgen.compute.domain import same_length
from reportgen.errors import DomainError

HIGHEST_LOST_RATIO = 0.95
"""Bound of the share lost otherwise: beyond it hardly a frame says anything about levels."""

_MOST_STEPS = 100
_SETTLED = 1e-9
"""A step that promises less log-likelihood than this is the last."""

_LEAST_SPREAD = 1e-3
"""Below this spread the heard levels lie on a line, and the likelihood grows without bound."""

_NEARLY_NONE = 1e-6
"""A share lost below this may be taken to be none."""

_HIGHEST_EXPONENT = 150.0
"""Keeps squares of what a hardly possible miss would say within floating-point numbers."""

_LOG_ROOT_TWO_PI = 0.5 * np.log(2.0 * np.pi)

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class CensoredRows:
    """What was sent, and what came of it.

    Attributes
    ----------
    design : ndarray, shape (n, p)
        The level expected is `design` times the coefficients.
    level : ndarray, shape (n,)
        NaN where missed.
    limit : ndarray, shape (n,)
        A level below its limit is missed. One that was heard counts, whatever the limit says.
    """

    design: Floats
    level: Floats
    limit: Floats

    def __post_init__(self) -> None:
        if self.design.ndim != 2:
            raise DomainError(f"design must have two dimensions; found {self.design.ndim}")
        same_length(design=self.design[:, 0], level=self.level, limit=self.limit)

    def where(self, is_kept: NDArray[np.bool_]) -> CensoredRows:
        """Return some of the rows."""
        return CensoredRows(
            design=self.design[is_kept], level=self.level[is_kept], limit=self.limit[is_kept]
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class CensoredFit:
    """The parameters under which what was heard and missed is likeliest.

    Attributes
    ----------
    parameters : ndarray, shape (p + 2,)
        Coefficients, natural logarithm of the spread, share lost otherwise.
    log_likelihood : float
    information : ndarray, shape (p + 2, p + 2)
        Observed information: minus the second derivatives of the log-likelihood.
    is_converged : bool
    """

    parameters: Floats
    log_likelihood: float
    information: Floats
    is_converged: bool

    @property
    def coefficients(self) -> Floats:
        """Coefficients of the expected level, shape (p,)."""
        return self.parameters[:-2]

    @property
    def spread(self) -> float:
        """Standard deviation of levels about the expected one."""
        return float(np.exp(self.parameters[-2]))

    @property
    def lost_ratio(self) -> float:
        """Share of frames missed for causes that have nothing to do with their level."""
        return float(self.parameters[-1])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Terms:
    """The log-likelihood at one set of parameters, with its derivatives."""

    value: float
    gradient: Floats
    curvature: Floats
    """Minus the second derivatives."""


def censored_fit(
    rows: CensoredRows,
    *,
    highest_lost_ratio: float = HIGHEST_LOST_RATIO,
    start: Floats | None = None,
) -> CensoredFit:
    """Fit coefficients, spread and the share lost otherwise by maximum likelihood.

    Parameters
    ----------
    rows : CensoredRows
    highest_lost_ratio : float
        0 fixes the share at none. 0 to below 1
    start : ndarray, shape (p + 2,), optional
        Parameters near the answer, such as those of nearly the same rows. Without it, the best
        answer from several starts.

    Returns
    -------
    CensoredFit
        Not converged where the rows don't determine the parameters.

    Notes
    -----
    Heard at y: log((1 - q) N(y; mu, s)); missed below L: log(q + (1 - q) Phi((L - mu) / s)). With
    q = 0 this is the censored normal regression of Tobin [1]_. Climbed by Newton's method on the
    exact second derivatives, damped after Marquardt where a full step would not climb.

    References
    ----------
    .. [1] J. Tobin, "Estimation of relationships for limited dependent variables", Econometrica
       26 (1958) 24-36.
    """
    starts = _starts(rows, highest_lost_ratio) if start is None else [start]
    fits = [_climbed(rows, parameters, highest_lost_ratio) for parameters in starts]
    return max(fits, key=lambda fit: (fit.is_converged, fit.log_likelihood))


def _starts(rows: CensoredRows, highest_lost_ratio: float) -> list[Floats]:
    """Return least squares with the limit put in for what was missed, and several shares lost."""
    is_missed = np.isnan(rows.level)
    level = np.where(is_missed, rows.limit, rows.level)
    coefficients = np.linalg.lstsq(rows.design, level, rcond=None)[0]
    spread = max(float(np.std(level - rows.design @ coefficients)), _LEAST_SPREAD)
    shares = {min(share, highest_lost_ratio) for share in (0.001, 0.02, 0.5 * np.mean(is_missed))}
    return [np.array([*coefficients, np.log(spread), share]) for share in sorted(shares)]


def _climbed(rows: CensoredRows, start: Floats, highest_lost_ratio: float) -> CensoredFit:
    """Return the top of the hill of likelihood on which a start lies."""
    parameters, terms = start, _terms(rows, start)
    damping, is_settled = 1e-3, False
    for _ in range(_MOST_STEPS):
        trial, gain = _step(parameters, terms, damping, highest_lost_ratio)
        if is_settled := 0.0 <= gain < _SETTLED * max(1.0, damping):
            break
        there = _terms(rows, trial)
        if there.value > terms.value:
            parameters, terms, damping = trial, there, damping * 0.1
        else:
            damping = max(10.0 * damping, 1e-3)
        if damping > 1e12 or parameters[-2] < np.log(_LEAST_SPREAD):
            break
    is_spread = bool(parameters[-2] > np.log(_LEAST_SPREAD))
    return CensoredFit(
        parameters=parameters,
        log_likelihood=terms.value,
        information=terms.curvature,
        is_converged=is_settled and is_spread,
    )


def _step(
    parameters: Floats, terms: _Terms, damping: float, highest_lost_ratio: float
) -> tuple[Floats, float]:
    """Return where a damped Newton step leads, and the gain it promises (NaN if downhill)."""
    is_free = np.ones(parameters.size, dtype=np.bool_)
    lost, slope = parameters[-1], terms.gradient[-1]
    is_free[-1] = (lost > 0.0 or slope > 0.0) and (lost < highest_lost_ratio or slope < 0.0)
    is_free[-1] &= highest_lost_ratio > 0.0
    curvature = terms.curvature[np.ix_(is_free, is_free)]
    gradient = terms.gradient[is_free]
    damped = curvature + damping * np.diag(np.abs(np.diag(curvature)))
    try:
        step = np.linalg.solve(damped, gradient)
    except np.linalg.LinAlgError:
        return parameters, np.nan
    gain = 0.5 * float(gradient @ step)
    if not gain >= 0.0:
        return parameters, np.nan
    trial = parameters.copy()
    trial[is_free] += step
    trial[-2] = parameters[-2] + np.clip(trial[-2] - parameters[-2], -1.0, 1.0)
    # Towards none lost by tenths: at 0 itself one miss near the station overrules all else.
    least = 0.1 * lost if lost > _NEARLY_NONE else 0.0
    trial[-1] = np.clip(trial[-1], least, highest_lost_ratio)
    return trial, gain


def _terms(rows: CensoredRows, parameters: Floats) -> _Terms:
    """Return the log-likelihood with first and second derivatives.

    Each frame's term is a function of z = (level or limit - mu) / s, of log s and of q; the chain
    rule through dz/dbeta = -x/s and dz/dlog s = -z gives the rest.
    """
    spread, lost = np.exp(parameters[-2]), parameters[-1]
    is_missed = np.isnan(rows.level)
    edge = np.where(is_missed, rows.limit, rows.level)
    z = (edge - rows.design @ parameters[:-2]) / spread
    heard_count = z.size - int(np.count_nonzero(is_missed))
    z_missed = z[is_missed]
    with np.errstate(divide="ignore"):
        log_missed = np.logaddexp(np.log(lost), np.log1p(-lost) + log_ndtr(z_missed))
    log_density = -0.5 * z_missed**2 - _LOG_ROOT_TWO_PI
    # First and second derivatives of each frame's term by z.
    first, second = -z, np.full_like(z, -1.0)
    first[is_missed] = hazard = np.exp(np.log1p(-lost) + log_density - log_missed)
    second[is_missed] = -hazard * (z_missed + hazard)
    by_lost = np.exp(np.minimum(log_ndtr(-z_missed) - log_missed, _HIGHEST_EXPONENT))
    mixed = np.zeros_like(z)
    mixed[is_missed] = -hazard * (1.0 / (1.0 - lost) + by_lost)
    # Columns of dz by coefficients and log spread.
    inner = np.column_stack([-rows.design / spread, -z])
    gradient = np.append(inner.T @ first, np.sum(by_lost) - heard_count / (1.0 - lost))
    gradient[-2] -= heard_count
    curvature = np.empty((gradient.size, gradient.size))
    curvature[:-1, :-1] = -(inner.T * second) @ inner
    twice = inner.T @ first
    curvature[:-2, -2] += twice[:-1]
    curvature[-2, :-2] += twice[:-1]
    curvature[-2, -2] += twice[-1]
    curvature[:-1, -1] = curvature[-1, :-1] = -inner.T @ mixed
    curvature[-1, -1] = np.sum(by_lost**2) + heard_count / (1.0 - lost) ** 2
    z_heard = z[~is_missed]
    value = (
        np.sum(log_missed)
        - 0.5 * float(z_heard @ z_heard)
        + heard_count * (np.log1p(-lost) - parameters[-2] - _LOG_ROOT_TWO_PI)
    )
    return _Terms(value=float(value), gradient=gradient, curvature=curvature)
