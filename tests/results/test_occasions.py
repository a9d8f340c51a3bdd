"""When repeats say how days differ, and when they only say how one hour was."""

from __future__ import annotations

import datetime as dt

import pytest

from reportgen.model.columns import DOWNLINKS, FRAMES, RECEPTIONS, TRACK_POINTS
from reportgen.model.walk import Walk
from reportgen.results.occasions import is_one_day, occasions
from reportgen.results.walks import WalkResult

ZONE = "Atlantic/Azores"


def walked(key: str, day: int | None, hour: int = 10) -> WalkResult:
    """Return a walk that began on a day of March, at an hour of UTC."""
    start = None if day is None else dt.datetime(2026, 3, day, hour, tzinfo=dt.UTC)
    return WalkResult(
        walk=Walk(key=key, title=key), track=TRACK_POINTS.empty(), frames=FRAMES.empty(),
        receptions=RECEPTIONS.empty(), downlinks=DOWNLINKS.empty(), stations=(), data_rates=(),
        nodes=(), start_utc=start, end_utc=start, photos=(),
        ground={},
    )  # fmt: skip


def least(first: list[WalkResult], second: list[WalkResult]) -> int:
    """Return on how many occasions the setting was walked that was walked on fewer."""
    found = occasions(first, second, ZONE)
    return min(len({found[item.walk.key] for item in side}) for side in (first, second))


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ([(1, 10), (2, 10)], [(3, 10), (4, 10)], 2),
        # All of one setting on one day, all of the other on the next: the day is in it.
        ([(1, 10), (1, 12)], [(2, 10), (2, 12)], 1),
        # One after the other within a day, in blocks: the hour is in it.
        ([(1, 10), (1, 11)], [(1, 12), (1, 13)], 1),
        # In turn on one day.
        ([(1, 10), (1, 12)], [(1, 11), (1, 13)], 2),
        # A setting walked once is walked once.
        ([(1, 10), (2, 10), (3, 10)], [(4, 10)], 1),
    ],
)
def test_repeats_count_by_occasion(
    first: list[tuple[int, int]], second: list[tuple[int, int]], expected: int
) -> None:
    a = [walked(f"a{n}", *at) for n, at in enumerate(first)]
    b = [walked(f"b{n}", *at) for n, at in enumerate(second)]

    assert least(a, b) == expected


def test_a_walk_without_time_is_no_occasion_of_its_own() -> None:
    assert least([walked("a", 1), walked("b", None)], [walked("c", 2), walked("d", 3)]) == 1


def test_walks_without_any_time_are_one_occasion_a_side_and_not_the_same() -> None:
    found = occasions([walked("a", None), walked("b", None)], [walked("c", None)], ZONE)

    assert found["a"] == found["b"] != found["c"]


def test_days_are_those_of_the_campaigns_zone() -> None:
    """Half past midnight UTC is still the evening before in the Azores."""
    late, next_morning = walked("a", 1, 23), walked("b", 2, 0)

    assert is_one_day([late, next_morning], ZONE)
    assert not is_one_day([late, next_morning], "UTC")
