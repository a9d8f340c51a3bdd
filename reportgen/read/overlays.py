"""GeoJSON (RFC 7946) into lines and areas to be drawn under the walks."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from reportgen.errors import CampaignError, Problem, Severity
from reportgen.model.campaign import Overlay
from reportgen.read.reading import CampaignFile

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


@dataclass(slots=True)
class _Drawing:
    """What was found so far."""

    lines: list[_Line] = field(default_factory=list)
    areas: list[_Line] = field(default_factory=list)
    bad_places: list[str] = field(default_factory=list)
    short_parts: int = 0
    points: int = 0
    unknown: list[str] = field(default_factory=list)


def read_overlay(file: CampaignFile, title: str) -> tuple[Overlay, tuple[Problem, ...]]:
    """Read a GeoJSON file.

    Lines, outer rings and the rings of holes become outlines: outer rings are areas, holes are
    lines. A line is parted at a position that can't be used, so that nothing is drawn across it.

    Raises
    ------
    CampaignError
        If the file is no GeoJSON at all.
    """
    drawing = _Drawing()
    _draw(_parsed(file), drawing, 0)
    overlay = Overlay(
        path=file.name,
        title=title,
        lines=tuple(drawing.lines),
        areas=tuple(drawing.areas),
    )
    return overlay, tuple(_problems(file, drawing))


def _parsed(file: CampaignFile) -> object:
    if file.path.stat().st_size > LARGEST_BYTES:
        raise _unreadable(file, f"more than {LARGEST_BYTES // 1_000_000} MB")
    try:
        value = json.loads(file.path.read_bytes().decode("utf-8-sig"))
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
    return CampaignError(
        [
            Problem(
                where=file.where(line, column),
                code="overlay/unreadable",
                severity=Severity.ERROR,
                found=found,
                expected="GeoJSON (RFC 7946): longitude and latitude in degrees, in UTF-8",
                do="export the file again as GeoJSON, or take it out of overlays",
            )
        ]
    )


def _draw(value: object, drawing: _Drawing, depth: int) -> None:
    """Add one GeoJSON object with all it holds."""
    if value is None:
        return  # a feature without geometry: RFC 7946, section 3.2
    kind = value.get("type") if isinstance(value, Mapping) else None
    if not isinstance(value, Mapping) or depth > DEEPEST or not isinstance(kind, str):
        drawing.unknown.append("an object without a type" if depth <= DEEPEST else "deep nesting")
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
        drawing.points += 1
    elif kind == "MultiPoint":
        drawing.points += len(_list(coordinates))
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
        drawing.unknown.append(f"the type {kind[:40]}")


def _list(value: object) -> list[object]:
    return value if isinstance(value, list) else []


def _add_line(coordinates: object, drawing: _Drawing) -> None:
    parts = list(_runs(coordinates, drawing))
    long_enough = [part for part in parts if len(part) >= 2]
    drawing.lines += long_enough
    if not long_enough:
        drawing.short_parts += 1


def _add_polygon(coordinates: object, drawing: _Drawing) -> None:
    rings = _list(coordinates)
    if not rings:
        drawing.short_parts += 1
    for index, ring in enumerate(rings):
        places = tuple(place for run in _runs(ring, drawing) for place in run)
        if len(set(places)) < 3:
            drawing.short_parts += 1
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
        drawing.bad_places.append(json.dumps(item)[:60])
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


def _problems(file: CampaignFile, drawing: _Drawing) -> Iterator[Problem]:
    if drawing.bad_places:
        yield _problem(
            file,
            "bad-coordinates",
            f"the position {drawing.bad_places[0]}",
            "longitude, then latitude, in degrees of WGS 84 (RFC 7946, sections 3.1.1 and 4)",
            "these positions are not drawn; export again in WGS 84 if they are projected metres",
            count=len(drawing.bad_places),
        )
    if drawing.short_parts:
        yield _problem(
            file,
            "too-short",
            "a line of fewer than two positions, or a ring of fewer than three",
            "positions enough to draw it",
            "nothing, if it may be left out",
            count=drawing.short_parts,
        )
    for found in dict.fromkeys(drawing.unknown):
        yield _problem(
            file,
            "unknown-part",
            found,
            "the types of RFC 7946",
            "export the file again as GeoJSON",
            count=drawing.unknown.count(found),
        )
    if drawing.points:
        yield _problem(
            file,
            "points-ignored",
            "a point",
            "lines and areas, which alone are drawn",
            "nothing, if points may be left out",
            Severity.NOTE,
            count=drawing.points,
        )
    if not drawing.lines and not drawing.areas:
        yield _problem(
            file, "empty", "nothing to draw", "lines or areas", "take it out of overlays"
        )


def _problem(
    file: CampaignFile,
    code: str,
    found: str,
    expected: str,
    do: str,
    severity: Severity = Severity.WARNING,
    count: int = 1,
) -> Problem:
    return Problem(
        where=file.where(),
        code=f"overlay/{code}",
        severity=severity,
        found=found,
        expected=expected,
        do=do,
        count=count,
    )
