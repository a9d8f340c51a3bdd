"""What can be switched on a map, from a campaign folder on."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from reportgen.model.columns import CELLS
from reportgen.pages import map_layers as map_layers_module
from reportgen.pages.charts.layers import ALL, Ground
from reportgen.pages.context import Context
from reportgen.pages.downloads import downloads
from reportgen.pages.map_layers import map_layers, squares_table
from reportgen.pages.maps import campaign_map, others_map, walk_map
from reportgen.pages.method_page import method_page_view
from tests.campaigns.made import EDGES, LINE, row, track, write
from tests.made_results import EXAMPLE
from tests.pages.made_context import context_of


def walked(folder: Path) -> Context:
    """A walk of 780 m: heard on the first 200, heard by a stranger only on the next 190."""
    rows = [row(10 * n, n, 13 * n, station="gw-1" if n < 16 else "gw-9") for n in range(30)]
    return context_of(write(folder, "Layers", rows=tuple(rows), gpx=track(*LINE)))


def test_squares_say_heard_of_sent_with_the_interval_of_the_share(tmp_path: Path) -> None:
    context = walked(tmp_path / "c")
    layers = map_layers(context, context.results.walks)

    assert layers is not None
    own, others = layers.squares
    hovers = {square.y: square.hover.replace("\u202f", " ") for square in own.squares}
    assert hovers[0.0].startswith(
        "8 of 8 frames heard\n100 % (95 % interval 68 % to 100 %)\nmedian"
    )
    assert hovers[300.0].startswith("0 of 6 frames heard\n0 %")
    assert "median below the limit" in hovers[300.0]
    assert hovers[600.0].startswith("no frame known to be sent\n")
    assert "%" not in "".join(square.hover for square in others.squares)
    assert [square.hover.split(": ")[1] for square in others.squares] == ["8", "6"]


def test_the_numbers_behind_the_map_hold_every_square(tmp_path: Path) -> None:
    context = walked(tmp_path / "c")
    table = squares_table(context, context.results.walks)
    cells = context.results.cells

    assert table is not None
    assert len(table.rows) == cells["is_own"].sum()
    first = [text.replace("\u202f", " ") for text in table.rows[0]]
    assert first[0] == "0 / 0"
    assert first[2:6] == ["8", "8", "100 %", "68 % to 100 %"]
    assert sum(bool(row[-1]) for row in table.rows) == (~cells["is_own"]).sum()


def test_a_signal_without_a_known_limit_is_shown_as_a_signal(tmp_path: Path) -> None:
    """Squares take the scale of the marks: a margin would have no place on one in dBm."""
    rows = [row(10 * n, n, 13 * n).replace(",5,7,", ",,,") for n in range(12)]
    context = context_of(write(tmp_path / "c", "No SNR", rows=tuple(rows)))
    layers = map_layers(context, context.results.walks)

    assert layers is not None
    assert [choice.label for choice in layers.grounds][1] == "signal (median)"
    assert {square.level for square in layers.squares[0].squares} == {-72.5, -76.0}


def test_a_level_that_nobody_recorded_is_not_offered(tmp_path: Path) -> None:
    rows = [row(10 * n, n, 13 * n).replace(",5,7,", ",,,") for n in range(12)]
    bare = [re.sub(r",-\d+,,,", ",,,,", text) for text in rows]
    context = context_of(write(tmp_path / "c", "No level", rows=tuple(bare)))
    grounds = [option.value for option in campaign_map(context).layers.grounds]

    assert grounds == [Ground.NOTHING, Ground.SHARE]


def test_campaigns_with_nothing_to_switch_have_no_control(tmp_path: Path) -> None:
    """No walks: no controls. A walk on which nothing was sent: none either."""
    for name in ("no-walks", "nothing-heard"):
        context = context_of(EDGES[name](tmp_path / name))

        assert not campaign_map(context).layers.is_there, name


def test_what_others_heard_is_offered_where_the_own_station_heard_nothing(tmp_path: Path) -> None:
    context = context_of(EDGES["only-others"](tmp_path / "c"))
    grounds = [option.value for option in campaign_map(context).layers.grounds]

    assert Ground.OTHERS in grounds


def test_maps_of_others_and_of_photos_have_no_layers(tmp_path: Path) -> None:
    context = walked(tmp_path / "c")

    assert walk_map(context, context.results.walks[0]).layers.is_there
    assert not others_map(context).layers.is_there


def test_columns_of_the_squares_stand_on_the_page_of_methods_and_in_the_file(
    tmp_path: Path,
) -> None:
    context = walked(tmp_path / "c")
    (table,) = [grid for grid in method_page_view(context).tables if "cells" in grid.caption]
    (file,) = [item for item in downloads(context) if item.path.endswith("cells.csv")]

    assert [cells[0].text for cells in table.rows] == CELLS.names
    assert file.content.decode("utf-8").splitlines()[0].split(",") == CELLS.names
    assert file.content.decode("utf-8").count("\r\n") == file.count + 1


def test_squares_of_many_walks_are_left_to_their_pages(monkeypatch: pytest.MonkeyPatch) -> None:
    """The map of all walks says so; each walk can still be chosen."""
    context = context_of(EXAMPLE)
    whole = map_layers(context, context.results.walks)
    monkeypatch.setattr(map_layers_module, "MOST_SQUARES", 10)
    less = map_layers(context, context.results.walks)
    note = campaign_map(context).note

    assert whole is not None
    assert less is not None
    assert {layer.walk for layer in less.squares} == {ALL} < {layer.walk for layer in whole.squares}
    assert less.walks == whole.walks
    assert "those of one walk stand on its own page" in note
    assert "own page" not in walk_map(context, context.results.walks[0]).note
