"""GeoJSON (RFC 7946) into lines and areas to be drawn under the walks."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping

from reportgen.errors import CampaignError, Problem
from reportgen.model.campaign import Overlay
from reportgen.read.findings import Finding, Findings
from reportgen.read.reading import CampaignFile
from reportgen.read.text_files import read_bytes

LARGEST_BYTES = 20_000_000
DEEPEST = 20
"""Collections within collections; RFC 7946, section 3.1.8, advises against any."""

PROBLEM_CODES = (
    ("overlay/unreadable", "An overlay is no GeoJSON, or too large."),
    ("overlay/bad-coordinates", "An overlay holds positions that are no longitude and latitude."),
    ("overlay/too-short", "A line or ring of an overlay has too few positions to be drawn."),
    ("overlay/points-ignored", "An overlay holds points, which are not drawn."),
    ("overlay/unknown-part", "An overlay holds something that GeoJSON does not know."),
    ("overlay/empty", "An overlay holds nothing to draw."),
)

_Place = tuple[float, float]
_Line = tuple[_Place, ...]


_SHORT = Finding(
    code="overlay/too-short",
    found="a line of fewer than two positions, or a ring of fewer than three",
    expected="positions enough to draw it",
    do="nothing, if it may be left out",
)
_POINT = Finding(
    code="overlay/points-ignored",
    found="a point",
    expected="lines and areas, which alone are drawn",
    do="nothing, if points may be left out",
)
_EMPTY = Finding(
    code="overlay/empty",
    found="nothing to draw",
    expected="lines or areas",
    do="take it out of overlays",
)


class _Drawing:
    """What was found so far."""

    def __init__(self, file: CampaignFile) -> None:
        self.lines: list[_Line] = []
        self.areas: list[_Line] = []
        self.findings = Findings(file)
        self._bad_place: Finding | None = None

    def doubt(self, finding: Finding) -> None:
        """Count something that is not drawn."""
        self.findings.warn(0, finding)

    def doubt_place(self, item: object) -> None:
        """Count a position that can't be used; the first one is spelt out, for all of them."""
        self._bad_place = self._bad_place or _bad_place(item)
        self.doubt(self._bad_place)


def read_overlay(file: CampaignFile, title: str) -> tuple[Overlay, tuple[Problem, ...]]:
    """Read a GeoJSON file.

    Lines, outer rings and the rings of holes become outlines: outer rings are areas, holes are
    lines. A line is parted at a position that can't be used, so that nothing is drawn across it.

    Raises
    ------
    CampaignError
        If the file is no GeoJSON at all.
    """
    drawing = _Drawing(file)
    _draw(_parsed(file), drawing, 0)
    if not drawing.lines and not drawing.areas:
        drawing.doubt(_EMPTY)
    overlay = Overlay(
        path=file.name,
        title=title,
        lines=tuple(drawing.lines),
        areas=tuple(drawing.areas),
    )
    return overlay, drawing.findings.problems()


def _parsed(file: CampaignFile) -> object:
    content = read_bytes(file)
    if len(content) > LARGEST_BYTES:
        raise _unreadable(file, f"more than {LARGEST_BYTES // 1_000_000} MB")
    try:
        value = json.loads(content.decode("utf-8-sig"))
    except json.JSONDecodeError as error:
        raise _unreadable(file, error.msg, error.lineno, error.colno) from error
    except UnicodeDecodeError as error:
        raise _unreadable(file, "bytes that are not UTF-8") from error
    except (ValueError, RecursionError) as error:
        raise _unreadable(file, "JSON nested too deeply, or with absurd numbers") from error
    if not isinstance(value, dict) or not isinstance(value.get("type"), str):
        raise _unreadable(file, "JSON without a type")
    return value


def _unreadable(file: CampaignFile, found: str, line: int = 0, column: int = 0) -> CampaignError:
    return Finding(
        code="overlay/unreadable",
        found=found,
        expected="GeoJSON (RFC 7946): longitude and latitude in degrees, in UTF-8",
        do="export the file again as GeoJSON, or take it out of overlays",
    ).error(file.where(line, column))


