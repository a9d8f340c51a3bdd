"""Metadata of photos: real files of many cameras, and made files for each way to be broken."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import piexif
import pytest
from piexif import GPSIFD, ExifIFD, ImageIFD
from PIL import Image

from reportgen.model.photo import PhotoMetadata
from reportgen.model.station import Position
from reportgen.read.photos import read_photo
from reportgen.read.picture_file import LARGEST_PIXELS
from reportgen.read.reading import CampaignFile
from tests.read.made_photos import DEGREES, Tags, photo

REAL = (
    "photos/corrupt_exif.jpg",
    "photos/corrupt_large_thumbnail.jpg",
    "photos/corrupt_wrong_type.jpg",
    "photos/empty-gps.jpg",
    "photos/empty_exif.jpg",
    "photos/finepix_gpstime-no-date_west.jpg",
    "photos/htc-desire.jpg",
    "photos/htc-m8_gps-as-ascii.jpg",
    "photos/iphone-xr_1x1-pixel.jpg",
    "photos/iphone-xr_orientation6_west.heic",
    "photos/iphone11pro_exif-at-eof_offset-0400.heic",
    "photos/iphone4_dirT_gpstime-no-date.jpg",
    "photos/iphone4s_orientation6_lens.jpg",
    "photos/iphone5_orientation3_west.jpg",
    "photos/no-datetime_zero-gpsdate_neg-altitude.jpg",
    "photos/nokia83_offset+0300.jpg",
    "photos/orientation/Landscape_3.jpg",
    "photos/orientation/Landscape_7.jpg",
    "photos/orientation/Portrait_6.jpg",
    "photos/orientation/Portrait_8.jpg",
    "photos/pixel_tiny.jpg",
    "photos/sony-hx5v_dirM.jpg",
    "photos/south_adobe-xmp.jpg",
    "photos/thompson-springs_dirM_west.jpg",
    "walks/pyrenees/dsc01418.jpg",
    "walks/pyrenees/dsc01476.jpg",
    "walks/pyrenees/dsc01520.jpg",
)
POSITION_REFUSED = {
    "photos/htc-m8_gps-as-ascii.jpg": "photo/position-unreadable",
    "photos/south_adobe-xmp.jpg": "photo/position-in-xmp",
    "photos/empty-gps.jpg": "photo/position-blanked",
}
"""Files whose position is refused on purpose, and what is said of it."""


@pytest.fixture(scope="module")
def expected(real_inputs: Path) -> dict[str, dict[str, object]]:
    """Return values worked out independently, by two other tools."""
    found: dict[str, dict[str, object]] = json.loads(
        (real_inputs / "expected.json").read_text(encoding="utf-8")
    )["photos"]
    return found


def metadata_of(file: CampaignFile) -> PhotoMetadata:
    metadata, _ = read_photo(file)
    assert metadata is not None
    return metadata


def codes_of(file: CampaignFile) -> list[str]:
    return [problem.code for problem in read_photo(file)[1]]


def number(values: dict[str, object], name: str) -> float | None:
    value = values.get(name)
    return float(str(value)) if value is not None else None


def wall_clock(values: dict[str, object]) -> dt.datetime | None:
    text = values.get("DateTimeOriginal")
    if text is None:
        return None
    fraction = str(values.get("SubSecTimeOriginal", "")).ljust(6, "0")
    return dt.datetime.strptime(f"{text}.{fraction}", "%Y:%m:%d %H:%M:%S.%f")  # noqa: DTZ007


@pytest.mark.shared
def test_every_real_photo_is_expected(expected: dict[str, dict[str, object]]) -> None:
    assert set(expected) == set(REAL)


@pytest.mark.shared
@pytest.mark.parametrize("name", REAL)
def test_time_of_a_real_photo(
    name: str, real_inputs: Path, expected: dict[str, dict[str, object]]
) -> None:
    metadata = metadata_of(CampaignFile(real_inputs / name, name))
    offset = str(expected[name].get("OffsetTimeOriginal", ""))

    assert metadata.local_time == wall_clock(expected[name])
    assert metadata.utc_offset_s == {"": None, "-04:00": -14_400, "+03:00": 10_800}[offset]


@pytest.mark.shared
@pytest.mark.parametrize("name", REAL)
def test_gps_time_of_a_real_photo(
    name: str, real_inputs: Path, expected: dict[str, dict[str, object]]
) -> None:
    """A clock without date stays a clock; zeros and text are no time."""
    metadata = metadata_of(CampaignFile(real_inputs / name, name))
    date, clock = expected[name].get("GPSDateStamp"), expected[name].get("GPSTimeStamp")
    if name in POSITION_REFUSED or date == "0000:00:00" or clock is None:
        assert (metadata.gps_time_utc, metadata.gps_clock_s) == (None, None)
        return
    hours, minutes, seconds = (float(part) for part in str(clock).split(":"))
    clock_s = hours * 3600 + minutes * 60 + seconds

    if date is None:
        assert metadata.gps_time_utc is None
        assert metadata.gps_clock_s == pytest.approx(clock_s, abs=1e-6)
    else:
        midnight = dt.datetime.strptime(f"{date} +0000", "%Y:%m:%d %z")
        assert metadata.gps_time_utc is not None
        assert metadata.gps_clock_s is None
        assert (metadata.gps_time_utc - midnight).total_seconds() == pytest.approx(clock_s)


@pytest.mark.shared
@pytest.mark.parametrize("name", REAL)
def test_position_of_a_real_photo(
    name: str, real_inputs: Path, expected: dict[str, dict[str, object]]
) -> None:
    file = CampaignFile(real_inputs / name, name)
    metadata = metadata_of(file)
    latitude_deg = number(expected[name], "GPSLatitude")
    if name in POSITION_REFUSED:
        assert metadata.position is None
        assert codes_of(file) == [POSITION_REFUSED[name]]
    elif latitude_deg is None:
        assert metadata.position is None
    else:
        assert metadata.position is not None
        assert metadata.position.latitude_deg == pytest.approx(latitude_deg, abs=1e-6)
        assert metadata.position.longitude_deg == pytest.approx(
            number(expected[name], "GPSLongitude"), abs=1e-6
        )


@pytest.mark.shared
@pytest.mark.parametrize("name", sorted(set(REAL) - set(POSITION_REFUSED)))
def test_altitude_of_a_real_photo(
    name: str, real_inputs: Path, expected: dict[str, dict[str, object]]
) -> None:
    """One has a reference without an altitude (unknown, not 0), one lies below sea level."""
    metadata = metadata_of(CampaignFile(real_inputs / name, name))

    assert metadata.altitude_msl_m == pytest.approx(number(expected[name], "GPSAltitude"))


@pytest.mark.shared
@pytest.mark.parametrize("name", REAL)
def test_view_of_a_real_photo(
    name: str, real_inputs: Path, expected: dict[str, dict[str, object]]
) -> None:
    """A heading without reference is not called true; a focal length of 0 is unknown."""
    metadata = metadata_of(CampaignFile(real_inputs / name, name))
    values = expected[name]
    reference = {"T": "true", "M": "magnetic"}.get(str(values.get("GPSImgDirectionRef")))

    assert metadata.heading_deg == pytest.approx(number(values, "GPSImgDirection"))
    assert metadata.heading_reference == reference
    assert metadata.focal_length_35mm_mm == (number(values, "FocalLengthIn35mmFormat") or None)


@pytest.mark.shared
@pytest.mark.parametrize("name", REAL)
def test_upright_size_of_a_real_photo(
    name: str, real_inputs: Path, expected: dict[str, dict[str, object]]
) -> None:
    """A HEIC's container has turned the pixels already; its Orientation of 6 must not count."""
    metadata = metadata_of(CampaignFile(real_inputs / name, name))
    stored = (expected[name]["ImageWidth"], expected[name]["ImageHeight"])
    orientation = number(expected[name], "Orientation") or 1
    upright = stored if orientation < 5 else stored[::-1]

    assert (metadata.width_px, metadata.height_px) == upright
    assert metadata.orientation == (1 if name.endswith(".heic") else orientation)


