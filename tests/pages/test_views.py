"""The finished pieces that templates put in place."""

from __future__ import annotations

from reportgen.pages.views import Grid, headings, text_cell


def test_each_cell_of_a_table_knows_the_heading_above_it() -> None:
    """On a phone a row stands by itself: without its heading a number there means nothing."""
    table = Grid(
        caption="Walks",
        headings=headings("Walk", "Heard"),
        rows=((text_cell("North", heading=True), text_cell("12")),),
    )

    placed = [(item.label, item.cell.text) for row in table.placed_rows for item in row]

    assert placed == [("Walk", "North"), ("Heard", "12")]
