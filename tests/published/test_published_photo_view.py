"""Fields of view against the rectilinear lens on the full frame."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.compute.photo_view import FULL_FRAME_DIAGONAL_MM, field_of_view_deg
from tests.published.reference_rows import ReferenceRow, disagreements

SHAPES = {"36": (3, 2), "24": (2, 3), "34.613": (4, 3), "25.960": (3, 4)}
"""Width and height of the photos whose side, by the diagonal, the rows name in millimetres."""


def test_diagonal_of_the_full_frame() -> None:
    """36 x 24 mm: 43.27 mm, as lens makers print it."""
    assert pytest.approx(43.27, abs=0.005) == FULL_FRAME_DIAGONAL_MM


def test_normal_lens_on_the_full_frame() -> None:
    """Lens makers' tables, from memory: 50 mm covers 39.6 deg along the long side of 36 x 24 mm."""
    assert field_of_view_deg(50.0, 6_000, 4_000) == pytest.approx(39.6, abs=0.05)


@pytest.mark.shared
def test_all_reference_fields_of_view(shared_folder: Path) -> None:
    """Rows FOV: 3:2 in both directions, and the 4:3 of a phone matched by the diagonal.

    FOV-0 (status MEMORY): a focal length of 0 means unknown, not half the sky.
    """

    def computed(row: ReferenceRow) -> object:
        width, height = SHAPES[row.inputs.get("side_mm", "36")]
        return field_of_view_deg(row.number("f35_mm"), width, height)

    pattern = r"FOV-\d+-(L|P|43L|43P)|FOV-0"

    assert disagreements(shared_folder, pattern, computed, rows=19) == []
