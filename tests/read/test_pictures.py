"""Published pictures: upright, small, in sRGB, and with nothing but pixels in them."""

from __future__ import annotations

import hashlib
import io
import struct
from collections.abc import Iterator
from pathlib import Path

import piexif
import pytest
from piexif import ExifIFD, ImageIFD
from PIL import Image, ImageCms

from reportgen.model.photo import Picture, PictureFormat
from reportgen.read.pictures import can_write, published_photo
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


def markers(content: bytes) -> Iterator[int]:
    """Yield every marker from the first to the last, as ITU-T T.81 lays them out (Annex B).

    A progressive picture has tables between its scans: what hides there counts, too.
    """
    at = 2
    while at < len(content):
        assert content[at] == 0xFF
        code = content[at + 1]
        yield code
        at += 2
        if code != 0xD9:
            at += int.from_bytes(content[at : at + 2], "big")
        while code == 0xDA and (content[at] != 0xFF or content[at + 1] in (0, *range(0xD0, 0xD8))):
            at += 1


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
    known = {0xE0, 0xDB, 0xC2, 0xC4, 0xDA, 0xD9}  # JFIF, tables, progressive frame, scans, end
    found = list(markers(content))
    return set(found) <= known and found.count(0xD9) == 1


def test_nothing_private_comes_along(tmp_path: Path) -> None:
    """Exif, XMP, IPTC, comment, thumbnail, colour profile and appended bytes all stay behind."""
    file = secretive(tmp_path)
    assert file.path.read_bytes().count(SECRET) >= 8

    pictures = pictures_of(file)

    assert len(pictures) == 2
    original = set(markers(file.path.read_bytes().partition(b"appended")[0]))
    assert {0xE1, 0xE2, 0xED, 0xFE} <= original  # Exif and XMP, profile, IPTC, comment
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

    assert (card.width_px, card.height_px) == (560, 280)
    assert (full.width_px, full.height_px) == (800, 400)
    assert hue(decoded(card), (20, 20)) == "red"
    assert hue(decoded(card), (460, 20)) == "blue"


@pytest.mark.shared
def test_a_heic_is_not_turned_twice(real_inputs: Path) -> None:
    """Its Exif says 6, its container has turned it: upright is 3 wide to 4 high."""
    path = real_inputs / "photos" / "iphone-xr_orientation6_west.heic"

    card, _, full = pictures_of(CampaignFile(path, path.name))

    assert (card.width_px, card.height_px) == (560, 747)
    assert (full.width_px, full.height_px) == (1600, 2133)


@pytest.mark.parametrize("size", [(1, 1), (1, 300), (300, 200)])
def test_a_small_picture_is_published_once_and_never_enlarged(
    size: tuple[int, int], tmp_path: Path
) -> None:
    (picture,) = pictures_of(written(tmp_path, jpeg_bytes(Image.new("RGB", size))))

    assert (picture.width_px, picture.height_px) == size


def test_a_strip_does_not_grow_endlessly_high(tmp_path: Path) -> None:
    pictures = pictures_of(written(tmp_path, jpeg_bytes(Image.new("RGB", (400, 9000)))))

    assert [picture.height_px for picture in pictures] == [3 * 560, 3 * 960, 3 * 1600]


def test_a_large_picture_is_published_in_three_sizes(tmp_path: Path) -> None:
    """A telephone that draws two points for one takes the middle one: half the bytes."""
    pictures = pictures_of(written(tmp_path, jpeg_bytes(corners((2000, 1000)))))

    sizes = [(picture.width_px, picture.height_px) for picture in pictures]
    assert sizes == [(560, 280), (960, 480), (1600, 800)]


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


def test_a_picture_of_another_kind_under_a_jpeg_name_has_a_problem(tmp_path: Path) -> None:
    """Sixteen bits a channel, as a scanner's PNG has: no camera of a walk wrote it."""
    buffer = io.BytesIO()
    Image.new("I;16", (60, 40), 40_000).save(buffer, "PNG")

    published, problems = published_photo(written(tmp_path, buffer.getvalue()), "k")

    assert published.pictures == ()
    assert [problem.code for problem in problems] == ["photo/undecodable"]