@pytest.mark.shared
def test_an_undated_real_photo_is_kept_with_a_warning(real_inputs: Path) -> None:
    name = "photos/no-datetime_zero-gpsdate_neg-altitude.jpg"

    assert codes_of(CampaignFile(real_inputs / name, name)) == ["photo/undated"]


@pytest.mark.shared
@pytest.mark.parametrize(
    ("name", "camera"),
    [
        ("photos/htc-desire.jpg", "HTC Desire"),
        ("photos/sony-hx5v_dirM.jpg", "SONY DSC-HX5V"),
        ("photos/corrupt_exif.jpg", "ONEPLUS A3003"),
        ("photos/htc-m8_gps-as-ascii.jpg", ""),
    ],
)
def test_a_camera_is_named_by_make_and_model_once(
    name: str, camera: str, real_inputs: Path
) -> None:
    assert metadata_of(CampaignFile(real_inputs / name, name)).camera == camera


@pytest.mark.parametrize(
    ("time", "fraction", "expected_time"),
    [
        (b"2026:03:03 10:00:05", b"5", "2026-03-03 10:00:05.500000"),
        (b"2026:03:03 10:00:05", b"042", "2026-03-03 10:00:05.042000"),
        (b"2026:03:03 10:00:05", b"1234567", "2026-03-03 10:00:05.123456"),
        (b"2026:03:03 10:00:05", b"   ", "2026-03-03 10:00:05"),
        (b"2026-03-03 10:00:05\x00\x00", b"", "2026-03-03 10:00:05"),
        (b"0000:00:00 00:00:00", b"12", None),
        (b"    :  :     :  :  ", b"", None),
    ],
)
def test_time_and_its_fraction(
    time: bytes, fraction: bytes, expected_time: str | None, tmp_path: Path
) -> None:
    """Sub-seconds are digits after the point, however many; blanks and zeros are unknown."""
    file = photo(
        tmp_path,
        exif={ExifIFD.DateTimeOriginal: time, ExifIFD.SubSecTimeOriginal: fraction},
    )

    assert str(metadata_of(file).local_time) == str(expected_time)
    assert codes_of(file) == ([] if expected_time else ["photo/undated"])


