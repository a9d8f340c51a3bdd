"""The ground in squares: silent ground differs from ground that nobody walked."""

from __future__ import annotations

import math
from pathlib import Path

import pandas as pd
import pytest

from reportgen.match.join import join
from reportgen.model.columns import CELLS
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import assemble
from reportgen.results.cells import ALL_WALKS
from tests.campaigns.made import LINE, row, track, write

SECOND_WALK = """\
  again: {title: Again, nodes: [buoy], logs: [again.csv]}
"""


def cells(folder: Path, *rows: str, again: tuple[str, ...] = ()) -> pd.DataFrame:
    """Return the table; `again` are rows of a second walk, without a track."""
    campaign = write(folder, "Cells", rows=rows, gpx=track(*LINE))
    description = campaign / "campaign.yaml"
    text = description.read_text("utf-8")
    text = text.replace("    ids: [gw-1]\n", "    ids: [gw-1]\n    noise_figure_db: 6\n")
    if again:
        heading = (campaign / "log.csv").read_text("utf-8").splitlines()[0]
        (campaign / "again.csv").write_text("\n".join([heading, *again]) + "\n", encoding="utf-8")
        text += SECOND_WALK
    description.write_text(text, encoding="utf-8")
    return assemble(join(read_campaign(campaign))).cells


def own(table: pd.DataFrame) -> pd.DataFrame:
    return table[table["is_own"]]


def test_every_frame_stands_in_one_cell_and_walked_ground_without_any_too(tmp_path: Path) -> None:
    """A track of 780 m north; frames from 0 to 390 m, each second one heard by a stranger only."""
    rows = [row(10 * n, n, 13 * n, station="gw-1" if n % 2 else "gw-9") for n in range(30)]

    table = own(cells(tmp_path / "c", *rows))

    assert list(table.columns) == CELLS.names
    assert table["frames_sent"].sum() == 30
    assert table["frames_heard"].sum() == 15
    empty = table[table["frames_sent"] == 0]
    assert set(empty["north_m"]) >= {400.0, 500.0, 600.0, 700.0}
    assert (empty["walked_m"] > 0).all()
    assert empty["signal_dbm"].isna().all()
    assert empty["delivery_ratio"].isna().all()
    assert not empty["is_below_limit"].any()


def test_ground_where_most_was_missed_is_below_the_limit_and_not_at_a_level(
    tmp_path: Path,
) -> None:
    rows = [row(5 * n, n, 150 + n, station="gw-1" if n < 3 else "gw-9") for n in range(12)]

    table = own(cells(tmp_path / "c", *rows))
    silent = table[table["frames_sent"] > 0]

    assert silent["is_below_limit"].all()
    assert silent["signal_dbm"].isna().all()
    assert silent["margin_db"].isna().all()


def test_delivery_of_a_cell_has_its_interval(tmp_path: Path) -> None:
    """Of 10 frames 9 heard: Wilson's interval by hand, with z = 1.96."""
    rows = [row(5 * n, n, 110 + n, station="gw-9" if n == 4 else "gw-1") for n in range(10)]

    (cell,) = own(cells(tmp_path / "c", *rows)).query("frames_sent > 0").to_dict("records")
    z2 = 1.959964**2
    centre = (0.9 + z2 / 20) / (1 + z2 / 10)
    spread = math.sqrt(z2 * (0.09 / 10 + z2 / 400)) / (1 + z2 / 10)

    assert cell["delivery_ratio"] == pytest.approx(0.9)
    assert cell["delivery_low_ratio"] == pytest.approx(centre - spread, abs=1e-6)
    assert cell["delivery_high_ratio"] == pytest.approx(centre + spread, abs=1e-6)


