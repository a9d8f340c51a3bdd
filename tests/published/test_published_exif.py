"""Exif as CIPA DC-008 lays it down: tag numbers, orientations, degrees, time and offset.

Values come from the table of reference values beside the checkout, which names its sources row
by row. The tests write files by the numbers of the standard, byte by byte through a library that
knows no meanings, and look at what is read.
"""

from __future__ import annotations

import datetime as dt
import io
from pathlib import Path

import piexif
import pytest
from PIL import Image

from reportgen.model.photo import PhotoMetadata
from reportgen.read.photos import read_photo
from reportgen.read.pictures import published_photo
from reportgen.read.reading import CampaignFile
from tests.published.reference_rows import reference_rows
from tests.read.made_photos import hue

pytestmark = pytest.mark.shared


def metadata_of(folder: Path, parts: dict[str, dict[int, object]]) -> PhotoMetadata:
    path = folder / "x.jpg"
    Image.new("RGB", (6, 4)).save(path, "JPEG", exif=piexif.dump(parts))
    metadata, _ = read_photo(CampaignFile(path, "x.jpg"))
    assert metadata is not None
    return metadata


@pytest.fixture(scope="module")
def tags(shared_folder: Path) -> dict[str, int]:
    """Rows TAG-*: CIPA DC-008 (Exif) tag list; all but three marked as computed from Pillow."""
    return {
        row.key.removeprefix("TAG-"): int(row.expected)
        for row in reference_rows(shared_folder, r"TAG-\w+")
    }


def test_values_are_found_under_the_numbers_of_the_standard(
    tags: dict[str, int], tmp_path: Path
) -> None:
    """CIPA DC-008, tag list (rows TAG-*, exact): each number carries one value and gives it.

    GPSAltitude, 6, is not in the table; that number is from memory.
    """
    assert len(tags) == 15
    metadata = metadata_of(
        tmp_path,
        {
            "0th": {tags["Orientation"]: 6},
            "Exif": {
                tags["DateTimeOriginal"]: b"2024:05:01 14:03:07",
                tags["SubsecTimeOriginal"]: b"25",
                tags["OffsetTimeOriginal"]: b"+02:00",
                tags["FocalLengthIn35mmFilm"]: 26,
            },
            "GPS": {
                tags["GPSLatitudeRef"]: b"S",
                tags["GPSLatitude"]: ((33, 1), (30, 1), (0, 1)),
                tags["GPSLongitudeRef"]: b"W",
                tags["GPSLongitude"]: ((70, 1), (45, 1), (0, 1)),
                tags["GPSAltitudeRef"]: 1,
                6: (12, 1),
                tags["GPSTimeStamp"]: ((12, 1), (3, 1), (8, 1)),
                tags["GPSDateStamp"]: b"2024:05:01",
                tags["GPSImgDirectionRef"]: b"M",
                tags["GPSImgDirection"]: (100, 1),
                tags["GPSHPositioningError"]: (5, 1),
            },
        },
    )

    assert metadata.orientation == 6
    assert metadata.local_time == dt.datetime(2024, 5, 1, 14, 3, 7, 250_000)  # noqa: DTZ001
    assert metadata.utc_offset_s == 7200
    assert metadata.focal_length_35mm_mm == 26
    assert metadata.position is not None
    assert (metadata.position.latitude_deg, metadata.position.longitude_deg) == (-33.5, -70.75)
    assert metadata.altitude_msl_m == -12
    assert metadata.gps_time_utc == dt.datetime(2024, 5, 1, 12, 3, 8, tzinfo=dt.UTC)
    assert (metadata.heading_deg, metadata.heading_reference) == (100, "magnetic")
    assert metadata.position_error_m == 5