@pytest.mark.parametrize("time", [b"2026:02:30 10:00:05", b"yesterday", b"03.03.2026 10:00"])
def test_a_time_that_is_none_is_reported_and_not_used(time: bytes, tmp_path: Path) -> None:
    file = photo(tmp_path, exif={ExifIFD.DateTimeOriginal: time})

    assert metadata_of(file).local_time is None
    assert codes_of(file) == ["photo/time-unreadable"]


@pytest.mark.parametrize(
    ("offset", "expected_s", "codes"),
    [
        (b"+02:00", 7200, []),
        (b"-05:30", -19_800, []),
        (b"-5:00", -18_000, []),
        (b"+0100", 3600, []),
        (b"Z", 0, []),
        (b"+00:00", 0, []),
        (b"   :  ", None, []),
        (b"", None, []),
        (b"+25:00", None, ["photo/time-unreadable"]),
        (b"CEST", None, ["photo/time-unreadable"]),
    ],
)
def test_offsets_as_cameras_write_them(
    offset: bytes, expected_s: int | None, codes: list[str], tmp_path: Path
) -> None:
    """Some write '-5:00'; a blank offset is unknown, never UTC."""
    file = photo(
        tmp_path,
        exif={
            ExifIFD.DateTimeOriginal: b"2026:03:03 10:00:05",
            ExifIFD.OffsetTimeOriginal: offset,
        },
    )

    assert metadata_of(file).utc_offset_s == expected_s
    assert codes_of(file) == codes


