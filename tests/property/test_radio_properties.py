"""Laws that radio figures obey whatever the numbers are."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reportgen.compute.decibel import dbd_from_dbi, dbi_from_dbd, dbm_from_watts, watts_from_dbm
from reportgen.compute.feeder_loss import (
    CABLES,
    FEET,
    CableType,
    cable_attenuation_db_per_100m,
    cable_of,
    line_loss_db,
    per_100m_from_per_100ft,
)
from reportgen.compute.geodesy import distance_m, from_local_metres, initial_bearing_deg
from reportgen.compute.local_mean import averaging_length_m, samples_within, spacing_m
from reportgen.compute.measured_loss import basic_transmission_loss_db
from reportgen.compute.mismatch import (
    mismatch_loss_db,
    mismatched_line_loss_db,
    standing_wave_loss_db,
    vswr_at_antenna,
    vswr_at_radio,
)
from reportgen.compute.radiated_power import eirp_dbm
from reportgen.compute.time_on_air import (
    duty_cycle_ratio,
    lora_time_on_air_s,
    shortest_interval_s,
)
from reportgen.compute.transmission_loss import free_space_basic_transmission_loss_db

LEVELS = st.floats(-200.0, 100.0)
RATIOS = st.floats(1.0, 50.0)
LOSSES = st.floats(0.0, 15.0)
STEPS = st.floats(1.001, 3.0)
LISTED = st.sampled_from([cable for cable in CABLES if cable.name != "RG-8"])


@given(LEVELS)
def test_levels_survive_the_way_to_watts_and_back(level_db: float) -> None:
    """Both ways, and the two references of gain."""
    assert dbm_from_watts(watts_from_dbm(level_db)) == pytest.approx(level_db, abs=1e-9)
    assert dbd_from_dbi(dbi_from_dbd(level_db)) == pytest.approx(level_db, abs=1e-9)


@given(st.floats(0.01, 500.0), st.floats(0.1, 1_000.0))
def test_a_line_loses_the_same_in_feet_and_metres(db_per_100ft: float, length_ft: float) -> None:
    """By the foot table over feet, or by the metre table over metres."""
    in_feet_db = db_per_100ft * length_ft / 100.0

    in_metres_db = line_loss_db(per_100m_from_per_100ft(db_per_100ft), length_ft * FEET)

    assert in_metres_db == pytest.approx(in_feet_db, rel=1e-12)


@given(LISTED, st.floats(100e6, 1e9), STEPS, st.floats(0.1, 100.0))
def test_lines_lose_more_when_longer_or_at_a_higher_frequency(
    cable: CableType, frequency_hz: float, step: float, length_m: float
) -> None:
    """For every cable of the table, between its points and a little beyond."""
    higher_hz = min(frequency_hz * step, 1.6e9)
    low, high = cable_attenuation_db_per_100m(cable, [frequency_hz, higher_hz])

    assert low <= high * (1 + 1e-12)
    assert line_loss_db(low, length_m) < line_loss_db(low, length_m * step)
    assert line_loss_db(low, 0.0) == 0.0


@given(st.floats(1.0, 1e5), st.floats(1e8, 3e9), STEPS)
def test_free_space_loses_more_when_farther_or_at_a_higher_frequency(
    away_m: float, frequency_hz: float, step: float
) -> None:
    """By the square of either: a step in one costs what it costs in the other."""
    here_db = free_space_basic_transmission_loss_db(away_m, frequency_hz=frequency_hz)
    farther_db = free_space_basic_transmission_loss_db(away_m * step, frequency_hz=frequency_hz)
    higher_db = free_space_basic_transmission_loss_db(away_m, frequency_hz=frequency_hz * step)

    assert farther_db > here_db
    assert farther_db == pytest.approx(higher_db, abs=1e-9)


@given(RATIOS, STEPS, LOSSES)
def test_a_worse_match_costs_more(vswr: float, step: float, loss_db: float) -> None:
    """At the load and inside the line."""
    assert mismatch_loss_db(vswr) < mismatch_loss_db(vswr * step)
    total_db = mismatched_line_loss_db(loss_db, [vswr, vswr * step])
    assert total_db[0] <= total_db[1] + 1e-9


@given(RATIOS, st.floats(0.0, 10.0))
def test_standing_wave_ratio_survives_the_way_along_the_line(vswr: float, loss_db: float) -> None:
    """Down to the radio and back up to the antenna."""
    assert vswr_at_antenna(vswr_at_radio(vswr, loss_db), loss_db) == pytest.approx(vswr, rel=1e-6)


@given(st.floats(1.0, 20.0))
def test_a_line_that_vanishes_does_nothing(vswr: float) -> None:
    """As its loss goes to zero: ratios agree, nothing turns into heat."""
    tiny_db = 1e-9

    assert vswr_at_radio(vswr, tiny_db) == pytest.approx(vswr, rel=1e-6)
    assert vswr_at_antenna(vswr, 0.0) == pytest.approx(vswr, rel=1e-9)
    assert mismatched_line_loss_db(tiny_db, vswr) == pytest.approx(0.0, abs=1e-6)


@given(st.floats(1.0, 50.0), LOSSES)
def test_nothing_is_counted_twice(vswr: float, loss_db: float) -> None:
    """Book-keeping of the waves at both ends of the line, in power, without the formulas.

    From a radio that swallows what comes back: line loss plus mismatch at the antenna, each once.
    From a radio that is tuned so that nothing does: what the line heats, which has both in it.
    """
    arriving_w = 1.0
    returned_w = arriving_w * ((vswr - 1.0) / (vswr + 1.0)) ** 2
    sent_w = arriving_w * 10 ** (loss_db / 10)
    come_back_w = returned_w / 10 ** (loss_db / 10)
    entered_w = arriving_w - returned_w

    swallowed_db = 10 * np.log10(sent_w / entered_w)
    tuned_db = 10 * np.log10((sent_w - come_back_w) / entered_w)

    seen = vswr_at_radio(vswr, loss_db)
    at_antenna_db = mismatch_loss_db(vswr_at_antenna(seen, loss_db))
    assert loss_db + at_antenna_db == pytest.approx(swallowed_db, abs=1e-6)
    assert mismatched_line_loss_db(loss_db, vswr) == pytest.approx(tuned_db, abs=1e-9)
    assert standing_wave_loss_db(loss_db, vswr) == pytest.approx(tuned_db - loss_db, abs=1e-9)


@given(LEVELS, LOSSES, LOSSES, st.floats(-5.0, 15.0), st.floats(0.0, 150.0))
def test_a_link_closes(
    power_dbm: float, feeder_db: float, receive_db: float, gain_dbi: float, path_db: float
) -> None:
    """What goes in at one connector and comes out at the other gives back the path's loss."""
    radiated_dbm = eirp_dbm(power_dbm, feeder_loss_db=feeder_db, antenna_gain_dbi=gain_dbi)
    received_dbm = radiated_dbm - path_db + gain_dbi - receive_db

    loss_db = basic_transmission_loss_db(
        received_dbm, eirp_dbm=radiated_dbm, receive_gain_dbi=gain_dbi, receive_loss_db=receive_db
    )

    assert loss_db == pytest.approx(path_db, abs=1e-9)


