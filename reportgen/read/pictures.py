"""Pictures for the site: smaller, upright, in sRGB, and without anything but pixels.

The original never leaves the campaign folder. Nothing is carried over from it except pixels,
which are pasted on a fresh image, so that no metadata can come along in any hiding place.
"""

from __future__ import annotations

import hashlib
import io
import math
import threading
from collections.abc import Iterable, Sequence
from contextlib import AbstractContextManager, nullcontext

from PIL import Image, ImageCms, features

from reportgen.errors import CampaignError, Problem
from reportgen.model.photo import HiddenBox, Picture, PictureFormat, PublishedPhoto
from reportgen.read.picture_file import FORMATS, PictureFile, open_picture, undecodable
from reportgen.read.reading import CampaignFile

WIDTHS_PX = (560, 960, 1600)
"""A card on a large screen, a card on a finely drawn one, and the picture opened large."""

OVERLAY_WIDTHS_PX = (1200,)
"""Of a picture under a map, which is drawn some 1040 wide."""
OVERLAY_FORMATS = ("JPEG", "PNG")

_QUALITY = {"jpeg": 82, "webp": 80, "avif": 60}
"""Common practice for photos on the web; 1600 px come to some 600 kB as JPEG."""

_ENDINGS = {"jpeg": "jpg", "webp": "webp", "avif": "avif"}

_FLAT = (128, 128, 128)
"""What a hidden part is filled with: a grey, and no blur, which can be undone."""

_TALLEST = 3
"""Heights stay under this multiple of the width, so that no strip panorama fills a page."""

_ROOM_TO_SHRINK = 1.2
"""How much larger than asked the decoder may leave a picture: it shrinks by halves at no cost."""

LARGE_PIXELS = 60_000_000
_ONE_LARGE = threading.Lock()
"""Pictures are made in threads; of the large ones one at a time has room in a small computer."""

_UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
"""What makes a stored picture upright, by Exif Orientation (CIPA DC-008). Pillow turns counter-
clockwise."""


def can_write(picture_format: PictureFormat) -> bool:
    """Whether this installation's Pillow writes a format."""
    return picture_format == "jpeg" or bool(features.check(picture_format))


def published_photo(
    file: CampaignFile,
    key: str,
    widths: Iterable[int] = WIDTHS_PX,
    picture_format: PictureFormat = "jpeg",
    formats: tuple[str, ...] = FORMATS,
    hidden: tuple[HiddenBox, ...] = (),
) -> tuple[PublishedPhoto, tuple[Problem, ...]]:
    """Return the published sizes of a photo.

    Parameters
    ----------
    file : CampaignFile
        JPEG or HEIC.
    key : str
        Key of the photo.
    widths : iterable of int
        Largest width of each size; never more than the original has. [px]
    picture_format : "jpeg", "webp" or "avif"
        What the pictures are written as; must be one that `can_write`.
    formats : tuple of str
        Kinds of file that are accepted.
    hidden : tuple of HiddenBox
        Parts of the upright picture that are filled before any size is made.

    Returns
    -------
    (photo, problems)
        Pictures smallest first, one where two would be equal; none where it can't be decoded.
    """
    try:
        made = _pictures(file, sorted(widths), picture_format, formats, hidden)
    except CampaignError as error:
        return PublishedPhoto(photo=key, pictures=()), error.problems
    unique = {picture.name: picture for picture in made}
    return PublishedPhoto(photo=key, pictures=tuple(unique.values())), ()


def published_overlay(file: CampaignFile, key: str) -> tuple[PublishedPhoto, tuple[Problem, ...]]:
    """Return the one published size of a picture that is drawn under a map, as of a photo."""
    return published_photo(file, key, OVERLAY_WIDTHS_PX, formats=OVERLAY_FORMATS)


