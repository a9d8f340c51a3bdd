"""Published pictures: upright, small, in sRGB, and with nothing but pixels in them."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator
from pathlib import Path

import piexif
import pytest
from piexif import ExifIFD, ImageIFD
from PIL import Image, ImageCms

from reportgen.model.photo import Picture
from reportgen.read.pictures import published_photo
from reportgen.read.reading import CampaignFile
from tests.read.made_photos import DEGREES, corners, hue, jpeg_bytes

SECRET = b"SECRET-4711"


def written(folder: Path, content: bytes, name: str = "x.jpg") -> CampaignFile:
    (folder / name).write_bytes(content)
    return CampaignFile(folder / name, name)


def pictures_of(file: CampaignFile) -> tuple[Picture, ...]:
    published, problems = published_photo(file, "k")
    assert problems == ()
    return published.pictures


def decoded(picture: Picture) -> Image.Image:
    image = Image.open(io.BytesIO(picture.content))
    image.load()
    return image


def segments(content: bytes) -> Iterator[int]:
    """Yield the markers before the pixels, as ITU-T T.81 lays them out (Annex B)."""
    at = 2
    while content[at + 1] != 0xDA:
        yield content[at + 1]
        at += 2 + int.from_bytes(content[at + 2 : at + 4], "big")


def secretive(folder: Path) -> CampaignFile:
    """Write a picture with something private in every hiding place that is known of."""
    exif = piexif.dump(
        {
            "0th": {ImageIFD.Make: SECRET, ImageIFD.Artist: SECRET},
            "Exif": {ExifIFD.BodySerialNumber: SECRET, ExifIFD.UserComment: SECRET},
            "GPS": DEGREES,
            "1st": {},
            "thumbnail": jpeg_bytes(corners((40, 20)), comment=SECRET),
        }
    )
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    plain = jpeg_bytes(
        corners((800, 400)),
        exif=exif,
        comment=SECRET,
        icc_profile=profile,
        xmp=b"<x:xmpmeta>" + SECRET + b"</x:xmpmeta>",
    )
    iptc = b"Photoshop 3.0\x008BIM\x04\x04\x00\x00" + len(SECRET).to_bytes(4, "big") + SECRET
    segment = b"\xff\xed" + (len(iptc) + 2).to_bytes(2, "big") + iptc
    return written(folder, plain[:2] + segment + plain[2:] + b"appended video " + SECRET)


def only_pixels(content: bytes) -> bool:
    """Tell whether a JPEG holds no segment that could carry words, and ends at its end."""
    known = {0xE0, 0xDB, 0xC2, 0xC4}  # JFIF header, tables, progressive frame
    return set(segments(content)) <= known and content.endswith(b"\xff\xd9")


def test_nothing_private_comes_along(tmp_path: Path) -> None:
    """Exif, XMP, IPTC, comment, thumbnail, colour profile and appended bytes all stay behind."""
    file = secretive(tmp_path)
    assert file.path.read_bytes().count(SECRET) >= 8

    pictures = pictures_of(file)

    assert len(pictures) == 2
    for picture in pictures:
        assert SECRET not in picture.content
        assert only_pixels(picture.content)
        assert decoded(picture).getexif() == {}
        assert set(decoded(picture).info) <= {
            "jfif",
            "jfif_version",
            "jfif_unit",
            "jfif_density",
            "progressive",
            "progression",
        }


def test_the_second_picture_of_a_multi_picture_file_stays_behind(tmp_path: Path) -> None:
    """A telephone's depth map or a second view hides behind the first picture."""
    path = tmp_path / "x.jpg"
    second = Image.new("RGB", (60, 40), "red")
    corners((60, 40)).save(path, "MPO", save_all=True, append_images=[second])

    (picture,) = pictures_of(CampaignFile(path, "x.jpg"))

    assert path.read_bytes().count(b"\xff\xd8\xff") == 2
    assert picture.content.count(b"\xff\xd8\xff") == 1
    assert only_pixels(picture.content)


