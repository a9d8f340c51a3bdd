"""How long a LoRa frame occupies the channel, and what share of the time that is."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, positive, within

LORAWAN_OVERHEAD_BYTES = 13
"""What LoRaWAN adds to an application's bytes in a data frame without options: MHDR 1, FHDR 7,
FPort 1, MIC 4 (LoRaWAN L2 1.0.4, section 4: Table 2 for MHDR, MIC and the 7 that a MACPayload has
at least; FPort from memory)."""

LOW_DATA_RATE_SYMBOL_TIME_S = 16e-3
"""Symbols longer than this need the low-data-rate optimisation: SX1276 data sheet (second-hand).
[s]"""


def lora_symbol_time_s(spreading_factor: ArrayLike, bandwidth_hz: ArrayLike) -> NDArray[np.float64]:
    """Duration of one LoRa symbol: 2^SF / BW.

    Parameters
    ----------
    spreading_factor : array_like
        From 5 to 12, NaN where unknown.
    bandwidth_hz : array_like
        [Hz], > 0

    Returns
    -------
    ndarray, broadcast shape
        [s]

    Raises
    ------
    DomainError
        If a number lies outside its range.

    References
    ----------
    .. [1] Semtech SX1276/77/78/79 data sheet, section 4.1.1 (seen second-hand).
    """
    factor = within("spreading_factor", spreading_factor, 5.0, 12.0)
    return floats(2.0**factor / positive("bandwidth_hz", bandwidth_hz))


def low_data_rate_is_on(spreading_factor: ArrayLike, bandwidth_hz: ArrayLike) -> NDArray[np.bool_]:
    """Tell whether the low-data-rate optimisation is on: where a symbol lasts over 16 ms.

    Parameters
    ----------
    spreading_factor, bandwidth_hz : array_like
        As in `lora_symbol_time_s`.

    Returns
    -------
    ndarray of bool, broadcast shape
        SF11 and SF12 at 125 kHz and SF12 at 250 kHz, among the usual ones; False where unknown.

    Raises
    ------
    DomainError
        As `lora_symbol_time_s`.
    """
    symbol_s = lora_symbol_time_s(spreading_factor, bandwidth_hz)
    return np.asarray(symbol_s > LOW_DATA_RATE_SYMBOL_TIME_S, dtype=np.bool_)


def lora_time_on_air_s(
    payload_bytes: ArrayLike,
    *,
    spreading_factor: ArrayLike,
    bandwidth_hz: ArrayLike,
    coding_rate: ArrayLike = 5,
    preamble_symbols: ArrayLike = 8,
    has_crc: bool = True,
    has_header: bool = True,
    low_data_rate: bool | None = None,
) -> NDArray[np.float64]:
    """Time a LoRa frame is on the air, preamble included.

    Parameters
    ----------
    payload_bytes : array_like
        Of the radio's frame, that is with `LORAWAN_OVERHEAD_BYTES` in a LoRaWAN. >= 0
    spreading_factor, bandwidth_hz : array_like
        As in `lora_symbol_time_s`.
    coding_rate : array_like
        Denominator x of 4/x. From 5 to 8
    preamble_symbols : array_like
        As set in the radio, without the 4.25 that it adds. >= 0
    has_crc, has_header : bool
        Payload checksum; explicit header.
    low_data_rate : bool, optional
        Whether the optimisation is on. By default where `low_data_rate_is_on` says.

    Returns
    -------
    ndarray, broadcast shape
        NaN where a number is NaN. [s]

    Raises
    ------
    DomainError
        If a number lies outside its range.

    Notes
    -----
    With T the symbol time, T (n + 4.25 + 8 + max(ceil((8 PL - 4 SF + 28 + 16 CRC - 20 IH) /
    (4 (SF - 2 DE))) CR, 0)). At SF5 and SF6 the newer radios add 6.25 symbols in place of 4.25
    and take 8 off the numerator [2]_; the older ones have no SF5, and SF6 only without header and
    by the plain formula. This function gives the newer ones' figure.

    References
    ----------
    .. [1] Semtech SX1276/77/78/79 data sheet, sections 4.1.1.6 and 4.1.1.7, and AN1200.13
       (seen second-hand).
    .. [2] Semtech SX1261/2 data sheet, section 6.1.4 (section from memory; formula seen
       second-hand in several stored drivers).
    """
    size = within("payload_bytes", payload_bytes, 0.0)
    rate = within("coding_rate", coding_rate, 5.0, 8.0)
    preamble = within("preamble_symbols", preamble_symbols, 0.0)
    factor, symbol_s = floats(spreading_factor), lora_symbol_time_s(spreading_factor, bandwidth_hz)
    if low_data_rate is None:
        is_slow = low_data_rate_is_on(spreading_factor, bandwidth_hz)
    else:
        is_slow = np.asarray(low_data_rate, dtype=np.bool_)
    is_short = factor < 7.0
    fixed_bits = 8.0 + 16.0 * has_crc + 20.0 * has_header
    bits = 8.0 * size - 4.0 * factor + fixed_bits - np.where(is_short, 8.0, 0.0)
    groups = np.ceil(bits / (4.0 * (factor - np.where(is_slow, 2.0, 0.0))))
    fixed_symbols = np.where(is_short, 6.25, 4.25) + 8.0
    return floats(symbol_s * (preamble + fixed_symbols + np.maximum(groups, 0.0) * rate))


def lora_bit_rate_bps(
    spreading_factor: ArrayLike, bandwidth_hz: ArrayLike, coding_rate: ArrayLike = 5
) -> NDArray[np.float64]:
    """Raw LoRa bit rate: SF 4/x bits in each symbol.

    Parameters
    ----------
    spreading_factor, bandwidth_hz : array_like
        As in `lora_symbol_time_s`.
    coding_rate : array_like
        Denominator x of 4/x. From 5 to 8

    Returns
    -------
    ndarray, broadcast shape
        [bit/s]

    Raises
    ------
    DomainError
        If a number lies outside its range.

    References
    ----------
    .. [1] Semtech AN1200.22, "LoRa Modulation Basics" (from memory).
    """
    rate = 4.0 / within("coding_rate", coding_rate, 5.0, 8.0)
    symbol_s = lora_symbol_time_s(spreading_factor, bandwidth_hz)
    return floats(floats(spreading_factor) * rate / symbol_s)


def duty_cycle_ratio(time_on_air_s: ArrayLike, interval_s: ArrayLike) -> NDArray[np.float64]:
    """Share of the time that a transmitter is on.

    Parameters
    ----------
    time_on_air_s : array_like
        Of one frame. [s], >= 0
    interval_s : array_like
        From the start of a frame to the start of the next. [s], > 0

    Returns
    -------
    ndarray, broadcast shape
        Over 1 where the frames would overlap: one of the two numbers is wrong.

    Raises
    ------
    DomainError
        If a number lies outside its range.
    """
    on_s = within("time_on_air_s", time_on_air_s, 0.0)
    return floats(on_s / positive("interval_s", interval_s))


def shortest_interval_s(
    time_on_air_s: ArrayLike, duty_cycle_ratio: ArrayLike
) -> NDArray[np.float64]:
    """Least time from frame to frame, start to start, that keeps to a duty cycle.

    Parameters
    ----------
    time_on_air_s : array_like
        Of one frame. [s], >= 0
    duty_cycle_ratio : array_like
        Allowed. Above 0, up to 1

    Returns
    -------
    ndarray, broadcast shape
        Time on air over duty cycle. [s]

    Raises
    ------
    DomainError
        If a number lies outside its range.
    """
    allowed = positive("duty_cycle_ratio", within("duty_cycle_ratio", duty_cycle_ratio, 0.0, 1.0))
    return floats(within("time_on_air_s", time_on_air_s, 0.0) / allowed)
