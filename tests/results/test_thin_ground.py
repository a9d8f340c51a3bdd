"""Where few frames were sent: by hand-made squares around a station."""

from __future__ import annotations

import pandas as pd
import pytest

from reportgen.match.join import Joined, join
from reportgen.model.columns import CELLS
from reportgen.read.folder import read_campaign
from reportgen.results.figure import Figure
from reportgen.results.thin_ground import thin_figures
from tests.campaigns.made import write


@pytest.fixture(scope="module")
def joined(tmp_path_factory: pytest.TempPathFactory) -> Joined:
    return join(read_campaign(write(tmp_path_factory.mktemp("thin") / "c", "Thin", rows=())))


def squares(*rows: tuple[float, float, int, float, float]) -> pd.DataFrame:
    """Return squares of (column, row, frames sent, low, high end of their delivery)."""
    table = pd.DataFrame(
        [
            {
                "walk": "", "station": "pier", "is_own": True, "cell_m": 100.0,
                "east_m": 100.0 * column, "north_m": 100.0 * row, "walked_m": 100.0,
                "frames_sent": sent, "frames_heard": 0, "delivery_ratio": 0.0,
                "delivery_low_ratio": low, "delivery_high_ratio": high, "signal_dbm": None,
                "margin_db": None, "is_below_limit": True,
            }
            for column, row, sent, low, high in rows
        ]
    )  # fmt: skip
    return CELLS.of(table)


def by_name(joined: Joined, cells: pd.DataFrame) -> dict[str, Figure]:
    return {f.name.rsplit(".", 1)[1]: f for f in thin_figures(joined, cells)}


def test_squares_with_wide_intervals_are_counted_and_placed(joined: Joined) -> None:
    """Two thin squares due east at 450 and 850 m, one north; a well-known and an empty one."""
    found = by_name(
        joined,
        squares(
            (4, -0.5, 2, 0.1, 0.9), (8, -0.5, 1, 0.2, 1.0), (-0.5, 3, 3, 0.0, 0.6),
            (2, -0.5, 40, 0.8, 0.95), (6, -0.5, 0, 0.0, 1.0),
        ),
    )  # fmt: skip

    assert found["squares"].value == 3
    assert found["bearing_deg"].value == 90.0
    assert found["nearest_m"].value == pytest.approx(450.0)
    assert found["farthest_m"].value == pytest.approx(850.0)


def test_ground_that_is_known_well_asks_for_nothing(joined: Joined) -> None:
    found = by_name(joined, squares((2, 0, 40, 0.8, 0.95)))

    assert found["squares"].value == 0
    assert found["bearing_deg"].absent_reason == "none-there"


def test_without_squares_nothing_is_said(joined: Joined) -> None:
    assert by_name(joined, CELLS.empty())["squares"].absent_reason == "nothing-sent"