@given(
    st.integers(0, 254), st.integers(5, 12), st.sampled_from([125e3, 250e3, 500e3]), st.booleans()
)
def test_frames_last_longer_when_larger_or_slower(
    payload_bytes: int, spreading_factor: int, bandwidth_hz: float, has_crc: bool
) -> None:
    """Never shorter with a byte more; longer with half the bandwidth."""
    time_s = lora_time_on_air_s(
        [payload_bytes, payload_bytes + 1],
        spreading_factor=spreading_factor,
        bandwidth_hz=bandwidth_hz,
        has_crc=has_crc,
    )
    slower_s = lora_time_on_air_s(
        payload_bytes,
        spreading_factor=spreading_factor,
        bandwidth_hz=bandwidth_hz / 2,
        has_crc=has_crc,
    )

    assert time_s[0] <= time_s[1]
    assert slower_s > time_s[0]


@given(st.floats(1e-3, 10.0), st.floats(1e-4, 1.0))
def test_duty_cycle_and_interval_are_one_thing(time_on_air_s: float, share: float) -> None:
    """There and back."""
    interval_s = shortest_interval_s(time_on_air_s, share)

    assert interval_s >= time_on_air_s
    assert duty_cycle_ratio(time_on_air_s, interval_s) == pytest.approx(share, rel=1e-12)


@given(st.floats(0.1, 30.0), st.floats(0.1, 3_600.0), STEPS)
def test_walking_faster_takes_fewer_samples(
    pace_mps: float, interval_s: float, step: float
) -> None:
    """As many fewer as sending more seldom."""
    length_m = averaging_length_m(868e6)
    slow = samples_within(length_m, spacing_m(pace_mps, interval_s))
    fast = samples_within(length_m, spacing_m(pace_mps * step, interval_s))

    assert fast < slow
    assert fast == pytest.approx(samples_within(length_m, spacing_m(pace_mps, interval_s * step)))


@settings(deadline=None)
@given(
    st.floats(-65.0, 65.0),
    st.floats(-179.0, 179.0),
    st.floats(0.0, 360.0),
    st.floats(10.0, 20_000.0),
)
def test_the_way_back_is_as_long_and_turned_by_the_meridians_convergence(
    latitude_deg: float, longitude_deg: float, direction_deg: float, away_m: float
) -> None:
    """Bearing back less bearing out plus half a turn: difference of longitude times sin(latitude).

    Meridian convergence, first order, at the middle latitude (textbooks on surveying).
    """
    angle = np.deg2rad(direction_deg)
    latitude, longitude = from_local_metres(
        away_m * np.sin(angle), away_m * np.cos(angle), latitude_deg, longitude_deg
    )
    here, there = (latitude_deg, longitude_deg), (float(latitude), float(longitude))

    turned_deg = initial_bearing_deg(*there, *here) - initial_bearing_deg(*here, *there) - 180.0
    turned_deg = (turned_deg + 180.0) % 360.0 - 180.0

    middle = np.deg2rad((latitude_deg + float(latitude)) / 2)
    convergence_deg = (float(longitude) - longitude_deg) * np.sin(middle)
    assert turned_deg == pytest.approx(float(convergence_deg), abs=1e-3)
    assert distance_m(*there, *here) == pytest.approx(float(distance_m(*here, *there)), abs=1e-6)


@pytest.mark.parametrize("frequency_hz", [902e6, 915e6, 928e6])
def test_half_a_watt_through_ten_metres_of_thin_coax(frequency_hz: float) -> None:
    """Common practice, no source: 0.5 W, 10 m of RG-58 or RG-8X, 2 dBi radiate 0.2 or 0.3 W."""
    radiated_w = []
    for name in ("RG-58", "RG-8X"):
        cable = cable_of(name)
        assert cable is not None
        line_db = line_loss_db(cable_attenuation_db_per_100m(cable, frequency_hz), 10.0)
        radiated_w.append(
            float(watts_from_dbm(eirp_dbm(27.0, feeder_loss_db=line_db, antenna_gain_dbi=2.0)))
        )

    assert radiated_w == pytest.approx([0.2, 0.31], abs=0.015)
