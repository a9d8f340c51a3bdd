"""The ground in squares: silent ground differs from ground that nobody walked."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

from reportgen.match.join import join
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import assemble
from reportgen.results.cells import CELL_COLUMNS, cells_table
from tests.campaigns.made import LINE, row, track, write


def cells(folder: Path, *rows: str) -> pd.DataFrame:
    campaign = read_campaign(write(folder, "Cells", rows=rows, gpx=track(*LINE)))
    results = assemble(join(campaign))
    return cells_table(results.joined, results.walks)


def test_every_frame_stands_in_one_cell_and_walked_ground_without_any_too(tmp_path: Path) -> None:
    """A track of 780 m north; frames from 0 to 390 m, each second one heard by a stranger only."""
    rows = [row(10 * n, n, 13 * n, station="gw-1" if n % 2 else "gw-9") for n in range(30)]

    table = cells(tmp_path / "c", *rows)

    assert list(table.columns) == list(CELL_COLUMNS)
    assert table["frames_sent"].sum() == 30
    assert table["frames_heard"].sum() == 15
    empty = table[table["frames_sent"] == 0]
    assert set(empty["north_m"]) >= {400.0, 500.0, 600.0, 700.0}
    assert (empty["walked_m"] > 0).all()
    assert empty["signal_dbm"].isna().all()


def test_ground_where_most_was_missed_is_below_the_limit_and_not_at_a_level(
    tmp_path: Path,
) -> None:
    rows = [row(5 * n, n, 150 + n, station="gw-1" if n < 3 else "gw-9") for n in range(12)]

    table = cells(tmp_path / "c", *rows)
    silent = table[table["frames_sent"] > 0]

    assert silent["is_below_limit"].all()
    assert silent["signal_dbm"].isna().all()
