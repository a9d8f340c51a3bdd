from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from reportgen.results.delivery import (
    WalkedGround,
    delivery_figures,
    heard_of_sent_there,
    reach_end,
    reach_prefix,
)
from reportgen.results.figure import Figure, Maker

MAKE = Maker(path="walk.loop.station.roof")


def frames(*rows: tuple[int, float, float]) -> pd.DataFrame:
    """Return frames of (counter, distance_m, bearing_deg); a counter below 0 is unknown."""
    table = pd.DataFrame(rows, columns=["counter", "distance_m", "bearing_deg"])
    table["frame"] = pd.Series(range(len(table)), dtype="Int64")
    table["is_doubtful"] = False
    table["walk"], table["node"] = "loop", "n"
    table["latitude_deg"], table["longitude_deg"], table["along_m"] = np.nan, np.nan, np.nan
    table["time_utc"] = pd.NaT
    counters = table["counter"].astype("Int64")
    table["counter"] = counters.mask(counters < 0)
    table["is_counted"] = table["counter"].notna()
    table["uncounted"] = np.where(table["is_counted"], "", "no counter")
    return table


def heard(table: pd.DataFrame, *numbers: int) -> pd.DataFrame:
    return table[table["frame"].isin(numbers)]


def by_name(figures: list[Figure]) -> dict[str, Figure]:
    return {figure.name.rsplit(".", 1)[1]: figure for figure in figures}


def test_delivery_ratio_is_heard_over_sent_with_its_count() -> None:
    table = frames((1, 10, 0), (2, 20, 0), (3, 30, 0), (4, 40, 0))

    found = by_name(delivery_figures(MAKE, table, heard(table, 0, 1, 2)))

    assert found["delivery_ratio"].value == pytest.approx(0.75)
    assert found["delivery_ratio"].count == 4
    assert found["frames_missed"].value == 1


def test_without_counters_there_is_no_ratio() -> None:
    """All heard of all recorded would read as 100 %, which nobody knows."""
    table = frames((-1, 10, 0), (-1, 20, 0))

    found = by_name(delivery_figures(MAKE, table, heard(table, 0, 1)))

    assert found["delivery_ratio"].absent_reason == "no-counter"
    assert found["frames_sent"].absent_reason == "no-counter"


def test_a_frame_that_a_broken_row_names_is_neither_heard_nor_missed() -> None:
    """The station wrote it down; only the level can't be read."""
    table = frames((1, 10, 0), (2, 20, 0), (3, 30, 0), (4, 40, 0))
    table["is_doubtful"] = [False, False, True, False]

    found = by_name(delivery_figures(MAKE, table, heard(table, 0, 1)))

    assert found["frames_sent"].value == 4
    assert found["frames_missed"].value == 1
    assert (found["delivery_ratio"].value, found["delivery_ratio"].prefix) == (0.5, "at least")


def test_frames_heard_without_their_counter_leave_no_ratio() -> None:
    """Each leaves a gap that looks like a miss, though it was heard."""
    table = frames((1, 10, 0), (-1, 20, 0), (3, 30, 0), (-1, 40, 0), (5, 50, 0))

    found = by_name(delivery_figures(MAKE, table, heard(table, 0, 1, 2, 3, 4)))

    assert found["delivery_ratio"].absent_reason == "some-counters"


def test_counters_that_nobody_can_follow_leave_no_ratio() -> None:
    table = frames((1, 10, 0), (2000, 20, 0)).assign(is_counted=False, uncounted="unsteady counter")

    found = by_name(delivery_figures(MAKE, table, heard(table, 0, 1)))

    assert found["delivery_ratio"].absent_reason == "unsteady-counter"


def ground(*places: tuple[float, float]) -> WalkedGround:
    """Return walked places of (distance_m, bearing_deg)."""
    away, bearing = zip(*places, strict=True)
    return WalkedGround(distance_m=np.array(away), bearing_deg=np.array(bearing))


NEAR = ground((0.0, 0.0), (310.0, 12.0), (900.0, 90.0))
"""Walked a step past 300 m to the north, and far out to the east."""


def test_nobody_farther_out_that_way_leaves_the_reach_open() -> None:
    table = frames((1, 100, 10), (2, 300, 10), (3, 500, 90))

    end = reach_end(table, heard(table, 0, 1), NEAR)

    assert end == "not walked beyond"
    assert reach_prefix(end) == "at least"


def test_walking_on_without_a_frame_known_to_be_sent_is_no_end_either() -> None:
    """The node may have been off, or still silent before its first heard frame."""
    table = frames((1, 100, 88), (2, 300, 88))

    end = reach_end(table, heard(table, 0, 1), NEAR)

    assert end == "sending not known"
    assert reach_prefix(end) == "at least"


def test_a_frame_missed_farther_out_the_same_way_ends_the_reach() -> None:
    """The sector goes across north: 355 and 5 degrees are the same way."""
    table = frames((1, 100, 355), (2, 300, 355), (3, 500, 5))

    end = reach_end(table, heard(table, 0, 1), NEAR)

    assert end == "missed beyond"
    assert reach_prefix(end) == ""


def test_an_end_where_nearly_all_was_missed_is_no_open_end() -> None:
    """Two of 40 heard from one bench, and nobody beyond: no lower bound, but where it fails."""
    table = frames(*((n, 300, 10) for n in range(40)), (40, 100, 10), (41, 300, 90))

    end = reach_end(table, heard(table, 0, 1, 40), NEAR)

    assert end == "missed there"
    assert reach_prefix(end) == ""
    assert heard_of_sent_there(table, heard(table, 0, 1, 40)) == (2, 40)


def test_frames_in_doubt_are_neither_heard_nor_missed_there() -> None:
    table = frames(*((n, 300, 10) for n in range(10)))
    table["is_doubtful"] = [False, False, *[True] * 8]

    assert heard_of_sent_there(table, heard(table, 0)) == (1, 2)


def test_nothing_heard_has_no_end_and_no_prefix() -> None:
    table = frames((1, 100, 0))

    assert reach_end(table, heard(table), NEAR) == ""
    assert reach_prefix("") == ""
