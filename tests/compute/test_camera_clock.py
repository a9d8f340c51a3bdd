"""A camera's clock by its photos and the tracks."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.compute.camera_clock import ClockEstimate, NoClock, TimedPath, clock_ahead
from reportgen.errors import DomainError

HOUR_S = 3600.0
TIME_S = np.arange(0.0, 3000.0, 5.0)
CROOKED = TimedPath(time_s=TIME_S, east_m=1.3 * TIME_S, north_m=300.0 * np.sin(TIME_S / 400.0))
OUT_AND_BACK = TimedPath(
    time_s=TIME_S, east_m=1.3 * np.minimum(TIME_S, 3000.0 - TIME_S), north_m=0.0 * TIME_S
)
TAKEN_S = (300.0, 900.0, 1500.0, 2400.0)


def photos(
    path: TimedPath, taken_s: tuple[float, ...], ahead_s: float, noise_m: float = 3.0
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return times shown and places of photos taken on a path."""
    rng = np.random.default_rng(11)
    at_s = np.array(taken_s)
    east, north = (
        np.interp(at_s, path.time_s, values) + noise_m * rng.standard_normal(at_s.size)
        for values in (path.east_m, path.north_m)
    )
    return at_s + ahead_s, east, north


def estimate(
    shown_s: np.ndarray,
    east_m: np.ndarray,
    north_m: np.ndarray,
    *,
    paths: tuple[TimedPath, ...] = (CROOKED,),
    stated_s: float = 0.0,
    longest_gap_s: float = 120.0,
) -> ClockEstimate | NoClock:
    return clock_ahead(
        shown_s,
        east_m,
        north_m,
        paths,
        position_error_m=10.0,
        longest_gap_s=longest_gap_s,
        stated_s=stated_s,
    )


def found(
    shown_s: np.ndarray, east_m: np.ndarray, north_m: np.ndarray, *, stated_s: float = 0.0
) -> ClockEstimate:
    answer = estimate(shown_s, east_m, north_m, stated_s=stated_s)
    assert isinstance(answer, ClockEstimate)
    return answer


@pytest.mark.parametrize("ahead_s", [97.0, -412.0, 2 * HOUR_S + 40.0, -11 * HOUR_S - 333.0])
def test_a_wrong_clock_is_found(ahead_s: float) -> None:
    """Seconds or half a day: the same search."""
    answer = found(*photos(CROOKED, TAKEN_S, ahead_s))

    assert answer.low_s <= ahead_s <= answer.high_s
    assert answer.ahead_s == pytest.approx(ahead_s, abs=8.0)
    assert answer.is_clear
    assert answer.count == 4


def test_a_right_clock_is_left_alone() -> None:
    answer = found(*photos(CROOKED, TAKEN_S, 0.0))

    assert answer.low_s < 0.0 < answer.high_s
    assert not answer.is_clear


def test_an_error_that_the_age_of_a_fix_explains_is_not_called_clear() -> None:
    """Twenty seconds show in forty exact photos, and are still no reason to touch a clock."""
    answer = found(*photos(CROOKED, tuple(np.arange(100.0, 2900.0, 70.0)), 20.0, noise_m=1.0))

    assert answer.low_s > 0.0
    assert not answer.is_clear


def test_two_places_tell_nothing() -> None:
    assert estimate(*photos(CROOKED, TAKEN_S[:2], 97.0)) is NoClock.TOO_FEW


def test_many_photos_of_one_minute_are_one() -> None:
    """Ten shots of one view have one fix, and its error ten times over."""
    assert estimate(*photos(CROOKED, (300.0, 310.0, 320.0, 330.0, 900.0), 97.0)) is NoClock.TOO_FEW


def test_photos_from_elsewhere_are_not_on_the_track() -> None:
    shown, east, north = photos(CROOKED, TAKEN_S, 0.0)

    assert estimate(shown, east + 9_000.0, north) is NoClock.NOT_ON_TRACK


def test_photos_of_another_day_are_not_pulled_onto_the_track() -> None:
    """No zone is a day off."""
    assert estimate(*photos(CROOKED, TAKEN_S, 30 * HOUR_S)) is NoClock.NOT_ON_TRACK


def test_somebody_who_never_moved_could_have_taken_them_at_any_time() -> None:
    standing = TimedPath(time_s=TIME_S, east_m=0.0 * TIME_S, north_m=0.0 * TIME_S)

    assert estimate(*photos(standing, TAKEN_S, 0.0), paths=(standing,)) is NoClock.AMBIGUOUS