def test_margin_is_the_signal_over_what_the_receiver_needs(tmp_path: Path) -> None:
    """Median RSSI -76 dBm at 5 dB SNR (signal -77.2) over SF7 in 125 kHz.

    Thermal noise -174 + 51 dBm, a noise figure of 6 dB and a limit of -7.5 dB make
    -124.5 dBm: 47.3 dB of room.
    """
    rows = [row(5 * n, n, 110 + n) for n in range(11)]

    (cell,) = own(cells(tmp_path / "c", *rows)).query("frames_sent > 0").to_dict("records")

    assert cell["signal_dbm"] == pytest.approx(-77.2, abs=0.06)
    assert cell["margin_db"] == pytest.approx(47.3, abs=0.2)


def test_without_a_noise_figure_the_margin_is_that_of_the_snr(tmp_path: Path) -> None:
    """5 dB over the -7.5 dB that SF7 needs, as the marks on the map have it."""
    rows = tuple(row(5 * n, n, 110 + n) for n in range(5))
    campaign = read_campaign(write(tmp_path / "c", "No noise figure", rows=rows))
    table = assemble(join(campaign)).cells

    assert list(table["margin_db"]) == [12.5]


def test_a_missed_frame_pulls_the_margin_down_though_it_has_none(tmp_path: Path) -> None:
    """The median of what was heard alone would be the same with misses and without."""
    frames = [(n, 110 + 20 * (n % 5)) for n in range(15)]
    missed = {1, 5, 6, 10, 11}
    full = [row(5 * n, n, north_m) for n, north_m in frames]
    gappy = [row(5 * n, n, m, station="gw-9" if n in missed else "gw-1") for n, m in frames]

    (whole,) = own(cells(tmp_path / "a", *full)).query("frames_sent > 0")["margin_db"]
    (thinned,) = own(cells(tmp_path / "b", *gappy)).query("frames_sent > 0")["margin_db"]

    assert thinned == pytest.approx(whole - 2.0)


def test_a_frame_heard_without_a_level_was_heard(tmp_path: Path) -> None:
    """Leaving it out would make the delivery of a good place worse, and its median too low."""
    rows = [row(5 * n, n, 110 + n) for n in range(6)]
    rows[2] = rows[2].replace(",-76,", ",,")

    (cell,) = own(cells(tmp_path / "c", *rows)).query("frames_sent > 0").to_dict("records")

    assert (cell["frames_sent"], cell["frames_heard"]) == (6, 6)
    assert cell["signal_dbm"] < -70


def test_other_stations_have_counts_and_never_a_ratio(tmp_path: Path) -> None:
    """Nobody knows when they were switched off."""
    rows = [row(10 * n, n, 13 * n, station="gw-1" if n % 2 else "gw-9") for n in range(30)]

    table = cells(tmp_path / "c", *rows)
    others = table[~table["is_own"]]

    assert others["frames_heard"].sum() == 15
    assert (others["frames_heard"] > 0).all()
    for name in ("frames_sent", "delivery_ratio", "delivery_high_ratio", "margin_db", "signal_dbm"):
        assert others[name].isna().all()


def test_walks_are_pooled_square_by_square(tmp_path: Path) -> None:
    """Misses of one walk and frames heard on another share the ground."""
    first = [row(5 * n, n, 110 + n, station="gw-1" if n in (0, 5) else "gw-9") for n in range(6)]
    again = tuple(row(90_000 + 5 * n, 500 + n, 110 + n) for n in range(4))

    table = own(cells(tmp_path / "c", *first, again=again)).query("frames_sent > 0")
    (pooled,) = table[table["walk"] == ALL_WALKS].to_dict("records")

    assert list(table["walk"]) == ["loop", "again", ALL_WALKS]
    assert (pooled["frames_sent"], pooled["frames_heard"]) == (10, 6)
    assert pooled["walked_m"] == table.loc[table["walk"] == "loop", "walked_m"].iloc[0]
    assert not pooled["is_below_limit"]


def test_one_walk_alone_is_not_pooled(tmp_path: Path) -> None:
    table = cells(tmp_path / "c", *(row(5 * n, n, 110 + n) for n in range(6)))

    assert set(table["walk"]) == {"loop"}
