"""GeoJSON as RFC 7946 lays it down, read from its own examples."""

from __future__ import annotations

import json
from pathlib import Path

from reportgen.model.campaign import Overlay
from reportgen.read.overlays import read_overlay
from reportgen.read.reading import CampaignFile


def overlay_of(folder: Path, value: object) -> Overlay:
    path = folder / "o.geojson"
    path.write_text(json.dumps(value), encoding="utf-8")
    return read_overlay(CampaignFile(path, "o.geojson"), "")[0]


def test_a_line_of_positions(tmp_path: Path) -> None:
    """RFC 7946, appendix A.2, LineStrings: 100.0, 0.0 and 101.0, 1.0 (from memory).

    Section 3.1.1: longitude first, then latitude.
    """
    value = {"type": "LineString", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}

    assert overlay_of(tmp_path, value).lines == (((0.0, 100.0), (1.0, 101.0)),)


def test_a_polygon_with_a_hole(tmp_path: Path) -> None:
    """RFC 7946, appendix A.3, Polygons, "with holes" (from memory).

    Section 3.1.6: the first ring bounds the surface, any others bound holes within it.
    """
    outer = [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]
    hole = [[100.8, 0.8], [100.8, 0.2], [100.2, 0.2], [100.2, 0.8], [100.8, 0.8]]

    overlay = overlay_of(tmp_path, {"type": "Polygon", "coordinates": [outer, hole]})

    assert overlay.areas == (tuple((latitude, longitude) for longitude, latitude in outer),)
    assert overlay.lines == (tuple((latitude, longitude) for longitude, latitude in hole),)


def test_a_collection_of_geometries(tmp_path: Path) -> None:
    """RFC 7946, appendix A.7, GeometryCollections: a point and a line (from memory)."""
    value = {
        "type": "GeometryCollection",
        "geometries": [
            {"type": "Point", "coordinates": [100.0, 0.0]},
            {"type": "LineString", "coordinates": [[101.0, 0.0], [102.0, 1.0]]},
        ],
    }

    overlay = overlay_of(tmp_path, value)

    assert (overlay.lines, overlay.areas) == ((((0.0, 101.0), (1.0, 102.0)),), ())
