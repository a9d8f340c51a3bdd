"""GeoJSON overlays: all shapes, the order of co-ordinates, and what can't be drawn."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from reportgen.errors import CampaignError, Problem, Severity
from reportgen.model.campaign import Overlay
from reportgen.read.overlays import read_overlay
from reportgen.read.reading import CampaignFile


def overlay_of(folder: Path, value: object) -> tuple[Overlay, tuple[Problem, ...]]:
    path = folder / "o.geojson"
    path.write_text(json.dumps(value), encoding="utf-8")
    return read_overlay(CampaignFile(path, "o.geojson"), "Coast")


def line(*coordinates: object) -> dict[str, object]:
    return {"type": "LineString", "coordinates": list(coordinates)}


def ring(west: float, south: float, size: float) -> list[list[float]]:
    east, north = west + size, south + size
    return [[west, south], [east, south], [east, north], [west, north], [west, south]]


def test_longitude_stands_first_in_the_file_and_last_in_the_model(tmp_path: Path) -> None:
    """Swapped, an island lands in another ocean."""
    overlay, problems = overlay_of(tmp_path, line([-28.25, 38.5], [-28.0, 38.6, 12.0]))

    assert overlay.lines == (((38.5, -28.25), (38.6, -28.0)),)
    assert (overlay.title, overlay.path, problems) == ("Coast", "o.geojson", ())


def test_collections_are_opened_however_they_are_nested(tmp_path: Path) -> None:
    overlay, problems = overlay_of(
        tmp_path,
        {
            "type": "FeatureCollection",
            "features": [
                {"type": "Feature", "properties": {}, "geometry": line([0, 0], [1, 1])},
                {"type": "Feature", "properties": {}, "geometry": None},
                {
                    "type": "Feature",
                    "geometry": {
                        "type": "GeometryCollection",
                        "geometries": [
                            {"type": "MultiLineString", "coordinates": [[[0, 0], [2, 2]]]},
                            {"type": "Polygon", "coordinates": [ring(0, 0, 3)]},
                            {"type": "MultiPolygon", "coordinates": [[ring(4, 4, 1)]]},
                        ],
                    },
                },
            ],
        },
    )

    assert (len(overlay.lines), len(overlay.areas), problems) == (2, 2, ())


def test_a_hole_is_an_outline_not_an_area(tmp_path: Path) -> None:
    """Filled, a lagoon would look like land."""
    overlay, _ = overlay_of(
        tmp_path, {"type": "Polygon", "coordinates": [ring(0, 0, 9), ring(3, 3, 1)]}
    )

    assert [area[0] for area in overlay.areas] == [(0.0, 0.0)]
    assert [hole[0] for hole in overlay.lines] == [(3.0, 3.0)]


def test_a_line_is_parted_at_a_bad_position(tmp_path: Path) -> None:
    """Drawn across, it would claim a coast that nobody surveyed."""
    overlay, (problem,) = overlay_of(
        tmp_path, line([0, 0], [1, 1], ["x", 2], [3, 3], [4, 4], [181, 0], [5, 5])
    )

    assert overlay.lines == (((0.0, 0.0), (1.0, 1.0)), ((3.0, 3.0), (4.0, 4.0)))
    assert (problem.code, problem.count) == ("overlay/bad-coordinates", 2)
    assert '["x", 2]' in problem.found


@pytest.mark.parametrize(
    "position", [[500_000.0, 4_300_000.0], [0, 91], [True, 0], [None, 0], [0], "0,0", 5]
)
def test_what_is_no_position_is_set_aside(position: object, tmp_path: Path) -> None:
    """Projected metres above all, which many programs export by default."""
    overlay, problems = overlay_of(tmp_path, line([0, 0], [1, 1], position))

    assert overlay.lines == (((0.0, 0.0), (1.0, 1.0)),)
    assert [p.code for p in problems] == ["overlay/bad-coordinates"]


def test_numbers_beyond_all_bounds_are_no_positions(tmp_path: Path) -> None:
    path = tmp_path / "o.geojson"
    path.write_text(
        '{"type": "LineString", "coordinates": [[NaN, 0], [1e999, 0], [1' + "0" * 400 + ", 0]]}",
        encoding="utf-8",
    )

    overlay, problems = read_overlay(CampaignFile(path, "o.geojson"), "")

    assert overlay.lines == ()
    assert [(p.code, p.count) for p in problems] == [
        ("overlay/bad-coordinates", 3),
        ("overlay/too-short", 1),
        ("overlay/empty", 1),
    ]


def test_points_are_counted_and_not_drawn(tmp_path: Path) -> None:
    _, problems = overlay_of(
        tmp_path,
        {
            "type": "GeometryCollection",
            "geometries": [
                {"type": "Point", "coordinates": [0, 0]},
                {"type": "MultiPoint", "coordinates": [[0, 0], [1, 1]]},
                line([0, 0], [1, 1]),
            ],
        },
    )

    assert [(p.code, p.count, p.severity) for p in problems] == [
        ("overlay/points-ignored", 3, Severity.NOTE)
    ]


@pytest.mark.parametrize(
    ("value", "codes"),
    [
        ({"type": "Circle"}, ["overlay/unknown-part", "overlay/empty"]),
        ({"type": "FeatureCollection", "features": [5]}, ["overlay/unknown-part", "overlay/empty"]),
        ({"type": "FeatureCollection"}, ["overlay/empty"]),
        ({"type": "LineString"}, ["overlay/too-short", "overlay/empty"]),
        ({"type": "Polygon", "coordinates": []}, ["overlay/too-short", "overlay/empty"]),
        (
            {"type": "Polygon", "coordinates": [[[0, 0], [1, 1], [0, 0]]]},
            ["overlay/too-short", "overlay/empty"],
        ),
    ],
)
def test_what_holds_nothing_to_draw_says_so(
    value: object, codes: list[str], tmp_path: Path
) -> None:
    _, problems = overlay_of(tmp_path, value)

    assert [problem.code for problem in problems] == codes


def test_collections_nested_without_end_are_refused(tmp_path: Path) -> None:
    value: object = line([0, 0], [1, 1])
    for _ in range(30):
        value = {"type": "GeometryCollection", "geometries": [value]}

    overlay, problems = overlay_of(tmp_path, value)

    assert overlay.lines == ()
    assert [problem.found for problem in problems] == ["deep nesting", "nothing to draw"]


@pytest.mark.parametrize(
    ("content", "line_number"),
    [
        (b"", 1),
        (b'{"type": "Point",\n "coordinates": }', 2),
        (b"[1, 2]", 0),
        (b'{"a": 1}', 0),
        (b"\xff\xfe{", 0),
        (b"[" * 200_000, 0),
    ],
)
def test_what_is_no_geojson_is_an_error_at_its_line(
    content: bytes, line_number: int, tmp_path: Path
) -> None:
    path = tmp_path / "o.geojson"
    path.write_bytes(content)

    with pytest.raises(CampaignError) as caught:
        read_overlay(CampaignFile(path, "o.geojson"), "")

    (problem,) = caught.value.problems
    assert (problem.code, problem.where.line) == ("overlay/unreadable", line_number)


@pytest.mark.shared
def test_a_real_export_of_a_map(real_inputs: Path) -> None:
    """126 features: 45 lines, 61 polygons, 20 points; 1090 vertices, counted independently."""
    path = real_inputs / "osm" / "hamburg-dammtor.geojson"

    overlay, (problem,) = read_overlay(CampaignFile(path, path.name), "")

    assert (len(overlay.lines), len(overlay.areas)) == (45, 61)
    assert (problem.code, problem.count) == ("overlay/points-ignored", 20)
    assert sum(len(part) for part in (*overlay.lines, *overlay.areas)) == 1090 - 20
    latitudes, longitudes = zip(*(p for part in overlay.lines for p in part), strict=True)
    assert min(latitudes) >= 53.5579600
    assert max(longitudes) <= 9.9941568
