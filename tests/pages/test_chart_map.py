from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest

from reportgen.pages.charts import map_drawing
from reportgen.pages.charts.description import MapPicture, MapStation, Mark
from reportgen.pages.charts.ink import NARROW, WIDE, Point, Size
from reportgen.pages.charts.labels import Box, Room
from reportgen.pages.charts.map_layout import (
    SHRUNK,
    STATION,
    extent_of,
    frame_of,
    map_layout,
    ring_radii,
)
from reportgen.pages.charts.marks import arrows, towards
from reportgen.pages.charts.thinning import MOST_POINTS, thinned
from tests.pages.chart_samples import (
    HOSTILE,
    SVG,
    WORDS,
    drawn_map,
    live_map,
    map_of,
    moves,
    parsed,
    paths,
    photo,
    points,
    ring_walk,
)

SIZES = pytest.mark.parametrize("size", [WIDE, NARROW], ids=lambda size: size.name)


def centres(svg: str, mark: str, radius: float) -> list[Point]:
    """Return the centres of circles: each begins at its left end."""
    return [(x + radius, y) for x, y in moves(parsed(svg), mark)]


@SIZES
def test_a_metre_east_is_as_long_as_a_metre_north(size: Size) -> None:
    """Read off the drawing itself: two places 300 m east and 400 m north of the station."""
    view = replace(
        map_of(points((0.0, 300.0, 0.0, 300.0), (0.0, 0.0, 400.0, 400.0))), lines=(), photos=()
    )
    origin, east, north, both = centres(drawn_map(view, size), Mark.HEARD, size.radius)
    per_metre = (east[0] - origin[0]) / 300.0

    assert (origin[1] - north[1]) / 400.0 == pytest.approx(per_metre, abs=0.2 / 300)
    assert math.dist(origin, both) / 500.0 == pytest.approx(per_metre, abs=0.2 / 300)
    assert east[1] == pytest.approx(origin[1], abs=0.11)
    assert north[0] == pytest.approx(origin[0], abs=0.11)


@SIZES
def test_rings_and_scale_bar_are_as_long_as_they_say(size: Size) -> None:
    view = replace(map_of(points((0.0, 300.0), (0.0, 0.0))), lines=(), photos=())
    svg = drawn_map(view, size)
    origin, east = centres(svg, Mark.HEARD, size.radius)
    per_metre = (east[0] - origin[0]) / 300.0
    layout = map_layout(view, size, WORDS)
    (bar,) = paths(parsed(svg), "scale-bar")
    length = float(bar.split("h")[1].split("v")[0])

    for (x, y), (radius_m, _) in zip(moves(parsed(svg), "ring"), layout.rings, strict=True):
        assert origin[0] - x == pytest.approx(radius_m * per_metre, abs=0.6)
        assert y == pytest.approx(origin[1], abs=0.11)
    assert length == pytest.approx(layout.bar_m * per_metre, abs=0.6)
    assert layout.bar.text == f"{layout.bar_m:g}\u202fm"


@SIZES
def test_every_point_is_drawn_once_and_lies_in_the_drawing(size: Size) -> None:
    svg = drawn_map(map_of(), size)
    height = float(parsed(svg).get("viewBox", "").split()[3])
    drawn = centres(svg, Mark.HEARD, size.radius) + centres(svg, Mark.MISSED, size.radius)

    assert len(drawn) == 62
    for x, y in drawn:
        assert size.radius <= x <= size.width - size.radius
        assert size.radius <= y <= height - size.radius


@SIZES
def test_the_ground_fits_what_was_walked(size: Size) -> None:
    """No empty half: the walk takes up most of the drawing one way or the other."""
    view = map_of()
    frame, extent = frame_of(extent_of(view), size), extent_of(view)

    assert max(
        extent.width_m * frame.per_metre / frame.width,
        extent.height_m * frame.per_metre / frame.height,
    ) == pytest.approx(1.0)
    assert extent.width_m < 1.2 * 1000.0


def test_a_thinned_map_keeps_the_farthest_frame() -> None:
    """It carries a headline of the report, whatever its level."""
    count = 11_000
    x, y = ring_walk(count)
    far = (*x[:5002], 900.0, *x[5003:])
    (kept,) = thinned((points(far, y, level=tuple(n % 7.0 for n in range(count))),), by_x=False)

    assert len(kept.x) <= MOST_POINTS
    assert 900.0 in kept.x


def test_a_foreign_station_far_away_does_not_shrink_the_walk() -> None:
    view = map_of()
    far = MapStation(name="far", x=40_000.0, y=0.0, is_own=False)

    assert extent_of(replace(view, stations=(*view.stations, far))) == extent_of(view)


