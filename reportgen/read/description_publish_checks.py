"""What the description asks to be kept out of the site, checked: cuts, boxes, files."""

from __future__ import annotations

from collections.abc import Iterator

from reportgen.errors import Problem
from reportgen.read.description_problem import Locate, description_problem
from reportgen.read.description_schema import CutPart, Description, HiddenBoxPart
from reportgen.read.suggestion import nearest_advice
from reportgen.read.yaml_text import KeyPath

PROBLEM_CODES = (
    ("description/cut", "A cut names no place that it could be made at."),
    ("description/hidden-box", "A box of a photo hides nothing, for it has no width or height."),
)


def publish_problems(description: Description, locate: Locate) -> Iterator[Problem]:
    """Yield what would leave something in the site that its author wants out of it."""
    for index, cut in enumerate(description.publish.cut):
        yield from _cut(cut, description, ("publish", "cut", index, "place"), locate)
    for name, photo in description.photos.files.items():
        for box_name, box in photo.hide.items():
            yield from _box(box, ("photos", "files", name, "hide", box_name), locate)


def _cut(
    part: CutPart, description: Description, path: KeyPath, locate: Locate
) -> Iterator[Problem]:
    if isinstance(part.place, str):
        yield from _cut_at_station(part.place, description, path, locate)
        return
    latitude_deg, longitude_deg = part.place
    if not (-90 <= latitude_deg <= 90 and -180 <= longitude_deg <= 180):
        yield description_problem(
            locate(*path),
            "cut",
            f"{latitude_deg:g}, {longitude_deg:g}",
            "latitude from -90 to 90, then longitude from -180 to 180",
            "write the latitude first, both in decimal degrees",
        )


def _cut_at_station(
    key: str, description: Description, path: KeyPath, locate: Locate
) -> Iterator[Problem]:
    station = description.stations.get(key)
    if station is not None and station.position is not None:
        return
    known = [key for key, part in description.stations.items() if part.position is not None]
    yield description_problem(
        locate(*path),
        "cut",
        f"the station {key}, " + ("which is not described" if station is None else "at no place"),
        "the key of a station with a position, or [latitude, longitude]",
        nearest_advice(key, known) or "write the place as [latitude, longitude]",
    )


def _box(box: HiddenBoxPart, path: KeyPath, locate: Locate) -> Iterator[Problem]:
    left, top, right, bottom = box
    if left < right and top < bottom:
        return
    yield description_problem(
        locate(*path),
        "hidden-box",
        f"[{left:g}, {top:g}, {right:g}, {bottom:g}], which holds nothing",
        "[left, top, right, bottom], left less than right and top less than bottom",
        "measure from the upper left corner, in shares of the width and height",
    )