@pytest.mark.parametrize(
    ("north", "east", "latitude_deg", "longitude_deg"),
    [
        (b"N", b"E", 40.446195, 31.25),
        (b"S", b"W", -40.446195, -31.25),
        (b"s", b"w", -40.446195, -31.25),
    ],
)
def test_hemispheres_set_the_sign(
    north: bytes, east: bytes, latitude_deg: float, longitude_deg: float, tmp_path: Path
) -> None:
    """South and west together: no real photo of such a place was found."""
    refs = {GPSIFD.GPSLatitudeRef: north, GPSIFD.GPSLongitudeRef: east}

    position = metadata_of(photo(tmp_path, gps={**DEGREES, **refs})).position

    assert position is not None
    assert position.latitude_deg == pytest.approx(latitude_deg, abs=1e-9)
    assert position.longitude_deg == pytest.approx(longitude_deg, abs=1e-9)


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({GPSIFD.GPSLatitudeRef: b"\x00"}, "photo/position-unreadable"),
        ({GPSIFD.GPSLongitudeRef: b"N"}, "photo/position-unreadable"),
        ({GPSIFD.GPSLatitude: ((91, 1), (0, 1), (0, 1))}, "photo/position-unreadable"),
        ({GPSIFD.GPSLatitude: ((40, 1), (75, 1), (0, 1))}, "photo/position-unreadable"),
        ({GPSIFD.GPSLatitude: ((40, 0), (1, 1), (0, 1))}, "photo/position-unreadable"),
        (
            {
                GPSIFD.GPSLatitude: ((0, 1), (0, 1), (0, 1)),
                GPSIFD.GPSLongitude: ((0, 1), (0, 1), (0, 1)),
            },
            "photo/position-blanked",
        ),
        (
            {
                GPSIFD.GPSLatitude: ((0, 0), (0, 0), (0, 0)),
                GPSIFD.GPSLongitude: ((0, 0), (0, 0), (0, 0)),
                GPSIFD.GPSLatitudeRef: b"",
            },
            "photo/position-blanked",
        ),
    ],
)
def test_a_position_that_can_not_be_trusted_is_not_used(
    change: Tags, code: str, tmp_path: Path
) -> None:
    """No hemisphere is no position: half the guesses would lie beyond the equator."""
    file = photo(
        tmp_path,
        exif={ExifIFD.DateTimeOriginal: b"2026:03:03 10:00:05"},
        gps={**DEGREES, GPSIFD.GPSAltitudeRef: 0, GPSIFD.GPSAltitude: (0, 1), **change},
    )
    metadata = metadata_of(file)

    assert (metadata.position, metadata.altitude_msl_m) == (None, None)
    assert codes_of(file) == [code]


def test_a_blanked_position_says_how_to_copy(tmp_path: Path) -> None:
    zeros = ((0, 1), (0, 1), (0, 1))
    file = photo(tmp_path, gps={**DEGREES, GPSIFD.GPSLatitude: zeros, GPSIFD.GPSLongitude: zeros})

    assert any("by cable" in problem.do for problem in read_photo(file)[1])


def test_a_place_on_the_equator_is_a_place(tmp_path: Path) -> None:
    zero = {GPSIFD.GPSLatitude: ((0, 1), (0, 1), (0, 1))}

    assert metadata_of(photo(tmp_path, gps={**DEGREES, **zero})).position == Position(
        latitude_deg=0.0, longitude_deg=-31.25
    )


@pytest.mark.parametrize(
    ("reference", "altitude", "expected_m"),
    [(0, (105, 10), 10.5), (1, (105, 10), -10.5), (0, (1, 0), None), (2, (105, 10), None)],
)
def test_altitude_and_its_reference(
    reference: int, altitude: tuple[int, int], expected_m: float | None, tmp_path: Path
) -> None:
    """References above 1 are heights above the ellipsoid (Exif 3.0; from memory)."""
    tags = {GPSIFD.GPSAltitudeRef: reference, GPSIFD.GPSAltitude: altitude}

    assert metadata_of(photo(tmp_path, gps={**DEGREES, **tags})).altitude_msl_m == expected_m


@pytest.mark.parametrize(
    ("heading", "reference", "expected_deg", "north"),
    [
        ((3599, 10), b"T", 359.9, "true"),
        ((360, 1), b"M", 0.0, "magnetic"),
        ((90, 1), b"X", 90.0, None),
        ((361, 1), b"T", None, None),
        ((1, 0), b"T", None, None),
    ],
)
def test_heading_and_which_north(
    heading: tuple[int, int],
    reference: bytes,
    expected_deg: float | None,
    north: str | None,
    tmp_path: Path,
) -> None:
    tags = {GPSIFD.GPSImgDirection: heading, GPSIFD.GPSImgDirectionRef: reference}
    metadata = metadata_of(photo(tmp_path, gps=tags))

    assert (metadata.heading_deg, metadata.heading_reference) == (expected_deg, north)


@pytest.mark.parametrize(("error", "expected_m"), [((48, 10), 4.8), ((0, 1), None), ((5, 0), None)])
def test_the_stated_error_of_a_position(
    error: tuple[int, int], expected_m: float | None, tmp_path: Path
) -> None:
    tags = {GPSIFD.GPSHPositioningError: error}

    assert metadata_of(photo(tmp_path, gps={**DEGREES, **tags})).position_error_m == expected_m


