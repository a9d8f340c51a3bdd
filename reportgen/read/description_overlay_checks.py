"""What a picture under the maps, or somebody's tiles, must say to be drawn in their place."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import PurePosixPath

from reportgen.errors import Problem, Severity
from reportgen.read.description_problem import Locate, description_problem
from reportgen.read.description_schema import CornersPart, Description, OverlayPart
from reportgen.read.yaml_text import KeyPath

PROBLEM_CODES = (
    ("description/overlay-corners", "The corners of a picture are no north-west and south-east."),
    ("description/overlay-kind", "An overlay is a picture without corners, or has what only one."),
    ("description/overlay-far", "A picture under the maps lies far from every own station."),
    ("description/tiles-address", "An address of tiles is none that a page can ask for a tile."),
)

PICTURE_ENDINGS = (".jpg", ".jpeg", ".png")
FAR_DEG = 1.0
"""Of latitude or longitude; a walk does not lead so far, but swapped numbers do."""
_HOST = r"[a-z0-9](?:[a-z0-9-]*[a-z0-9])?(?:\.[a-z0-9](?:[a-z0-9-]*[a-z0-9])?)+(?::[0-9]{1,5})?"
_ADDRESS = re.compile(rf"(https://{_HOST})(/[A-Za-z0-9._~/{{}}@=&?%+-]*)")
"""Only what can't end an attribute, a policy or an address early; lower case, without a user."""
_PLACES = ("{z}", "{x}", "{y}")


def overlay_problems(description: Description, locate: Locate) -> Iterator[Problem]:
    """Yield what is wrong with overlays and tiles."""
    for index, part in enumerate(description.overlays):
        path: KeyPath = ("overlays", index)
        if part.corners is None:
            yield from _without_corners(part, path, locate)
        else:
            yield from _corners(part.corners, (*path, "corners"), locate)
            yield from _far(part.corners, description, (*path, "corners"), locate)
    if description.tiles is not None and source_of_tiles(description.tiles.address) is None:
        yield description_problem(
            locate("tiles", "address"),
            "tiles-address",
            description.tiles.address[:80] or "nothing",
            "https://, a host in lower-case letters, and a path with {z}, {x} and {y} once each, "
            "such as https://tiles.example.org/{z}/{x}/{y}.png",
            "write out one host, without {s}, user or password",
        )


def source_of_tiles(address: str) -> str | None:
    """Return scheme and host of an address of tiles, or None where it is no such address."""
    found = _ADDRESS.fullmatch(address)
    if found is None:
        return None
    path = found[2]
    rest = path
    for place in _PLACES:
        if path.count(place) != 1:
            return None
        rest = rest.replace(place, "")
    return None if "{" in rest or "}" in rest else found[1]


def _without_corners(part: OverlayPart, path: KeyPath, locate: Locate) -> Iterator[Problem]:
    if PurePosixPath(part.file).suffix.lower() in PICTURE_ENDINGS:
        yield description_problem(
            locate(*path, "file"),
            "overlay-kind",
            f"the picture {part.file} without corners",
            "where its north-west and south-east corners lie",
            "add corners: with north_west and south_east",
        )
    elif part.opacity is not None:
        yield description_problem(
            locate(*path, "opacity"),
            "overlay-kind",
            "an opacity of something that is no picture",
            "opacity beside corners, of a JPEG or PNG",
            "delete the line, or add corners if the file is a picture",
        )


def _corners(corners: CornersPart, path: KeyPath, locate: Locate) -> Iterator[Problem]:
    first, second = corners.north_west, corners.south_east
    faults = []
    if first.latitude_deg <= second.latitude_deg:
        faults.append(f"latitude {first.latitude_deg:g} of north_west, which is not north of")
    if first.longitude_deg >= second.longitude_deg:
        faults.append(f"longitude {first.longitude_deg:g} of north_west, which is not west of")
    if faults:
        yield description_problem(
            locate(*path),
            "overlay-corners",
            "; ".join(f"{fault} south_east" for fault in faults),
            "a north-west corner north and west of the south-east one; across 180° no picture "
            "can be drawn",
            "correct the corners, or swap them",
        )


def _far(
    corners: CornersPart, description: Description, path: KeyPath, locate: Locate
) -> Iterator[Problem]:
    """Yield a warning where no own station is anywhere near the picture."""
    own = [
        station.position
        for station in description.stations.values()
        if station.own and station.position is not None
    ]
    first, second = corners.north_west, corners.south_east
    is_near = [
        second.latitude_deg - FAR_DEG <= place.latitude_deg <= first.latitude_deg + FAR_DEG
        and first.longitude_deg - FAR_DEG <= place.longitude_deg <= second.longitude_deg + FAR_DEG
        for place in own
    ]
    if own and not any(is_near):
        yield description_problem(
            locate(*path),
            "overlay-far",
            "a picture more than a degree away from every own station",
            "a picture of the ground that was walked",
            "look whether latitude and longitude are swapped, or a sign is missing",
            Severity.WARNING,
        )
