"""The noise a log of levels shows, and with it the level below which frames are missed."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from reportgen.compute.domain import floats, same_length

LEAST_ROWS = 5
"""With fewer rows below the noise their median is a matter of luck (our choice)."""


def noise_level_dbm(rssi_dbm: ArrayLike, snr_db: ArrayLike) -> float:
    """Return the level of the noise behind reported levels and signal-to-noise ratios.

    Parameters
    ----------
    rssi_dbm : array_like, shape (n,)
        Level as reported: signal and noise together. [dBm]
    snr_db : array_like, shape (n,)
        Signal-to-noise ratio as reported. [dB]

    Returns
    -------
    float
        Median over the rows whose ratio is below zero; NaN where these are fewer than
        `LEAST_ROWS`. [dBm]

    Raises
    ------
    DomainError
        If the arrays differ in length.

    Notes
    -----
    Where total = signal + noise, noise = total / (1 + signal / noise), or RSSI - 10 log10(1 +
    10^(SNR/10)). Only rows below the noise are used: above it the level tells of the signal, and
    reported ratios saturate (common practice). A data rate's limit is this noise plus the ratio
    it needs.
    """
    total_dbm, ratio_db = floats(rssi_dbm), floats(snr_db)
    same_length(rssi_dbm=total_dbm, snr_db=ratio_db)
    is_below = np.isfinite(total_dbm) & np.isfinite(ratio_db) & (ratio_db < 0.0)
    if np.count_nonzero(is_below) < LEAST_ROWS:
        return float("nan")
    excess_db = 10.0 * np.log10(1.0 + 10.0 ** (ratio_db[is_below] / 10.0))
    return float(np.median(total_dbm[is_below] - excess_db))