def gray_profile(gamma: float) -> bytes:
    """Return a profile of grey with a plain gamma (ICC.1:2010, sections 7.2, 8.4.2, 10.5)."""
    white = struct.pack(">3i", 63190, 65536, 54061)
    curve = b"curv" + bytes(4) + struct.pack(">IH", 1, round(gamma * 256)) + bytes(2)
    elements = ((b"kTRC", curve), (b"wtpt", b"XYZ " + bytes(4) + white))
    at, table, body = 128 + 4 + 12 * len(elements), struct.pack(">I", len(elements)), b""
    for name, element in elements:
        table += struct.pack(">4sII", name, at + len(body), len(element))
        body += element
    start = struct.pack(">I4sI4s4s4s", at + len(body), b"", 0x04000000, b"mntr", b"GRAY", b"XYZ ")
    header = (start + bytes(12) + b"acsp" + bytes(28) + white).ljust(128, b"\0")
    return header + table + body


def test_the_profile_of_a_grey_picture_is_followed(tmp_path: Path) -> None:
    """Half the code value at gamma 1 is half the light, which sRGB writes as 188."""
    content = jpeg_bytes(Image.new("L", (60, 40), 128), icc_profile=gray_profile(1.0))

    (picture,) = pictures_of(written(tmp_path, content))

    shown = decoded(picture).getpixel((30, 20))
    assert shown == pytest.approx((188, 188, 188), abs=2)


def test_inks_of_an_adobe_jpeg_come_out_as_light(tmp_path: Path) -> None:
    """Such files store the inks inverted: read straight, white would be black."""
    image = corners((60, 40)).convert("CMYK")

    (picture,) = pictures_of(written(tmp_path, jpeg_bytes(image)))

    assert hue(decoded(picture), (5, 5)) == "red"
    assert min(decoded(picture).convert("L").crop((25, 25, 35, 35)).tobytes()) > 240


def test_a_profile_of_another_kind_of_colour_is_left_aside(tmp_path: Path) -> None:
    """A grey picture with a profile of red, green and blue."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    content = jpeg_bytes(Image.new("L", (60, 40), 128), icc_profile=profile)

    (picture,) = pictures_of(written(tmp_path, content))

    assert decoded(picture).getpixel((30, 20)) == pytest.approx((128, 128, 128), abs=2)


def test_jpegs_are_progressive(tmp_path: Path) -> None:
    for picture in pictures_of(written(tmp_path, jpeg_bytes(corners((900, 450))))):
        assert decoded(picture).info["progressive"] == 1


@pytest.mark.parametrize("picture_format", ["webp", "avif"])
def test_other_formats_hold_nothing_but_pixels(
    picture_format: PictureFormat, tmp_path: Path
) -> None:
    if not can_write(picture_format):
        pytest.skip(f"this Pillow can't write {picture_format}")
    file = secretive(tmp_path)

    published, problems = published_photo(file, "k", picture_format=picture_format)
    again, _ = published_photo(file, "k", picture_format=picture_format)

    assert problems == ()
    assert published == again
    assert [picture.width_px for picture in published.pictures] == [560, 800]
    for picture in published.pictures:
        assert picture.name.endswith(f".{picture_format}")
        assert SECRET not in picture.content
        for mark in (b"Exif", b"EXIF", b"XMP ", b"ICCP", b"xmpmeta", b"mime", b"prof"):
            assert mark not in picture.content
        assert hue(decoded(picture), (20, 20)) == "red"


def test_a_webp_is_one_chunk_of_pixels(tmp_path: Path) -> None:
    """RFC 9649: metadata and profiles are chunks of their own."""
    if not can_write("webp"):
        pytest.skip("this Pillow can't write webp")

    published, _ = published_photo(secretive(tmp_path), "k", picture_format="webp")

    for content in (picture.content for picture in published.pictures):
        assert (content[:4], content[8:16]) == (b"RIFF", b"WEBPVP8 ")
        size = int.from_bytes(content[16:20], "little")
        assert len(content) == 20 + size + size % 2


def test_a_format_that_is_not_installed_is_said_to_be_missing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("PIL.features.check", {"avif": False}.get)

    assert not can_write("avif")
    assert can_write("jpeg")
