"""Opens picture files safely: few formats, a size limit, warnings caught."""

from __future__ import annotations

import threading
import warnings
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass

import pi_heif
from PIL import ExifTags, Image

from reportgen.errors import CampaignError, Problem, Severity
from reportgen.read.colour_profiles import adobe_rgb_profile, display_p3_profile
from reportgen.read.reading import CampaignFile

FORMATS = ("JPEG", "HEIF")
"""What cameras and telephones write. A multi-picture file (MPO) opens as JPEG, first picture."""

LARGEST_PIXELS = 250_000_000
"""Above the 200 megapixels of the largest telephone cameras; more would eat the memory."""

LARGEST_DRAWING_PIXELS = 100_000_000
"""A PNG is decoded whole, four bytes a pixel, and a small file can hold any number of them."""

PROBLEM_CODES = (
    ("photo/undecodable", "A photo can't be decoded: no JPEG or HEIC, cut short or damaged."),
    ("photo/too-large", "A photo has more pixels than any camera makes."),
    ("photo/damaged-exif", "A photo's metadata is damaged; what could be read is used."),
)

_ADOBE_RGB_INDEX = "R03"
"""CIPA DC-008, interoperability index of the option file: pixels in Adobe RGB."""
_P3_PRIMARIES = 12
"""ITU-T H.273, table 2."""

# HEIC files count as pictures from here on. Their thumbnails and depth maps are not needed.
pi_heif.register_heif_opener(thumbnails=False, depth_images=False, aux_images=False)

_OPENING = threading.Lock()
"""Python keeps one list of warning filters and Pillow one size limit for all threads."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureFile:
    """An open picture with the metadata that was read from it.

    `orientation` is the Exif Orientation of the pixels as the decoder gives them: 1 for HEIC,
    whose container has turned them already. `colour_profile` is the ICC profile of the pixels,
    embedded or put together from what a tag says; None where nothing is said: sRGB.
    """

    image: Image.Image
    main_tags: Mapping[int, object]
    exif_tags: Mapping[int, object]
    gps_tags: Mapping[int, object]
    orientation: int
    complaints: tuple[str, ...]
    colour_profile: bytes | None = None


@contextmanager
def open_picture(file: CampaignFile, formats: tuple[str, ...] = FORMATS) -> Iterator[PictureFile]:
    """Open a picture and read its metadata; the pixels are not decoded yet.

    Raises
    ------
    CampaignError
        If it is no picture of the accepted formats, or too large.
    """
    try:
        picture = _opened(file, formats)
    except CampaignError:
        raise
    except Image.DecompressionBombError as error:
        raise CampaignError([_too_large(file, str(error), LARGEST_PIXELS)]) from error
    except Exception as error:  # a decoder may raise anything on broken bytes
        raise CampaignError([undecodable(file, error)]) from error
    with picture.image:
        yield picture


def undecodable(file: CampaignFile, error: Exception) -> Problem:
    """Return the problem of a picture that its decoder gave up on."""
    said = str(error).replace(str(file.path), file.name) or type(error).__name__
    return Problem(
        where=file.where(),
        code="photo/undecodable",
        severity=Severity.WARNING,
        found=f"bytes that can't be decoded ({said})",
        expected="a whole JPEG or HEIC file",
        do="copy the file again from the camera, or exclude it",
    )


def _opened(file: CampaignFile, formats: tuple[str, ...]) -> PictureFile:
    with _OPENING, warnings.catch_warnings(record=True) as caught, ExitStack() as closing:
        warnings.simplefilter("always")
        warnings.simplefilter("ignore", ResourceWarning)
        warnings.simplefilter("ignore", Image.DecompressionBombWarning)
        Image.MAX_IMAGE_PIXELS = LARGEST_PIXELS
        image = closing.enter_context(Image.open(file.path, formats=formats))
        largest = LARGEST_PIXELS if image.format in FORMATS else LARGEST_DRAWING_PIXELS
        if image.width * image.height > largest:
            size = f"{image.width} x {image.height} pixels"
            raise CampaignError([_too_large(file, size, largest)])
        main, exif, gps = _tags(image)
        closing.pop_all()
        return PictureFile(
            image=image,
            main_tags=main,
            exif_tags=exif,
            gps_tags=gps,
            orientation=_orientation(image, main),
            complaints=tuple(dict.fromkeys(str(item.message) for item in caught)),
            colour_profile=_colour_profile(image),
        )


def _tags(image: Image.Image) -> tuple[dict[int, object], dict[int, object], dict[int, object]]:
    """Return the main, the Exif and the GPS tags; none where their block is broken."""
    try:
        exif = image.getexif()
        return (
            dict(exif),
            dict(exif.get_ifd(ExifTags.IFD.Exif)),
            dict(exif.get_ifd(ExifTags.IFD.GPSInfo)),
        )
    except Exception as error:  # a broken block must not cost the picture
        warnings.warn(f"Exif: {error}", stacklevel=1)
        return {}, {}, {}


def _orientation(image: Image.Image, tags: Mapping[int, object]) -> int:
    value = tags.get(ExifTags.Base.Orientation)
    if image.format == "HEIF" or not isinstance(value, int) or not 1 <= value <= 8:
        return 1
    return value


def _colour_profile(image: Image.Image) -> bytes | None:
    """Return the profile of the pixels; an embedded one goes before what a tag says."""
    embedded = image.info.get("icc_profile")
    if isinstance(embedded, bytes) and embedded:
        return embedded
    stated = image.info.get("nclx_profile")
    if isinstance(stated, Mapping) and stated.get("color_primaries") == _P3_PRIMARIES:
        return display_p3_profile()
    return adobe_rgb_profile() if _interoperability(image) == _ADOBE_RGB_INDEX else None


def _interoperability(image: Image.Image) -> str:
    try:
        index = image.getexif().get_ifd(ExifTags.IFD.Interop).get(ExifTags.Interop.InteropIndex)
    except Exception:  # a broken block must not cost the picture
        return ""
    return index.strip("\0 ") if isinstance(index, str) else ""


def _too_large(file: CampaignFile, found: str, largest: int) -> Problem:
    return Problem(
        where=file.where(),
        code="photo/too-large",
        severity=Severity.WARNING,
        found=found,
        expected=f"at most {largest // 1_000_000} million pixels",
        do="make a smaller copy, or exclude it",
    )