def test_a_round_walked_twice_fits_twice() -> None:
    """Either round would do: no offset is better than the other."""
    round_m = 2.0 * np.pi * TIME_S / 1500.0
    twice = TimedPath(time_s=TIME_S, east_m=300 * np.cos(round_m), north_m=300 * np.sin(round_m))
    taken = photos(twice, (300.0, 700.0, 1100.0), 0.0)

    assert estimate(*taken, paths=(twice,)) is NoClock.AMBIGUOUS


def test_what_the_photos_do_not_rule_out_is_not_corrected() -> None:
    """The best error is minutes off, but on so slow a walk a right clock fits about as well."""
    slow = TimedPath(time_s=TIME_S, east_m=0.03 * TIME_S, north_m=0.0 * TIME_S)
    answer = estimate(*photos(slow, (700.0, 1500.0, 2300.0), 150.0, noise_m=1.0), paths=(slow,))

    assert isinstance(answer, ClockEstimate)
    assert abs(answer.ahead_s) > 60.0
    assert not answer.is_clear


def test_a_clock_set_to_another_week_is_looked_for_around_what_is_stated() -> None:
    week_s = 7 * 24 * HOUR_S
    answer = found(*photos(CROOKED, TAKEN_S, week_s + 97.0), stated_s=week_s)

    assert answer.ahead_s == pytest.approx(week_s + 97.0, abs=8.0)


def test_photos_taken_elsewhere_during_the_walk_speak_against_it() -> None:
    """Three fit, three others were certainly not there: the best error of many is luck."""
    shown, east, north = photos(CROOKED, (300.0, 600.0, 900.0, 1200.0, 1500.0, 1800.0), 97.0)
    east[::2] += 2_000.0

    assert estimate(shown, east, north) is NoClock.CONTRADICTED


def test_a_few_photos_off_the_track_pull_at_nothing() -> None:
    shown, east, north = photos(CROOKED, (*TAKEN_S, 600.0, 2000.0), 97.0)
    north[-1] += 400.0

    answer = found(shown, east, north)

    assert answer.count == 5
    assert answer.low_s <= 97.0 <= answer.high_s


@pytest.mark.parametrize("hours", [1.0, -2.0, 5.75])
def test_a_wrong_zone_is_recognised(hours: float) -> None:
    answer = found(*photos(CROOKED, TAKEN_S, hours * HOUR_S + 2.0))

    assert answer.zone_error_s == hours * HOUR_S


def test_a_clock_that_is_merely_wrong_is_no_zone() -> None:
    assert found(*photos(CROOKED, TAKEN_S, 1800.0 + 90.0)).zone_error_s == 0.0
    assert found(*photos(CROOKED, TAKEN_S, 2.0)).zone_error_s == 0.0


def test_what_is_known_only_roughly_is_no_zone() -> None:
    """An interval of half an hour would hold some quarter of an hour whatever the clock said."""
    slow = TimedPath(time_s=TIME_S, east_m=0.03 * TIME_S, north_m=0.0 * TIME_S)
    taken = photos(slow, (700.0, 1500.0, 2300.0), 900.0, noise_m=1.0)
    answer = estimate(*taken, paths=(slow,))

    assert isinstance(answer, ClockEstimate)
    assert answer.high_s - answer.low_s > 300.0
    assert answer.zone_error_s == 0.0


def test_the_estimate_is_set_against_what_is_stated() -> None:
    """A stated error that fits is not contradicted; one that does not is."""
    taken = photos(CROOKED, TAKEN_S, 97.0)

    assert not found(*taken, stated_s=95.0).is_clear
    assert found(*taken, stated_s=-97.0).is_clear
    assert found(*taken, stated_s=-97.0).stated_residual_m > 100.0


def test_nothing_is_taken_from_across_a_gap_of_the_track() -> None:
    """A straight line across an hour's pause is no place where anybody was."""
    holey = TimedPath(
        time_s=np.array([0.0, 3000.0]), east_m=np.array([0.0, 3900.0]), north_m=np.zeros(2)
    )
    taken = photos(holey, TAKEN_S, 0.0)

    assert estimate(*taken, paths=(holey,)) is NoClock.NOT_ON_TRACK
    assert isinstance(estimate(*taken, paths=(holey,), longest_gap_s=4000.0), ClockEstimate)


def test_without_a_track_there_is_nothing_to_fit() -> None:
    assert estimate(*photos(CROOKED, TAKEN_S, 0.0), paths=()) is NoClock.NOT_ON_TRACK


def test_photos_without_a_time_or_place_are_left_out() -> None:
    shown, east, north = photos(CROOKED, (*TAKEN_S, 2000.0), 97.0)
    shown[0] = east[1] = np.nan

    assert found(shown, east, north).count == 3


def test_rows_that_do_not_belong_together_are_refused() -> None:
    with pytest.raises(DomainError):
        estimate(np.zeros(3), np.zeros(3), np.zeros(2))
