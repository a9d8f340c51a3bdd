"""Which way somebody walked, and when they stood."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.compute.course import course_deg, is_standing, recorded_times_s
from reportgen.errors import DomainError

TIME_S = np.arange(0.0, 400.0, 5.0)
NORTH = 47.5 + np.minimum(TIME_S, 200.0) * 1.3 / 111_180
"""North at 1.3 m/s for 200 s, then at rest."""
EAST = np.full_like(TIME_S, -31.25)


def test_course_is_the_way_of_the_step_around_a_time() -> None:
    there = course_deg([100.0], TIME_S, NORTH, EAST)
    back = course_deg([100.0], TIME_S, NORTH[::-1], EAST)

    assert there == pytest.approx(0.0, abs=0.01)
    assert np.isnan(back[0])  # reversed, the rest comes first
    assert course_deg([300.0], TIME_S, NORTH[::-1], EAST) == pytest.approx(180.0, abs=0.01)


def test_one_who_stands_has_no_course() -> None:
    assert np.isnan(course_deg([300.0], TIME_S, NORTH, EAST)[0])
    assert is_standing([100.0, 300.0], TIME_S, NORTH, EAST).tolist() == [False, True]


def test_outside_the_track_nothing_is_known() -> None:
    assert np.isnan(course_deg([-50.0, 1000.0], TIME_S, NORTH, EAST)).all()
    assert not is_standing([-50.0, 1000.0], TIME_S, NORTH, EAST).any()


def test_a_step_must_take_time() -> None:
    with pytest.raises(DomainError, match="over_s"):
        course_deg([1.0], TIME_S, NORTH, EAST, over_s=0.0)


def test_steps_leave_out_the_gaps_of_a_recording() -> None:
    """One time of another year would be millions of steps, in none of which anything is known."""
    found = recorded_times_s([30.0, 0.0, np.nan, 15.0, 2.2e9, 2.2e9 + 25.0], step_s=10.0)

    assert found.tolist() == [0.0, 10.0, 20.0, 30.0, 2.2e9, 2.2e9 + 10.0, 2.2e9 + 20.0]


def test_steps_of_a_whole_recording_are_even() -> None:
    times_s = np.arange(5.0, 300.0, 7.0)

    found = recorded_times_s(times_s, step_s=10.0)

    assert found.tolist() == np.arange(5.0, times_s.max(), 10.0).tolist()


def test_one_time_makes_no_steps() -> None:
    assert recorded_times_s([3.0, np.nan], step_s=10.0).size == 0
