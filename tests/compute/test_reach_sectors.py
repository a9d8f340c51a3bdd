"""What can be said of each direction, and what must not."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.compute.reach_sectors import SectorReach, reach_sectors


def north(
    heard_m: list[float], missed_m: list[float], walked_to_m: float, bearing_deg: float = 0.0
) -> SectorReach:
    """Return the sector around north (or another) of frames on one straight walk."""
    away = np.array([*heard_m, *missed_m])
    walked = np.arange(10.0, walked_to_m, 10.0)
    found = reach_sectors(
        frame_bearing_deg=np.full(away.size, bearing_deg),
        frame_distance_m=away,
        is_heard=np.array([True] * len(heard_m) + [False] * len(missed_m)),
        walked_bearing_deg=np.full(walked.size, bearing_deg),
        walked_distance_m=walked,
    )
    return found[round(bearing_deg / 30) % 12]


NEAR = [float(m) for m in range(100, 600, 20)]


def test_heard_to_the_end_of_the_walk_is_at_least() -> None:
    found = north(NEAR, [], 600)

    assert (found.verdict, found.verdict_m) == ("at least", 580.0)


def test_lost_beyond_needs_enough_missed_farther_out() -> None:
    few = north(NEAR, [700.0, 720.0], 730)
    enough = north(NEAR, [float(m) for m in range(700, 860, 20)], 870)

    assert few.verdict == "walked on"
    assert (enough.verdict, enough.verdict_m) == ("lost beyond", 580.0)


def test_blind_from_needs_an_upper_limit_under_a_tenth() -> None:
    """35 missed of 35: Wilson's upper limit is 3.84 / 38.84 = 9.9 %.

    Every 20 m one frame, so that no piece of ground counts for more than two.
    """
    assert north(NEAR, [700.0 + 20 * n for n in range(34)], 1500).verdict == "lost beyond"
    found = north(NEAR, [700.0 + 20 * n for n in range(35)], 1500)
    assert (found.verdict, found.verdict_m) == ("blind from", 700.0)


def test_one_early_miss_before_unwalked_ground_is_no_beginning() -> None:
    """A miss at 590 m, nobody between there and 1400 m: blind from 1400 m, not from 590."""
    found = north(NEAR, [590.0, *[1400.0 + 20 * n for n in range(40)]], 2300)

    assert (found.verdict, found.verdict_m) == ("blind from", 1400.0)


def test_frames_from_one_bench_are_no_survey() -> None:
    """A hundred missed from one spot: that spot is blind, and nothing else is known."""
    assert north(NEAR, [900.0] * 100, 910).verdict == "walked on"


def test_an_end_where_nearly_all_was_missed_is_no_open_end() -> None:
    """Three of 180 heard from one bench at the end of the walk: the reach does not go on there."""
    found = north([*NEAR, 780.0, 781.0, 782.0], [781.0] * 177, 790)

    assert (found.verdict, found.verdict_m) == ("missed there", 782.0)
    assert (found.there_heard, found.there_sent) == (3, 180)


def test_a_few_missed_at_the_end_leave_it_open() -> None:
    """Of 4 heard of 8 the upper limit is 78 %; of 1 heard of 8 it is 47 % (Wilson)."""
    assert north([*NEAR, 780.0], [760.0] * 7, 790).verdict == "missed there"
    assert north([*NEAR, *[780.0] * 4], [760.0] * 4, 790).verdict == "at least"


def around_at(away_m: float, frames: int) -> SectorReach:
    """Return the east, heard to 580 m, with frames missed along an arc of one distance."""
    bearing = np.linspace(76.0, 104.0, frames)
    away = np.array([*NEAR, *[away_m] * frames])
    found = reach_sectors(
        frame_bearing_deg=np.array([*[90.0] * len(NEAR), *bearing]),
        frame_distance_m=away,
        is_heard=np.array([True] * len(NEAR) + [False] * frames),
        walked_bearing_deg=bearing,
        walked_distance_m=np.full(frames, away_m),
    )
    return found[3]


def test_a_path_across_the_direction_is_as_much_ground_as_one_along_it() -> None:
    """900 m of coast at one distance, 75 frames sent and none heard: more than a bench."""
    found = around_at(1900.0, 75)

    assert (found.verdict, found.verdict_m) == ("blind from", 1900.0)
    assert around_at(1900.0, 20).verdict == "lost beyond"


@pytest.mark.parametrize("east_m", [0.0, 6.0, 12.0, 18.0, 24.0])
def test_a_bench_whose_fixes_wander_is_no_survey_wherever_squares_begin(east_m: float) -> None:
    """A receiver at rest wanders by some metres, over a corner of the squares if it lies so."""
    chance = np.random.default_rng(3)
    east = east_m + chance.uniform(-4.0, 4.0, 100)
    north = 900.0 + chance.uniform(-4.0, 4.0, 100)
    found = reach_sectors(
        frame_bearing_deg=np.append(np.zeros(len(NEAR)), np.degrees(np.arctan2(east, north)) % 360),
        frame_distance_m=np.append(NEAR, np.hypot(east, north)),
        is_heard=np.array([True] * len(NEAR) + [False] * 100),
        walked_bearing_deg=[0.0],
        walked_distance_m=[900.0],
    )

    assert found[0].verdict == "walked on"


def test_a_direction_nobody_walked_is_not_walked() -> None:
    found = north([], [], 0)

    assert found.verdict == "not walked"
    assert np.isnan(found.farthest_walked_m)


def test_walked_with_a_handful_of_frames_is_too_few() -> None:
    assert north([100.0, 120.0], [], 300).verdict == "too few frames"


def test_the_yard_of_the_station_says_nothing_of_a_direction() -> None:
    assert north([10.0, 20.0, 30.0, 40.0, 45.0, 48.0], [], 49).verdict == "not walked"


@pytest.mark.parametrize("bearing_deg", [346.0, 359.9, 14.9])
def test_the_sector_around_north_reaches_to_both_sides(bearing_deg: float) -> None:
    assert north(NEAR, [], 600, bearing_deg).verdict == "at least"


def test_frames_without_place_are_left_out() -> None:
    found = reach_sectors(
        frame_bearing_deg=[np.nan], frame_distance_m=[np.nan], is_heard=[True],
        walked_bearing_deg=[np.nan], walked_distance_m=[np.nan],
    )  # fmt: skip

    assert {sector.verdict for sector in found} == {"not walked"}
