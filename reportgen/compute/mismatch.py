"""What comes back from a load that is not matched to its line, and what that costs.

Magnitudes only: no phases, and a meter of the line's own impedance.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.decibel import db_from_ratio, ratio_from_db
from reportgen.compute.domain import floats, within


def reflection_coefficient(vswr: ArrayLike) -> NDArray[np.float64]:
    """Magnitude of the reflection coefficient: (s - 1)/(s + 1).

    Parameters
    ----------
    vswr : array_like
        Voltage standing-wave ratio, infinite for an open or shorted line. >= 1

    Returns
    -------
    ndarray, same shape
        From 0 (all goes through) to 1 (all comes back).

    Raises
    ------
    DomainError
        If a ratio is below 1: no passive load does that.
    """
    return floats(1.0 - 2.0 / (within("vswr", vswr, 1.0) + 1.0))


def return_loss_db(vswr: ArrayLike) -> NDArray[np.float64]:
    """How far below the forward wave the reflected one lies: -20 log10 of its coefficient.

    Returns
    -------
    ndarray, same shape
        Infinite for a perfect match. [dB]

    Raises
    ------
    DomainError
        If a ratio is below 1.
    """
    with np.errstate(divide="ignore"):
        return floats(-20.0 * np.log10(reflection_coefficient(vswr)) + 0.0)


def vswr_from_return_loss(return_loss_db: ArrayLike) -> NDArray[np.float64]:
    """Voltage standing-wave ratio of a return loss: the way back from `return_loss_db`.

    Returns
    -------
    ndarray, same shape
        Infinite at 0 dB.

    Raises
    ------
    DomainError
        If a return loss is negative.
    """
    magnitude = ratio_from_db(-within("return_loss_db", return_loss_db, 0.0) / 2.0)
    with np.errstate(divide="ignore"):
        return floats((1.0 + magnitude) / (1.0 - magnitude))


def mismatch_loss_db(vswr: ArrayLike) -> NDArray[np.float64]:
    """Share of the power that doesn't enter the load: -10 log10(1 - g^2).

    Returns
    -------
    ndarray, same shape
        Infinite where everything comes back. [dB]

    Raises
    ------
    DomainError
        If a ratio is below 1.
    """
    with np.errstate(divide="ignore"):
        return floats(-10.0 * np.log10(1.0 - reflection_coefficient(vswr) ** 2) + 0.0)


def vswr_at_antenna(
    vswr_at_radio: ArrayLike, matched_line_loss_db: ArrayLike
) -> NDArray[np.float64]:
    """Standing-wave ratio at the far end of a line, from that read at the near end.

    A lossy line flatters the antenna: the reflected wave has crossed it twice.

    Parameters
    ----------
    vswr_at_radio : array_like
        >= 1
    matched_line_loss_db : array_like
        One way, of the matched line. [dB], >= 0

    Returns
    -------
    ndarray, broadcast shape
        NaN where the two contradict each other: even a line left open would have read better.

    Raises
    ------
    DomainError
        If a ratio is below 1 or a loss negative.

    Notes
    -----
    Return loss at the antenna = return loss at the radio - 2 x one-way loss (rule and worked
    answer: UK amateur Full licence syllabus, item 4e). Magnitudes only; the line has the meter's
    impedance.
    """
    two_way_db = 2.0 * within("matched_line_loss_db", matched_line_loss_db, 0.0)
    at_antenna_db = return_loss_db(vswr_at_radio) - two_way_db
    return vswr_from_return_loss(np.where(at_antenna_db < 0.0, np.nan, at_antenna_db))


def vswr_at_radio(
    vswr_at_antenna: ArrayLike, matched_line_loss_db: ArrayLike
) -> NDArray[np.float64]:
    """Standing-wave ratio that a meter at the near end of a line reads: undoes `vswr_at_antenna`.

    Parameters
    ----------
    vswr_at_antenna : array_like
        Infinite where the far end is open or shorted. >= 1
    matched_line_loss_db : array_like
        One way, of the matched line. [dB], >= 0

    Returns
    -------
    ndarray, broadcast shape
        Of an open end, the highest ratio that this line lets anybody read.

    Raises
    ------
    DomainError
        If a ratio is below 1 or a loss negative.

    Notes
    -----
    Return loss at the radio = return loss at the antenna + 2 x one-way loss (worked answer of an
    amateur examination: 3 dB seen through 6 dB of line reads 15 dB).
    """
    two_way_db = 2.0 * within("matched_line_loss_db", matched_line_loss_db, 0.0)
    return vswr_from_return_loss(return_loss_db(vswr_at_antenna) + two_way_db)


def mismatched_line_loss_db(
    matched_line_loss_db: ArrayLike, vswr_at_load: ArrayLike
) -> NDArray[np.float64]:
    """Total loss inside a line whose load is not matched to it.

    Parameters
    ----------
    matched_line_loss_db : array_like
        One way, of the matched line. [dB], >= 0
    vswr_at_load : array_like
        At the antenna's end. >= 1

    Returns
    -------
    ndarray, broadcast shape
        At least the matched loss; infinite where everything comes back. [dB]

    Raises
    ------
    DomainError
        If a ratio is below 1 or a loss negative.

    Notes
    -----
    10 log10((a^2 - g^2) / (a (1 - g^2))), a = 10^(L/10), g the reflection coefficient at the load.
    What the line turns into heat when the transmitter is matched to its input; it takes the place
    of matched loss plus mismatch loss and is not added to them.

    References
    ----------
    .. [1] ARRL Antenna Book, chapter on transmission lines: formula from memory.
    """
    loss_ratio = ratio_from_db(within("matched_line_loss_db", matched_line_loss_db, 0.0))
    returned = reflection_coefficient(vswr_at_load) ** 2
    with np.errstate(divide="ignore", invalid="ignore"):
        total = (loss_ratio**2 - returned) / (loss_ratio * (1.0 - returned))
    # A line without loss turns nothing into heat, even if everything comes back (0/0 above).
    is_idle = (loss_ratio == 1.0) & (returned == 1.0)
    return db_from_ratio(np.where(is_idle, 1.0, total))


def standing_wave_loss_db(
    matched_line_loss_db: ArrayLike, vswr_at_load: ArrayLike
) -> NDArray[np.float64]:
    """Loss that a line turns into heat only because its load is not matched to it.

    Parameters
    ----------
    matched_line_loss_db, vswr_at_load : array_like
        As in `mismatched_line_loss_db`.

    Returns
    -------
    ndarray, broadcast shape
        `mismatched_line_loss_db` less the matched loss, never more than `mismatch_loss_db`. [dB]

    Raises
    ------
    DomainError
        As `mismatched_line_loss_db`.
    """
    total_db = mismatched_line_loss_db(matched_line_loss_db, vswr_at_load)
    return floats(np.maximum(total_db - floats(matched_line_loss_db), 0.0))
