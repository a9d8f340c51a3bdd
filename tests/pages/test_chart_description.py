from __future__ import annotations

from dataclasses import replace

import pytest

from reportgen.pages.charts.description import Axis, DataTable, LineSeries, LineStyle, Mark
from tests.pages.chart_samples import chart, photo, points


@pytest.mark.parametrize("bad", [float("nan"), float("inf")])
def test_a_number_that_is_missing_is_refused_before_anything_is_drawn(bad: float) -> None:
    """A NaN in a path makes a browser drop the rest of it, marks and all."""
    with pytest.raises(AssertionError, match="missing or infinite"):
        points((1.0, bad), (1.0, 2.0))


def test_columns_of_one_series_are_of_one_length() -> None:
    with pytest.raises(AssertionError, match="differ in length"):
        replace(points((1.0, 2.0), (1.0, 2.0)), ids=("f1",))


def test_a_line_style_is_no_mark_for_points() -> None:
    with pytest.raises(AssertionError, match="no mark for points"):
        points((1.0,), (1.0,), mark=Mark.TRACK)


def test_an_axis_without_length_is_refused() -> None:
    with pytest.raises(AssertionError, match="no way from"):
        Axis(label="RSSI", unit="dBm", kind="linear", low=-80.0, high=-80.0)


def test_a_logarithmic_axis_begins_above_zero() -> None:
    with pytest.raises(AssertionError, match="no way from"):
        Axis(label="Distance", unit="m", kind="log", low=0.0, high=100.0)


@pytest.mark.parametrize(
    "href", ["javascript:alert(1)", "https://example.org/", "//example.org", "\\\\host\\share"]
)
def test_a_photo_leads_nowhere_but_into_the_site(href: str) -> None:
    """The page follows this address on a click."""
    with pytest.raises(AssertionError, match="leads out of the site"):
        replace(photo(1, 0.0, 0.0), href=href)


def test_a_key_that_could_not_be_an_id_is_refused() -> None:
    with pytest.raises(AssertionError, match="no plain name"):
        replace(chart(), key='x" onload="')


def test_a_table_with_a_short_row_is_refused() -> None:
    with pytest.raises(AssertionError, match="rows and headings"):
        DataTable(headings=("a", "b"), rows=(("1",),))


def test_a_broken_line_falls_into_its_pieces() -> None:
    line = LineSeries(
        name="t", style=LineStyle.TRACK, x=(0.0, 1.0, 5.0, 6.0), y=(0.0,) * 4, breaks=(2,)
    )

    assert line.pieces() == (((0.0, 0.0), (1.0, 0.0)), ((5.0, 0.0), (6.0, 0.0)))
