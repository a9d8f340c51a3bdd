"""Pictures for the site: smaller, upright, in sRGB, and without anything but pixels.

The original never leaves the campaign folder. Nothing is carried over from it except pixels,
which are pasted on a fresh image, so that no metadata can come along in any hiding place.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterable

from PIL import Image, ImageCms

from reportgen.errors import CampaignError, Problem
from reportgen.model.photo import Picture, PublishedPhoto
from reportgen.read.picture_file import PictureFile, open_picture, undecodable
from reportgen.read.reading import CampaignFile

CARD_WIDTH_PX = 480
FULL_WIDTH_PX = 1600
QUALITY = 82
"""JPEG quality: common practice for photos on the web; 1600 px come to some 600 kB."""

_TALLEST = 3
"""Heights stay under this multiple of the width, so that no strip panorama fills a page."""

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


def published_photo(
    file: CampaignFile, key: str, widths: Iterable[int] = (CARD_WIDTH_PX, FULL_WIDTH_PX)
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

    Returns
    -------
    (photo, problems)
        Pictures smallest first, one where two would be equal; none where it can't be decoded.
    """
    pictures: dict[str, Picture] = {}
    try:
        for width_px in sorted(widths):
            picture = _picture(file, width_px)
            pictures[picture.name] = picture
    except CampaignError as error:
        return PublishedPhoto(photo=key, pictures=()), error.problems
    return PublishedPhoto(photo=key, pictures=tuple(pictures.values())), ()


def _picture(file: CampaignFile, width_px: int) -> Picture:
    with open_picture(file) as opened:
        try:
            pixels = _upright_pixels(opened, width_px)
        except Exception as error:  # a decoder may raise anything on broken bytes
            raise CampaignError([undecodable(file, error)]) from error
    content = _jpeg(pixels)
    return Picture(
        name=f"p-{hashlib.sha256(content).hexdigest()[:16]}.jpg",
        width_px=pixels.width,
        height_px=pixels.height,
        content=content,
    )


def _upright_pixels(opened: PictureFile, width_px: int) -> Image.Image:
    """Return a new image with nothing but sRGB pixels."""
    image = opened.image
    box = (width_px, _TALLEST * width_px)
    # Shrinking comes first: it lets the decoder skip most of the work.
    image.thumbnail(box if opened.orientation < 5 else box[::-1], Image.Resampling.LANCZOS)
    turn = _UPRIGHT.get(opened.orientation)
    turned = image if turn is None else image.transpose(turn)
    profile = image.info.get("icc_profile")
    fresh = Image.new("RGB", turned.size, "white")
    shown = _srgb(turned, profile)
    fresh.paste(shown, mask=shown.getchannel("A") if "A" in shown.getbands() else None)
    return fresh


def _srgb(image: Image.Image, profile: object) -> Image.Image:
    """Convert by the embedded profile; without one, or with a broken one, take sRGB as given."""
    if isinstance(profile, bytes) and profile and image.mode in ("RGB", "CMYK", "L"):
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            converted = ImageCms.profileToProfile(
                image, source, ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
        except (ImageCms.PyCMSError, OSError, ValueError):
            converted = None
        if converted is not None:
            return converted
    return image if image.mode in ("RGB", "RGBA") else image.convert("RGB")


def _jpeg(image: Image.Image) -> bytes:
    buffer = io.BytesIO()
    image.save(buffer, "JPEG", quality=QUALITY, progressive=True, optimize=True)
    return buffer.getvalue()