def _pictures(
    file: CampaignFile,
    widths: Sequence[int],
    picture_format: PictureFormat,
    formats: tuple[str, ...],
    hidden: tuple[HiddenBox, ...],
) -> list[Picture]:
    """Return a picture of each width, from narrow to wide; the file is decoded once."""
    with open_picture(file, formats) as opened:
        try:
            with _room_for(opened.image):
                pixels = _upright_pixels(opened, widths[-1], hidden)
        except Exception as error:  # a decoder may raise anything on broken bytes
            raise CampaignError([undecodable(file, error)]) from error
    return [_picture(_within(pixels, width_px), picture_format) for width_px in widths[:-1]] + [
        _picture(pixels, picture_format)
    ]


def _within(pixels: Image.Image, width_px: int) -> Image.Image:
    smaller = pixels.copy()
    smaller.thumbnail((width_px, _TALLEST * width_px), Image.Resampling.LANCZOS)
    return smaller


def _picture(pixels: Image.Image, picture_format: PictureFormat) -> Picture:
    content = _encoded(pixels, picture_format)
    return Picture(
        name=f"p-{hashlib.sha256(content).hexdigest()[:16]}.{_ENDINGS[picture_format]}",
        width_px=pixels.width,
        height_px=pixels.height,
        content=content,
    )


def _room_for(image: Image.Image) -> AbstractContextManager[object]:
    """Return what has to be held while a picture is decoded."""
    return _ONE_LARGE if image.width * image.height > LARGE_PIXELS else nullcontext()


def _upright_pixels(
    opened: PictureFile, width_px: int, hidden: tuple[HiddenBox, ...]
) -> Image.Image:
    """Return a new image with nothing but sRGB pixels."""
    image = _direct(opened.image)
    if hidden:
        # Filled at full size: shrinking first would spread what is hidden over the edge of a box.
        whole = _fresh(opened, image)
        for part in hidden:
            whole.paste(_FLAT, _box_px(part, whole.size))
        whole.thumbnail((width_px, _TALLEST * width_px), Image.Resampling.LANCZOS)
        return whole
    box = (width_px, _TALLEST * width_px)
    # Shrinking comes first: it lets the decoder skip most of the work.
    image.thumbnail(
        box if opened.orientation < 5 else box[::-1], Image.Resampling.LANCZOS, _ROOM_TO_SHRINK
    )
    return _fresh(opened, image)


def _box_px(box: HiddenBox, size: tuple[int, int]) -> tuple[int, int, int, int]:
    """Return the pixels of a box, none less than it asks for."""
    width, height = size
    return (
        math.floor(box.left_ratio * width),
        math.floor(box.top_ratio * height),
        math.ceil(box.right_ratio * width),
        math.ceil(box.bottom_ratio * height),
    )


def _fresh(opened: PictureFile, image: Image.Image) -> Image.Image:
    """Return an image of the opened picture's pixels, turned upright."""
    turn = _UPRIGHT.get(opened.orientation)
    turned = image if turn is None else image.transpose(turn)
    fresh = Image.new("RGB", turned.size, "white")
    fresh.paste(_srgb(turned, opened.colour_profile), mask=_mask(turned))
    return fresh


def _direct(image: Image.Image) -> Image.Image:
    """Return a drawing's palette, grey transparency or 16 bits as what can be shrunk and shown."""
    if image.mode in ("P", "PA", "LA"):
        return image.convert("RGBA")
    if image.mode.startswith("I"):
        return image.convert("I").point(lambda value: value * (1 / 256)).convert("L")
    return image


def _mask(image: Image.Image) -> Image.Image | None:
    return image.getchannel("A") if "A" in image.getbands() else None


def _srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """Convert by the profile; without one, or with a broken one, take sRGB as given."""
    opaque = image.convert("RGB") if image.mode == "RGBA" else image
    if profile is not None and opaque.mode in ("RGB", "CMYK", "L"):
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            converted = ImageCms.profileToProfile(
                opaque, source, ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
        except (ImageCms.PyCMSError, OSError, ValueError):
            converted = None
        if converted is not None:
            return converted
    return opaque.convert("RGB")


def _encoded(image: Image.Image, picture_format: PictureFormat) -> bytes:
    options = {"progressive": True, "optimize": True} if picture_format == "jpeg" else {}
    buffer = io.BytesIO()
    image.save(buffer, picture_format, quality=_QUALITY[picture_format], **options)
    return buffer.getvalue()
