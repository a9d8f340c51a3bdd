"""A picture with known corners that is drawn under the maps, such as a site plan."""

from __future__ import annotations

from reportgen.errors import CampaignError
from reportgen.model.campaign import PictureOverlay
from reportgen.read.campaign_parts import position_of
from reportgen.read.description_schema import CornersPart, OverlayPart
from reportgen.read.findings import Finding
from reportgen.read.pictures import published_overlay
from reportgen.read.reading import CampaignFile

OPACITY = 0.6
"""Where the author states none: marks of any colour still stand out on it."""

PROBLEM_CODES = (
    ("overlay/picture-unreadable", "A picture for the maps is no whole JPEG or PNG, or too large."),
)


def read_picture_overlay(
    file: CampaignFile, part: OverlayPart, corners: CornersPart
) -> PictureOverlay:
    """Return a picture's place; its pixels are decoded once, to be sure of them.

    Raises
    ------
    CampaignError
        If it can't be decoded.
    """
    overlay = PictureOverlay(
        path=file.name,
        title=part.title,
        north_west=position_of(corners.north_west),
        south_east=position_of(corners.south_east),
        opacity_ratio=OPACITY if part.opacity is None else part.opacity,
    )
    _, problems = published_overlay(file, overlay.key)
    if problems:
        raise _unreadable(file, problems[0].found)
    return overlay


def _unreadable(file: CampaignFile, found: str) -> CampaignError:
    return Finding(
        code="overlay/picture-unreadable",
        found=found,
        expected="a whole JPEG of at most 250 or PNG of at most 100 million pixels",
        do="export it again, or take it out of overlays; GeoJSON goes without corners",
    ).error(file.where())