def _unknown(found: str) -> Finding:
    return Finding(
        code="overlay/unknown-part",
        found=found,
        expected="the types of RFC 7946",
        do="export the file again as GeoJSON",
    )


def _bad_place(item: object) -> Finding:
    return Finding(
        code="overlay/bad-coordinates",
        found=f"the position {_shown(item)}",
        expected="longitude, then latitude, in degrees of WGS 84 (RFC 7946, 3.1.1 and 4)",
        do="these positions are not drawn; export again in WGS 84 if they are projected metres",
    )


def _shown(item: object) -> str:
    try:
        return json.dumps(item)[:60]
    except RecursionError:
        return "made of lists within lists"


def _draw(value: object, drawing: _Drawing, depth: int) -> None:
    """Add one GeoJSON object with all it holds."""
    if value is None:
        return  # a feature without geometry: RFC 7946, section 3.2
    kind = value.get("type") if isinstance(value, Mapping) else None
    if not isinstance(value, Mapping) or depth > DEEPEST or not isinstance(kind, str):
        found = "an object without a type" if depth <= DEEPEST else "deep nesting"
        drawing.doubt(_unknown(found))
    elif kind in ("FeatureCollection", "GeometryCollection"):
        member = "features" if kind == "FeatureCollection" else "geometries"
        for part in _list(value.get(member)):
            _draw(part, drawing, depth + 1)
    elif kind == "Feature":
        _draw(value.get("geometry"), drawing, depth + 1)
    else:
        _draw_geometry(kind, value.get("coordinates"), drawing)


def _draw_geometry(kind: str, coordinates: object, drawing: _Drawing) -> None:
    if kind == "Point":
        drawing.findings.note(0, _POINT)
    elif kind == "MultiPoint":
        for _ in _list(coordinates):
            drawing.findings.note(0, _POINT)
    elif kind == "LineString":
        _add_line(coordinates, drawing)
    elif kind == "MultiLineString":
        for line in _list(coordinates):
            _add_line(line, drawing)
    elif kind == "Polygon":
        _add_polygon(coordinates, drawing)
    elif kind == "MultiPolygon":
        for polygon in _list(coordinates):
            _add_polygon(polygon, drawing)
    else:
        drawing.doubt(_unknown(f"the type {kind[:40]}"))


def _list(value: object) -> list[object]:
    return value if isinstance(value, list) else []


def _add_line(coordinates: object, drawing: _Drawing) -> None:
    parts = list(_runs(coordinates, drawing))
    long_enough = [part for part in parts if len(part) >= 2]
    drawing.lines += long_enough
    if not long_enough:
        drawing.doubt(_SHORT)


def _add_polygon(coordinates: object, drawing: _Drawing) -> None:
    rings = _list(coordinates)
    if not rings:
        drawing.doubt(_SHORT)
    for index, ring in enumerate(rings):
        places = tuple(place for run in _runs(ring, drawing) for place in run)
        if len(set(places)) < 3:
            drawing.doubt(_SHORT)
        elif index == 0:
            drawing.areas.append(places)
        else:
            drawing.lines.append(places)


def _runs(coordinates: object, drawing: _Drawing) -> Iterator[_Line]:
    """Yield the stretches of usable positions, noting the others."""
    run: list[_Place] = []
    for item in _list(coordinates):
        place = _place(item)
        if place is not None:
            run.append(place)
            continue
        drawing.doubt_place(item)
        if run:
            yield tuple(run)
        run = []
    if run:
        yield tuple(run)


def _place(item: object) -> _Place | None:
    """Return (latitude, longitude) of a position: RFC 7946, section 3.1.1, longitude first."""
    if not isinstance(item, list) or len(item) < 2:
        return None
    longitude_deg, latitude_deg = item[0], item[1]
    if not (_is_number(longitude_deg) and _is_number(latitude_deg)):
        return None
    if abs(longitude_deg) > 180 or abs(latitude_deg) > 90:
        return None
    return float(latitude_deg), float(longitude_deg)


def _is_number(value: object) -> bool:
    if isinstance(value, float):
        return math.isfinite(value)
    return isinstance(value, int) and not isinstance(value, bool)
