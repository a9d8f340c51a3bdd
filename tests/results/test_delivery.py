from __future__ import annotations

import pandas as pd
import pytest

from reportgen.results.delivery import delivery_figures, farthest_prefix
from reportgen.results.figure import Figure, Maker

MAKE = Maker(path="walk.loop.station.roof")


def frames(*rows: tuple[int, float, float]) -> pd.DataFrame:
    """Return frames of (counter, distance_m, bearing_deg); a counter below 0 is unknown."""
    table = pd.DataFrame(rows, columns=["counter", "distance_m", "bearing_deg"])
    table["frame"] = pd.Series(range(len(table)), dtype="Int64")
    counters = table["counter"].astype("Int64")
    table["counter"] = counters.mask(counters < 0)
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


def test_nothing_missed_beyond_makes_the_reach_at_least() -> None:
    table = frames((1, 100, 10), (2, 300, 10), (3, 500, 90))

    assert farthest_prefix(table, heard(table, 0, 1)) == "at least"


def test_a_frame_missed_farther_out_the_same_way_ends_the_reach() -> None:
    table = frames((1, 100, 355), (2, 300, 355), (3, 500, 5))

    assert farthest_prefix(table, heard(table, 0, 1)) == ""


def test_nothing_heard_has_no_prefix() -> None:
    table = frames((1, 100, 0))

    assert farthest_prefix(table, heard(table)) == ""
