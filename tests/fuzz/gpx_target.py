"""Any bytes as a GPX track."""

from __future__ import annotations

from pathlib import Path

from reportgen.model.columns import TRACK_POINTS
from reportgen.read.gpx import read_track
from tests.read.log_files import written
from tests.read.promises import reads_or_explains


def check(content: bytes, folder: Path) -> None:
    """Read the bytes as a track."""
    file = written(folder, content, "any.gpx")
    reads_or_explains(lambda: read_track(file, "loop"), TRACK_POINTS)
