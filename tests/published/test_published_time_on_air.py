"""Time on air and duty cycle against printed results of the data sheet's formula."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from reportgen.compute.time_on_air import (
    LORAWAN_OVERHEAD_BYTES,
    duty_cycle_ratio,
    lora_bit_rate_bps,
    lora_symbol_time_s,
    lora_time_on_air_s,
    low_data_rate_is_on,
    shortest_interval_s,
)
from tests.published.reference_rows import ReferenceRow, disagreements


@pytest.mark.parametrize(
    ("payload_bytes", "spreading_factor", "bandwidth_hz", "printed_ms"),
    [
        (64, 12, 125e3, 2793.472),
        (32, 11, 125e3, 987.136),
        (32, 12, 250e3, 905.216),
        (255, 7, 500e3, 99.904),
        (12, 7, 125e3, 41.216),
        (12, 9, 125e3, 144.384),
        (64, 7, 125e3, 118.016),
    ],
)
def test_frames_with_default_settings(
    payload_bytes: int, spreading_factor: int, bandwidth_hz: float, printed_ms: float
) -> None:
    """Semtech SX1276 data sheet, section 4.1.1.6-7; values printed by independent calculators.

    Coding rate 4/5, preamble 8, checksum, header; the optimisation by the rule of 16 ms.
    """
    time_s = lora_time_on_air_s(
        payload_bytes, spreading_factor=spreading_factor, bandwidth_hz=bandwidth_hz
    )

    assert time_s * 1e3 == pytest.approx(printed_ms, abs=0.0005)


def test_short_frame_without_header_or_checksum() -> None:
    """The same calculators: 12 bytes, SF7, 500 kHz, 4/8, preamble 6, no checksum, no header."""
    time_s = lora_time_on_air_s(
        12,
        spreading_factor=7,
        bandwidth_hz=500e3,
        coding_rate=8,
        preamble_symbols=6,
        has_crc=False,
        has_header=False,
    )

    assert time_s * 1e3 == pytest.approx(10.816, abs=0.0005)


def test_optimisation_where_a_symbol_lasts_over_sixteen_milliseconds() -> None:
    """SX1276 data sheet's rule: on at SF11 and SF12, 125 kHz, and SF12, 250 kHz (rows LDRO)."""
    is_on = low_data_rate_is_on([11, 12, 12, 11, 10], [125e3, 125e3, 250e3, 250e3, 125e3])

    assert is_on.tolist() == [True, True, True, False, False]


@pytest.mark.parametrize("spreading_factor", [5, 6])
@pytest.mark.parametrize("payload_bytes", [0, 1, 13, 51, 222])
def test_short_spreading_factors_by_the_newer_formula(
    spreading_factor: int, payload_bytes: int
) -> None:
    """Semtech SX1261/2 data sheet, section 6.1.4, as seen in several stored drivers.

    Symbols: n + 6.25 + 8 + ceil(max(8 PL + 16 - 4 SF + 20, 0) / (4 SF)) (CR + 4), CR = 1.
    """
    bits = max(8 * payload_bytes + 16 - 4 * spreading_factor + 20, 0)
    symbols = 8 + 6.25 + 8 + np.ceil(bits / (4 * spreading_factor)) * 5

    time_s = lora_time_on_air_s(
        payload_bytes, spreading_factor=spreading_factor, bandwidth_hz=125e3
    )

    assert time_s / lora_symbol_time_s(spreading_factor, 125e3) == pytest.approx(symbols)


def test_longest_payload_of_the_slowest_american_rate_keeps_to_the_dwell_time() -> None:
    """RP002, US915 DR0: 11 bytes of application; 47 CFR 15.247(a)(1)(i): 0.4 s on a channel."""
    longest_bytes = 11 + LORAWAN_OVERHEAD_BYTES
    time_s = lora_time_on_air_s(
        [longest_bytes, longest_bytes + 4], spreading_factor=10, bandwidth_hz=125e3
    )

    assert time_s[0] < 0.4 < time_s[1]


@pytest.mark.shared
def test_all_reference_times_on_air(shared_folder: Path) -> None:
    """Rows TOA, each with its own settings; DC-5, the longest American frame at SF10."""

    def computed(row: ReferenceRow) -> object:
        flags = {name: row.inputs.get(name, "") for name in ("CRC", "implicit_header", "LDRO")}
        time_s = lora_time_on_air_s(
            row.number("PL_bytes"),
            spreading_factor=row.number("SF"),
            bandwidth_hz=row.number("BW_kHz") * 1e3,
            coding_rate=float(row.inputs.get("CR", "4/5").removeprefix("4/")),
            preamble_symbols=float(row.inputs.get("preamble", "8")),
            has_crc=flags["CRC"] != "0",
            has_header=flags["implicit_header"] != "1",
            low_data_rate=bool(int(flags["LDRO"])) if flags["LDRO"] else None,
        )
        return time_s * 1e3

    assert disagreements(shared_folder, r"TOA-\d+", computed, rows=23) == []
    assert disagreements(shared_folder, r"DC-5", computed, rows=1) == []


@pytest.mark.shared
def test_all_reference_bit_rates(shared_folder: Path) -> None:
    """Rows RB: 125 kHz, 4/5."""

    def computed(row: ReferenceRow) -> object:
        return lora_bit_rate_bps(row.number("SF"), row.number("BW_kHz") * 1e3)

    assert disagreements(shared_folder, r"RB-\d+", computed, rows=6) == []


@pytest.mark.shared
def test_all_reference_duty_cycles(shared_folder: Path) -> None:
    """Rows DC at 1 %: interval and silence after a frame of 2.79 s, whole frames in an hour."""
    hour_s = 3600.0

    def interval(row: ReferenceRow) -> object:
        return shortest_interval_s(row.number("toa_s"), row.number("duty"))

    def silence(row: ReferenceRow) -> object:
        return interval(row) - row.number("toa_s")  # type: ignore[operator]

    def frames(row: ReferenceRow) -> object:
        return np.floor(hour_s / interval(row))  # type: ignore[operator]

    assert duty_cycle_ratio(36.0, hour_s) == 0.01  # row DC-1
    assert disagreements(shared_folder, r"DC-2", interval, rows=1) == []
    assert disagreements(shared_folder, r"DC-3", silence, rows=1) == []
    assert disagreements(shared_folder, r"DC-4", frames, rows=1) == []
