"""The ruler above a photo and the rose beside one."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from typing import Literal

import pytest

from reportgen.pages.charts.bearing_strip import BearingStrip, strip_drawing
from reportgen.pages.charts.compass_rose import SIDE, rose_drawing

STRIP = BearingStrip(
    heading_deg=350.0,
    field_of_view_deg=60.0,
    share=0.5,
    low=0.4,
    high=0.6,
    side="right",
    label="Pier 350°",
    spoken="Pier stands in the middle <of it>.",
)


def degrees(drawing: str) -> dict[str, float]:
    """Return where each label of the ruler stands, in percent."""
    pattern = r'class="strip-degree" x="([\d.]+)%"[^>]*>(\d+)°'
    return {label: float(x) for x, label in re.findall(pattern, drawing)}


def test_the_ruler_counts_on_through_north() -> None:
    assert list(degrees(strip_drawing(STRIP))) == ["330", "340", "350", "000", "010"]


def test_degrees_are_spaced_by_their_tangent() -> None:
    """20 degrees off the middle of 60 lie at 0.5 + tan 20 / (2 tan 30) of the width."""
    assert degrees(strip_drawing(STRIP))["010"] == pytest.approx(81.52, abs=0.01)


@pytest.mark.parametrize("view_deg", [3.0, 12.0, 23.0, 65.0, 85.0, 108.0, 150.0])
def test_labels_have_room_on_a_small_telephone(view_deg: float) -> None:
    """And there is always one that says where the ruler is."""
    places = list(degrees(strip_drawing(replace(STRIP, field_of_view_deg=view_deg))).values())

    steps = [right - left for left, right in pairwise(places)]
    assert places
    assert min(steps, default=100.0) >= 100 * 30 / 320


def test_letters_keep_their_size_at_any_width() -> None:
    """A view box would shrink them on a telephone."""
    drawing = strip_drawing(STRIP)

    assert "viewBox" not in drawing
    assert 'width="100%"' in drawing


def test_what_is_read_aloud_is_escaped() -> None:
    assert 'aria-label="Pier stands in the middle &lt;of it&gt;."' in strip_drawing(STRIP)


def test_the_pointers_doubt_is_drawn_as_wide_as_it_is() -> None:
    assert 'class="strip-doubt" x="40.00%" y="41" width="20.00%"' in strip_drawing(STRIP)


@pytest.mark.parametrize(("side", "edge"), [("left", "0.00%"), ("right", "100.00%")])
def test_a_station_outside_is_pointed_out_at_its_edge(
    side: Literal["left", "right"], edge: str
) -> None:
    outside = replace(STRIP, share=None, low=None, high=None, side=side, label="34° to it")

    drawing = strip_drawing(outside)

    assert f'<svg x="{edge}"' in drawing
    assert "34° to it" in drawing
    assert "strip-doubt" not in drawing


@pytest.mark.parametrize(("share", "anchor"), [(0.01, None), (0.5, "middle"), (0.99, "end")])
def test_the_label_stays_inside_the_picture(share: float, anchor: str | None) -> None:
    drawing = strip_drawing(replace(STRIP, share=share))

    label = re.search(r'<text class="strip-label"[^>]*>', drawing)
    assert label is not None
    found = re.search(r'text-anchor="(\w+)"', label.group())
    assert (found.group(1) if found else None) == anchor


@pytest.mark.parametrize(
    ("bearing_deg", "x", "y"), [(0.0, 46.0, 17.0), (90.0, 75.0, 46.0), (270.0, 17.0, 46.0)]
)
def test_the_rose_points_where_the_bearing_says(bearing_deg: float, x: float, y: float) -> None:
    """North is up and east is right: bearings run clockwise."""
    drawing = rose_drawing(bearing_deg, north="N", spoken="there")

    needle = re.search(r'class="strip-pointer" d="M([\d.]+) ([\d.]+)L', drawing)
    assert needle is not None
    assert [float(part) for part in needle.groups()] == [x, y]
    assert SIDE == 92.0