def test_a_gps_date_without_clock_is_no_time(tmp_path: Path) -> None:
    metadata = metadata_of(photo(tmp_path, gps={GPSIFD.GPSDateStamp: b"2026:03:03"}))

    assert (metadata.gps_time_utc, metadata.gps_clock_s) == (None, None)


def test_an_orientation_out_of_range_counts_as_upright(tmp_path: Path) -> None:
    metadata = metadata_of(photo(tmp_path, main={ImageIFD.Orientation: 9}, size=(60, 40)))

    assert (metadata.orientation, metadata.width_px, metadata.height_px) == (1, 60, 40)


@pytest.mark.parametrize("content", [b"", b"\xff\xd8\xff", b"GIF89a" + bytes(99), b"no picture"])
def test_what_is_no_picture_has_no_metadata_and_a_problem(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "x.jpg"
    path.write_bytes(content)

    metadata, problems = read_photo(CampaignFile(path, "photos/x.jpg"))

    assert metadata is None
    assert [(p.code, str(p.where)) for p in problems] == [("photo/undecodable", "photos/x.jpg")]
    assert str(tmp_path) not in str(problems[0])


def test_another_format_is_refused_whatever_its_ending(tmp_path: Path) -> None:
    path = tmp_path / "x.jpg"
    Image.new("RGB", (4, 4)).save(path, "PNG")

    assert read_photo(CampaignFile(path, "x.jpg"))[0] is None


@pytest.mark.parametrize("side", [16_000, 40_000])
def test_a_picture_of_absurd_size_is_refused_by_its_header(side: int, tmp_path: Path) -> None:
    """A few bytes can claim gigabytes of pixels; 200 megapixels are a telephone's."""
    file = photo(tmp_path)
    content = bytearray(file.path.read_bytes())
    frame = content.index(b"\xff\xc0")
    content[frame + 5 : frame + 9] = side.to_bytes(2, "big") * 2
    file.path.write_bytes(bytes(content))

    metadata, problems = read_photo(file)

    assert side * side > LARGEST_PIXELS
    assert metadata is None
    assert [problem.code for problem in problems] == ["photo/too-large"]


def test_a_200_megapixel_photo_is_read(tmp_path: Path) -> None:
    file = photo(tmp_path)
    content = bytearray(file.path.read_bytes())
    frame = content.index(b"\xff\xc0")
    content[frame + 5 : frame + 9] = (12_240).to_bytes(2, "big") + (16_320).to_bytes(2, "big")
    file.path.write_bytes(bytes(content))

    assert (metadata_of(file).width_px, metadata_of(file).height_px) == (16_320, 12_240)


def test_damaged_exif_is_reported_and_the_rest_used(tmp_path: Path) -> None:
    """The block is cut in the middle: the decoder warns, and so do we."""
    block = piexif.dump({"0th": {ImageIFD.Make: b"Maker" * 40, ImageIFD.Model: b"M" * 90}})
    path = tmp_path / "x.jpg"
    Image.new("RGB", (60, 40)).save(path, "JPEG", exif=block[:-120])

    metadata, problems = read_photo(CampaignFile(path, "x.jpg"))

    assert metadata is not None
    assert metadata.width_px == 60
    assert "photo/damaged-exif" in [problem.code for problem in problems]


def test_random_damage_to_exif_never_stops_the_reading(tmp_path: Path) -> None:
    """Every byte of the block in turn is turned over."""
    file = photo(
        tmp_path,
        main={ImageIFD.Make: b"Maker", ImageIFD.Orientation: 6},
        exif={ExifIFD.DateTimeOriginal: b"2026:03:03 10:00:05"},
        gps=DEGREES,
    )
    content = file.path.read_bytes()
    start, end = content.index(b"Exif"), content.index(b"\xff\xdb")
    for index in range(start + 6, end, 3):
        damaged = bytearray(content)
        damaged[index] ^= 0xFF
        file.path.write_bytes(bytes(damaged))

        metadata, _ = read_photo(file)

        assert metadata is None or {metadata.width_px, metadata.height_px} == {60, 40}
