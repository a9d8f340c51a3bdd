"""Time on the air: what lengthens it, and what share of the time it is."""

from __future__ import annotations

from functools import partial

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
from reportgen.errors import DomainError


def test_each_spreading_factor_doubles_the_symbol() -> None:
    """And half the bandwidth does too."""
    symbol_s = lora_symbol_time_s([7, 8, 7], [125e3, 125e3, 62.5e3])

    assert symbol_s == pytest.approx([1.024e-3, 2.048e-3, 2.048e-3])


def test_optimisation_follows_the_symbol_time_unless_told() -> None:
    """A gateway and its nodes agree on it by the data rate; a home-made link may set it."""
    slowest = partial(lora_time_on_air_s, 51, spreading_factor=12, bandwidth_hz=125e3)

    assert slowest() == slowest(low_data_rate=True)
    assert slowest() > slowest(low_data_rate=False)


def test_header_and_checksum_take_time() -> None:
    """Twenty and sixteen bits: enough here for one more group of symbols each."""
    fastest = partial(lora_time_on_air_s, 20, spreading_factor=7, bandwidth_hz=125e3)
    whole_s = fastest()

    assert fastest(has_header=False) < whole_s
    assert fastest(has_crc=False) < whole_s
    assert fastest(coding_rate=8) > whole_s
    more_s = fastest(preamble_symbols=12)
    assert more_s - whole_s == pytest.approx(4 * 1.024e-3)


def test_empty_frame_is_preamble_and_eight_symbols() -> None:
    """No payload, header or checksum: the fixed part of the formula is what remains."""
    bare_s = lora_time_on_air_s(
        0, spreading_factor=[12, 6], bandwidth_hz=125e3, has_crc=False, has_header=False
    )

    symbol_s = lora_symbol_time_s([12, 6], 125e3)
    assert bare_s / symbol_s == pytest.approx([8 + 4.25 + 8, 8 + 6.25 + 8])


def test_unknown_settings_leave_the_time_unknown() -> None:
    """Rows with a data rate beside rows without one."""
    time_s = lora_time_on_air_s(
        [20, np.nan, 20], spreading_factor=[7, 7, np.nan], bandwidth_hz=125e3
    )

    assert np.isnan(time_s).tolist() == [False, True, True]
    assert low_data_rate_is_on([12, np.nan], 125e3).tolist() == [True, False]


def test_lorawan_adds_its_frame_to_the_application() -> None:
    """Header 1, frame header 7, port 1, integrity code 4."""
    assert LORAWAN_OVERHEAD_BYTES == 1 + 7 + 1 + 4


def test_bit_rate_falls_with_the_coding_rate() -> None:
    """4/8 carries half of what 4/4 would."""
    assert lora_bit_rate_bps(7, 125e3, 8) / lora_bit_rate_bps(7, 125e3, 5) == pytest.approx(5 / 8)


def test_interval_of_a_duty_cycle_gives_that_duty_cycle() -> None:
    """There and back."""
    interval_s = shortest_interval_s(0.4, [0.001, 0.01, 1.0])

    assert duty_cycle_ratio(0.4, interval_s) == pytest.approx([0.001, 0.01, 1.0])


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: lora_symbol_time_s(13, 125e3), "spreading_factor must be from 5 to 12"),
        (lambda: lora_symbol_time_s(7, 0.0), "bandwidth_hz must be above 0"),
        (
            lambda: lora_time_on_air_s(-1, spreading_factor=7, bandwidth_hz=125e3),
            "payload_bytes must be 0 or more",
        ),
        (
            lambda: lora_time_on_air_s(1, spreading_factor=7, bandwidth_hz=125e3, coding_rate=1),
            "coding_rate must be from 5 to 8",
        ),
        (lambda: duty_cycle_ratio(0.1, 0.0), "interval_s must be above 0"),
        (lambda: shortest_interval_s(0.1, 0.0), "duty_cycle_ratio must be above 0"),
        (lambda: shortest_interval_s(0.1, 1.1), "duty_cycle_ratio must be from 0 to 1"),
    ],
)
def test_numbers_out_of_range_are_refused(call: object, message: str) -> None:
    """A coding rate given as its numerator, a duty cycle in per cent."""
    assert callable(call)
    with pytest.raises(DomainError, match=message):
        call()