def test_a_walk_of_one_spot_is_still_a_map() -> None:
    view = replace(map_of(points((3.0,), (2.0,))), lines=(), photos=(), areas=())

    assert parsed(drawn_map(view, WIDE)).get("viewBox") == "0 0 1040 749"
    assert len(ring_radii(view)) >= 3


def test_an_empty_map_is_drawn_too() -> None:
    view = replace(map_of(), points=(), lines=(), photos=(), stations=(), areas=())

    assert list(paths(parsed(drawn_map(view, WIDE)), Mark.HEARD)) == []


@SIZES
def test_labels_neither_touch_one_another_nor_leave_the_drawing(size: Size) -> None:
    layout = map_layout(map_of(), size, WORDS)

    assert len(layout.taken) > 8
    for number, box in enumerate(layout.taken):
        assert box.left >= 0
        assert box.top >= 0
        assert box.right <= layout.frame.width
        assert box.bottom <= layout.frame.height
        assert not [other for other in layout.taken[:number] if box.meets(other)]


def test_a_photos_number_keeps_off_a_station_where_the_live_map_shrinks() -> None:
    """Labels keep their distance in pixels from what they name; the ground comes nearer."""
    frame = map_layout(map_of(), WIDE, WORDS).frame
    view = replace(map_of(), photos=(photo(1, 0.0, 75.0 / frame.per_metre, 180.0),))
    layout = map_layout(view, WIDE, WORDS)
    (label,), per_metre = layout.photos, layout.frame.per_metre
    place = layout.frame.place(view.photos[0].x, view.photos[0].y)
    right, down = label.centre[0] - place[0], label.centre[1] - place[1]

    for share in (1.0, SHRUNK):
        from_station = (right, down - view.photos[0].y * per_metre * share)
        assert math.hypot(*from_station) > STATION["wide"] + 0.62 * WIDE.letter


def test_a_ring_without_room_for_its_label_goes_without() -> None:
    """A label on top of marks hides what the map is for."""
    x, y = zip(*((20.0 * i, 20.0 * j) for i in range(-30, 31) for j in range(-20, 21)), strict=True)
    layout = map_layout(map_of(points(x, y)), NARROW, WORDS)

    assert all(label is None for _, label in layout.rings)


def test_view_cones_lie_beneath_the_marks_and_stations_above() -> None:
    """Marks win: a cone must never hide a frame."""
    svg = drawn_map(map_of(), WIDE)

    assert svg.rindex('class="cone"') < svg.index('class="missed"') < svg.index('class="heard"')
    assert svg.rindex('class="heard"') < svg.index('class="station disc"')


def test_a_cone_opens_the_way_the_photo_looked() -> None:
    """Bearings run clockwise from north, and the drawing's down is positive."""
    view = replace(map_of(), photos=(photo(1, 0.0, 300.0, 90.0),))
    (data,) = paths(parsed(drawn_map(view, WIDE)), "cone")
    apex, left = data[1:].split("A")[0].split("L")
    x0, y0, x1, y1 = (float(part) for pair in (apex, left) for part in pair.split())

    assert x1 - x0 == pytest.approx(40.0 * math.cos(math.radians(27.0)), abs=0.11)
    assert y0 - y1 == pytest.approx(40.0 * math.sin(math.radians(27.0)), abs=0.11)


def test_a_photo_without_a_heading_has_no_cone() -> None:
    view = replace(map_of(), photos=(photo(1, 0.0, 300.0),))
    root = parsed(drawn_map(view, WIDE))

    assert list(paths(root, "cone")) == []
    assert len(list(paths(root, "lens"))) == 1


def test_photos_in_a_drawing_are_not_in_the_way_of_the_tab_key() -> None:
    """A drawing with one name is one thing to a screen reader; the key below has the links."""
    links = list(parsed(drawn_map(map_of(), WIDE)).iter(f"{SVG}a"))

    assert [link.get("tabindex") for link in links] == ["-1"] * 3
    assert links[0].get("href") == "photos.html#photo-1"


@SIZES
def test_a_hostile_text_stays_a_text(size: Size) -> None:
    svg = drawn_map(map_of(text=HOSTILE), size)

    assert "<img" not in svg
    assert "</script>" not in svg
    assert parsed(svg).findtext(f"{SVG}title") == HOSTILE.replace("\x07", "\ufffd")


def test_a_track_is_broken_where_nothing_was_recorded() -> None:
    assert len(moves(parsed(drawn_map(map_of(), WIDE)), "track")) == 2