@pytest.mark.shared
def test_real_photos_come_out_as_pixels_alone(real_inputs: Path) -> None:
    for path in sorted((real_inputs / "photos").rglob("*.*")):
        pictures = pictures_of(CampaignFile(path, path.name))

        assert pictures
        assert all(only_pixels(picture.content) for picture in pictures), path.name


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_picture_stands_upright_by_its_orientation(orientation: int, tmp_path: Path) -> None:
    """The picture is stored turned or mirrored; red must end up top left, blue top right."""
    turned_back = {
        1: None,
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }[orientation]
    image = corners((800, 400))
    stored = image if turned_back is None else image.transpose(turned_back)
    exif = piexif.dump({"0th": {ImageIFD.Orientation: orientation}})

    card, full = pictures_of(written(tmp_path, jpeg_bytes(stored, exif=exif)))

    assert (card.width_px, card.height_px) == (480, 240)
    assert (full.width_px, full.height_px) == (800, 400)
    assert hue(decoded(card), (20, 20)) == "red"
    assert hue(decoded(card), (460, 20)) == "blue"


@pytest.mark.shared
def test_a_heic_is_not_turned_twice(real_inputs: Path) -> None:
    """Its Exif says 6, its container has turned it: upright is 3 wide to 4 high."""
    path = real_inputs / "photos" / "iphone-xr_orientation6_west.heic"

    card, full = pictures_of(CampaignFile(path, path.name))

    assert (card.width_px, card.height_px) == (480, 640)
    assert (full.width_px, full.height_px) == (1600, 2133)


@pytest.mark.parametrize("size", [(1, 1), (1, 300), (300, 200)])
def test_a_small_picture_is_published_once_and_never_enlarged(
    size: tuple[int, int], tmp_path: Path
) -> None:
    (picture,) = pictures_of(written(tmp_path, jpeg_bytes(Image.new("RGB", size))))

    assert (picture.width_px, picture.height_px) == size


def test_a_strip_does_not_grow_endlessly_high(tmp_path: Path) -> None:
    card, full = pictures_of(written(tmp_path, jpeg_bytes(Image.new("RGB", (400, 9000)))))

    assert card.height_px == 3 * 480
    assert full.height_px == 3 * 1600


def test_the_name_is_made_of_the_content(tmp_path: Path) -> None:
    """Original names carry dates and places."""
    file = written(tmp_path, jpeg_bytes(corners((900, 450))), "2026-03-03 at home.jpg")

    for picture in pictures_of(file):
        assert picture.name == f"p-{hashlib.sha256(picture.content).hexdigest()[:16]}.jpg"


def test_the_same_photo_gives_the_same_bytes(tmp_path: Path) -> None:
    file = written(tmp_path, jpeg_bytes(corners((900, 450))))

    assert pictures_of(file) == pictures_of(file)


def test_a_wide_colour_profile_is_converted_not_dropped(tmp_path: Path) -> None:
    """A profile whose red and blue change places: dropped, red would stay red."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    red, blue = profile.index(b"rXYZ"), profile.index(b"bXYZ")
    profile[red : red + 4], profile[blue : blue + 4] = b"bXYZ", b"rXYZ"
    content = jpeg_bytes(Image.new("RGB", (60, 40), (200, 0, 0)), icc_profile=bytes(profile))

    (picture,) = pictures_of(written(tmp_path, content))

    assert hue(decoded(picture), (30, 20)) == "blue"


def test_a_broken_colour_profile_does_not_cost_the_picture(tmp_path: Path) -> None:
    content = jpeg_bytes(Image.new("RGB", (60, 40), (128, 128, 128)), icc_profile=b"no profile")

    (picture,) = pictures_of(written(tmp_path, content))

    shown = decoded(picture).getpixel((30, 20))
    assert isinstance(shown, tuple)
    assert abs(shown[0] - 128) <= 3


@pytest.mark.parametrize("mode", ["L", "CMYK"])
def test_other_colour_modes_become_rgb(mode: str, tmp_path: Path) -> None:
    (picture,) = pictures_of(written(tmp_path, jpeg_bytes(corners((60, 40)).convert(mode))))

    assert decoded(picture).mode == "RGB"


@pytest.mark.parametrize("kept", [0.5, 0.9])
def test_a_file_cut_short_has_no_pictures_and_a_problem(kept: float, tmp_path: Path) -> None:
    """Half a picture filled up with grey would pass for a whole one."""
    content = jpeg_bytes(Image.effect_noise((400, 300), 80).convert("RGB"))

    published, problems = published_photo(
        written(tmp_path, content[: int(len(content) * kept)]), "k"
    )

    assert (published.photo, published.pictures) == ("k", ())
    assert [problem.code for problem in problems] == ["photo/undecodable"]


def test_a_file_that_is_no_picture_has_a_problem(tmp_path: Path) -> None:
    published, problems = published_photo(written(tmp_path, b"words"), "k")

    assert published.pictures == ()
    assert [problem.code for problem in problems] == ["photo/undecodable"]
