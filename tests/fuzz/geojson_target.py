"""Any bytes as a GeoJSON overlay."""

from __future__ import annotations

from pathlib import Path

from reportgen.errors import CampaignError
from reportgen.read.overlays import read_overlay
from tests.read.log_files import written
from tests.read.promises import must_be_spelt_out


def check(content: bytes, folder: Path) -> None:
    """Read the bytes as an overlay; what is drawn lies on the globe."""
    file = written(folder, content, "any.geojson")
    try:
        overlay, problems = read_overlay(file, "any")
    except CampaignError as error:
        must_be_spelt_out(error.problems)
        return
    for line in (*overlay.lines, *overlay.areas):
        assert all(abs(latitude) <= 90 and abs(longitude) <= 180 for latitude, longitude in line)
    if problems:
        must_be_spelt_out(problems)
    assert problems or overlay.lines or overlay.areas