def test_arrows_point_along_the_walk_and_stand_to_its_right() -> None:
    found = list(arrows([(0.0, 0.0), (0.0, 500.0)], spacing=100.0, aside=10.0))

    assert [(arrow.x, arrow.y) for arrow in found] == [(10.0, y) for y in range(50, 500, 100)]
    assert {(arrow.dx, arrow.dy) for arrow in found} == {(0.0, 1.0)}


def test_a_resting_receiver_leaves_no_arrows() -> None:
    """Position noise at rest points everywhere."""
    jitter = [(2.0 * (n % 3), 2.0 * (n % 2)) for n in range(200)]

    assert list(arrows(jitter, spacing=100.0, aside=10.0)) == []


def test_the_same_way_walked_twice_has_its_arrows_once() -> None:
    view = map_of()
    once, twice = (
        moves(parsed(drawn_map(shown, WIDE)), "arrow")
        for shown in (view, replace(view, lines=view.lines * 2))
    )

    assert len(once) > 8
    assert twice == once


def test_of_many_arrows_some_are_drawn_all_along_the_way(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(map_drawing, "MOST_ARROWS", 3)

    few = moves(parsed(drawn_map(map_of(), WIDE)), "arrow")

    assert 1 < len(few) <= 3


def test_there_and_back_has_arrows_both_ways() -> None:
    view = map_of()
    (there,) = view.lines
    back = replace(there, x=there.x[::-1], y=there.y[::-1])
    one_way, both_ways = (
        moves(parsed(drawn_map(replace(view, lines=lines), WIDE)), "arrow")
        for lines in ((there,), (there, back))
    )

    assert len(both_ways) > 1.6 * len(one_way)


def test_a_way_along_a_bearing_runs_clockwise_from_north() -> None:
    assert towards(0.0, 0.0, 0.0, 10.0) == pytest.approx((0.0, -10.0))
    assert towards(0.0, 0.0, 90.0, 10.0) == pytest.approx((10.0, 0.0))


def test_a_free_place_is_taken_before_one_on_marks_and_that_before_one_on_a_label() -> None:
    room = Room(100.0, 100.0, [(20.0, 20.0)], 3.0)
    room.claim(Box(50.0, 50.0, 60.0, 60.0))
    on_label, on_mark, free, outside = (
        Box(55.0, 55.0, 65.0, 65.0), Box(15.0, 15.0, 25.0, 25.0), Box(70.0, 10.0, 80.0, 20.0),
        Box(95.0, 95.0, 105.0, 105.0),
    )  # fmt: skip

    assert room.best([outside, on_label, on_mark, free]) == 3
    assert room.best([outside, on_label, on_mark]) == 2
    assert room.best([outside, on_label]) == 1


def test_the_same_map_gives_the_same_bytes() -> None:
    assert drawn_map(map_of(), NARROW) == drawn_map(map_of(), NARROW)


def plan() -> MapPicture:
    return MapPicture(
        title=HOSTILE, href="pictures/p-1.jpg", west=-100.0, east=300.0, south=-50.0, north=150.0,
        opacity_ratio=0.6,
    )  # fmt: skip


@SIZES
def test_a_picture_lies_under_everything_at_its_corners(size: Size) -> None:
    view = replace(map_of(), pictures=(plan(),))
    root = parsed(drawn_map(view, size))
    frame = frame_of(extent_of(view), size)
    (image,) = root.iter(f"{SVG}image")
    left, top, width, height = (float(image.attrib[key]) for key in ("x", "y", "width", "height"))

    assert (left, top) == pytest.approx(frame.place(-100.0, 150.0), abs=0.06)
    assert (left + width, top + height) == pytest.approx(frame.place(300.0, -50.0), abs=0.12)
    assert image.attrib["opacity"] == "0.6"
    assert image.attrib["preserveAspectRatio"] == "none"
    below = next(item for item in root if item.tag == f"{SVG}g")
    drawn = [item.attrib.get("class", item.tag) for item in below]
    assert drawn.index(f"{SVG}image") == drawn.index("ground") + 1


def test_the_interactive_map_lays_the_picture_on_the_same_ground() -> None:
    figure = json.loads(live_map(replace(map_of(), pictures=(plan(),))))
    (image,) = figure["layout"]["images"]

    assert (image["x"], image["y"]) == (-100.0, 150.0)
    assert (image["sizex"], image["sizey"]) == (400.0, 200.0)
    assert (image["source"], image["opacity"]) == ("pictures/p-1.jpg", 0.6)
    assert (image["layer"], image["sizing"]) == ("below", "stretch")
    # Areas, rings and views would lie below the picture if they were "below" as well.
    assert "below" not in {shape.get("layer") for shape in figure["layout"]["shapes"]}