@pytest.mark.parametrize("value", range(1, 9))
def test_row_0_and_column_0_lie_where_the_standard_says(
    value: int, shared_folder: Path, tmp_path: Path
) -> None:
    """CIPA DC-008 / JEITA CP-3451, Orientation (rows ORI-1 to ORI-8; 6 to 8 from memory).

    The stored picture has a red row 0 and a blue column 0; upright, the red row must lie on the
    side that the standard names first and the blue column on the side it names second.
    """
    (row,) = reference_rows(shared_folder, f"ORI-{value}")
    row_side, column_side = row.expected.split(";")[0].split(", ")
    stored = Image.new("RGB", (120, 80), "white")
    stored.paste("blue", (0, 0, 16, 80))
    stored.paste("red", (16, 0, 120, 16))
    path = tmp_path / "x.jpg"
    stored.save(path, "JPEG", exif=piexif.dump({"0th": {274: value}}))

    published, _ = published_photo(CampaignFile(path, "x.jpg"), "x")

    upright = Image.open(io.BytesIO(published.pictures[0].content))
    middles = {
        "left": (8, upright.height // 2),
        "right": (upright.width - 8, upright.height // 2),
        "top": (upright.width // 2, 8),
        "bottom": (upright.width // 2, upright.height - 8),
    }
    assert hue(upright, middles[row_side]) == "red"
    assert hue(upright, middles[column_side]) == "blue"
    assert ("swaps sides" in row.expected) == (upright.size == (80, 120))


@pytest.mark.parametrize(
    ("key", "degrees", "reference"),
    [
        ("DMS-1", ((40, 1), (26, 1), (46_302, 1000)), b"N"),
        ("DMS-2", ((33, 1), (52, 1), (1768, 100)), b"S"),
    ],
)
def test_degrees_minutes_and_seconds(
    key: str, degrees: object, reference: bytes, shared_folder: Path, tmp_path: Path
) -> None:
    """Rows DMS-1 and DMS-2: d + m/60 + s/3600, negative for S; printed to 1e-7 degrees."""
    (row,) = reference_rows(shared_folder, key)
    zero = ((0, 1), (0, 1), (0, 1))

    position = metadata_of(tmp_path, {"GPS": {1: reference, 2: degrees, 3: b"E", 4: zero}}).position

    assert position is not None
    assert row.agrees_with(position.latitude_deg)


@pytest.mark.parametrize("key", ["TIM-1", "TIM-2"])
def test_local_time_less_its_offset_is_utc(key: str, shared_folder: Path, tmp_path: Path) -> None:
    """Rows TIM-1 and TIM-2: Exif 2.31 offset tags; UTC is local time minus offset, exact."""
    (row,) = reference_rows(shared_folder, key)
    metadata = metadata_of(
        tmp_path,
        {
            "Exif": {
                36867: row.inputs["DateTimeOriginal"].encode(),
                36881: row.inputs["OffsetTimeOriginal"].encode(),
            }
        },
    )

    assert metadata.local_time is not None
    assert metadata.utc_offset_s is not None
    utc = metadata.local_time - dt.timedelta(seconds=metadata.utc_offset_s)
    assert f"{utc.isoformat()}Z" == row.expected


@pytest.mark.parametrize(("letter", "name"), [(b"T", "true"), (b"M", "magnetic")])
def test_which_north_a_heading_counts_from(
    letter: bytes, name: str, shared_folder: Path, tmp_path: Path
) -> None:
    """Rows IMG-1 and IMG-2: T is true, M magnetic; values run from 0.00 to 359.99."""
    allowed, span = reference_rows(shared_folder, "IMG-[12]")
    highest = span.expected.split(" to ")[1].replace(".", "")

    metadata = metadata_of(tmp_path, {"GPS": {16: letter, 17: (int(highest), 100)}})

    assert letter.decode() in allowed.expected.split(", ")
    assert (metadata.heading_deg, metadata.heading_reference) == (359.99, name)


def test_a_focal_length_of_zero_is_unknown(shared_folder: Path, tmp_path: Path) -> None:
    """Row FOV-0 (from memory of Exif): 0 means unknown, not a view of 180 degrees."""
    (row,) = reference_rows(shared_folder, "FOV-0")

    metadata = metadata_of(tmp_path, {"Exif": {41989: int(row.number("f35_mm"))}})

    assert metadata.focal_length_35mm_mm is None
