"""Published pictures keep the colours of wide-gamut originals, against the matrices of CSS Color 4.

W3C, CSS Color Module Level 4, section "Sample code for color conversions": the rational matrices
``lin_P3_to_XYZ``, ``lin_a98rgb_to_XYZ`` and ``XYZ_to_lin_sRGB`` (all from and to D65), the exponent
563/256 of a98-rgb and the transfer curve of sRGB. Seen in copies of that code by others, not on the
standard's own page.
"""

from __future__ import annotations

import io
from fractions import Fraction
from pathlib import Path

import numpy as np
import piexif
import pytest
from numpy.typing import NDArray
from PIL import Image

from reportgen.read import picture_file, pictures
from reportgen.read.colour_profiles import adobe_rgb_profile, display_p3_profile
from reportgen.read.pictures import published_photo
from reportgen.read.reading import CampaignFile
from tests.read.made_photos import jpeg_bytes

Colour = tuple[int, int, int]

P3_TO_XYZ = (
    ("608311/1250200", "189793/714400", "198249/1000160"),
    ("35783/156275", "247089/357200", "198249/2500400"),
    ("0", "32229/714400", "5220557/5000800"),
)
A98_TO_XYZ = (
    ("573536/994567", "263643/1420810", "187206/994567"),
    ("591459/1989134", "6239551/9945670", "374412/4972835"),
    ("53769/1989134", "351524/4972835", "4929758/4972835"),
)
XYZ_TO_SRGB = (
    ("12831/3959", "-329/214", "-1974/3959"),
    ("-851781/878810", "1648619/878810", "36519/878810"),
    ("705/12673", "-2585/12673", "705/667"),
)
INSIDE_SRGB: tuple[Colour, ...] = ((170, 110, 90), (90, 150, 80), (70, 90, 160), (128, 128, 128))
"""Colours that sRGB has, too, so that nothing is clipped."""


def matrix(rows: tuple[tuple[str, str, str], ...]) -> NDArray[np.float64]:
    return np.array([[float(Fraction(cell)) for cell in row] for row in rows])


def srgb_of(colour: Colour, to_xyz: NDArray[np.float64], *, is_a98: bool) -> NDArray[np.float64]:
    encoded = np.array(colour) / 255
    curved = np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4)
    linear = matrix(XYZ_TO_SRGB) @ to_xyz @ (encoded ** (563 / 256) if is_a98 else curved)
    assert linear.min() >= 0
    assert linear.max() <= 1
    shown = np.where(linear <= 0.0031308, linear * 12.92, 1.055 * linear ** (1 / 2.4) - 0.055)
    return np.asarray(shown * 255)


def published_colour(folder: Path, colour: Colour, **options: object) -> NDArray[np.float64]:
    path = folder / "flat.jpg"
    path.write_bytes(
        jpeg_bytes(Image.new("RGB", (64, 64), colour), quality=98, subsampling=0, **options)
    )
    photo, problems = published_photo(CampaignFile(path, path.name), "k")
    assert problems == ()
    image = Image.open(io.BytesIO(photo.pictures[0].content))
    pixels = np.asarray(image, dtype=np.float64).reshape(-1, 3)
    return np.array([band.mean() for band in pixels.T])


def check_all(
    folder: Path, to_xyz: NDArray[np.float64], *, is_a98: bool, **options: object
) -> None:
    """Compare to 2.5 of 255: both JPEGs round, and so does the conversion."""
    moved = 0.0
    for colour in INSIDE_SRGB:
        expected = srgb_of(colour, to_xyz, is_a98=is_a98)
        moved = max(moved, float(np.abs(expected - colour).max()))
        assert published_colour(folder, colour, **options) == pytest.approx(expected, abs=2.5)
    assert moved > 10  # as far off would be a picture whose profile was only dropped


def test_an_embedded_p3_profile_is_followed(tmp_path: Path) -> None:
    check_all(tmp_path, matrix(P3_TO_XYZ), is_a98=False, icc_profile=display_p3_profile())


def test_an_embedded_adobe_rgb_profile_is_followed(tmp_path: Path) -> None:
    check_all(tmp_path, matrix(A98_TO_XYZ), is_a98=True, icc_profile=adobe_rgb_profile())


@pytest.mark.shared
def test_the_p3_profile_of_a_telephone_is_followed(real_inputs: Path, tmp_path: Path) -> None:
    """The profile as its maker writes it, on colours of our own."""
    with Image.open(real_inputs / "photos" / "iphone-xr_orientation6_west.heic") as photo:
        profile = photo.info["icc_profile"]

    check_all(tmp_path, matrix(P3_TO_XYZ), is_a98=False, icc_profile=profile)


def test_a_camera_set_to_adobe_rgb_may_say_so_by_a_tag_alone(tmp_path: Path) -> None:
    """CIPA DC-008, interoperability index R03: such cameras embed no profile."""
    exif = piexif.dump({"Exif": {}, "Interop": {piexif.InteropIFD.InteroperabilityIndex: b"R03"}})

    check_all(tmp_path, matrix(A98_TO_XYZ), is_a98=True, exif=exif)


def test_an_ordinary_camera_is_taken_at_its_word(tmp_path: Path) -> None:
    """R98 is sRGB: nothing moves."""
    exif = piexif.dump({"Exif": {}, "Interop": {piexif.InteropIFD.InteroperabilityIndex: b"R98"}})

    for colour in INSIDE_SRGB:
        assert published_colour(tmp_path, colour, exif=exif) == pytest.approx(colour, abs=2.5)


def test_primaries_that_a_heic_states_by_number_are_followed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """ITU-T H.273: 12 is P3. Nothing here writes HEIC, so the decoder's word is made up."""
    original = picture_file._opened

    def opened(file: CampaignFile, formats: tuple[str, ...]) -> picture_file.PictureFile:
        picture = original(file, formats)
        picture.image.info["nclx_profile"] = {"color_primaries": 12}
        profile = picture_file._colour_profile(picture.image)
        return picture_file.PictureFile(
            image=picture.image, main_tags={}, exif_tags={}, gps_tags={}, orientation=1,
            complaints=(), colour_profile=profile,
        )  # fmt: skip

    monkeypatch.setattr(picture_file, "_opened", opened)

    check_all(tmp_path, matrix(P3_TO_XYZ), is_a98=False)


def test_transparency_does_not_cost_the_colours() -> None:
    """A HEIC may carry an alpha channel beside a wide-gamut profile."""
    plain = Image.new("RGB", (4, 4), (170, 110, 90))
    profile = display_p3_profile()

    with_alpha = pictures._srgb(plain.convert("RGBA"), profile)

    assert with_alpha.tobytes() == pictures._srgb(plain, profile).tobytes()
    assert with_alpha.tobytes() != plain.tobytes()
