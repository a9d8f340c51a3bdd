"""What of the surroundings a photo shows, and where in it a bearing lies."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, positive, within

FULL_FRAME_DIAGONAL_MM = float(np.hypot(36.0, 24.0))
"""Diagonal of the 36 x 24 mm frame that equivalent focal lengths refer to: 43.27. [mm]"""


def field_of_view_deg(
    focal_length_35mm_mm: ArrayLike, width_px: ArrayLike, height_px: ArrayLike
) -> NDArray[np.float64]:
    """Horizontal angle that an upright photo covers.

    Parameters
    ----------
    focal_length_35mm_mm : array_like
        Exif FocalLengthIn35mmFilm; 0 is Exif's word for unknown. [mm], >= 0
    width_px, height_px : array_like
        As a person sees the picture, turned upright. [pixels], > 0

    Returns
    -------
    ndarray, broadcast shape
        NaN where the focal length is 0 or NaN. [deg]

    Raises
    ------
    DomainError
        If a focal length is negative or a side is not positive.

    Notes
    -----
    2 atan(side / (2 f)) of a rectilinear lens. The side is taken from the frame of the photo's own
    shape that has the diagonal of 36 x 24 mm, the rule of equivalence by diagonal (CIPA DCG-001,
    from memory). For a 3:2 photo that is the 36 mm side itself; for the 4:3 of a phone the 36 mm
    side would read two degrees too wide. A photo cropped after it was taken shows less than this.
    """
    focal_mm = within("focal_length_35mm_mm", focal_length_35mm_mm, 0.0)
    width, height = positive("width_px", width_px), positive("height_px", height_px)
    side_mm = FULL_FRAME_DIAGONAL_MM * width / np.hypot(width, height)
    known_mm = np.where(focal_mm == 0.0, np.nan, focal_mm)
    return floats(np.rad2deg(2.0 * np.arctan(side_mm / (2.0 * known_mm))))


def relative_bearing_deg(heading_deg: ArrayLike, bearing_deg: ArrayLike) -> NDArray[np.float64]:
    """Angle from where the camera looked to where something lies.

    Parameters
    ----------
    heading_deg, bearing_deg : array_like
        Clockwise from the same north. [deg]

    Returns
    -------
    ndarray, broadcast shape
        In (-180, 180], positive to the right; NaN where either is NaN. [deg]
    """
    left_deg = np.mod(floats(heading_deg) - floats(bearing_deg) + 180.0, 360.0)
    # As in geodesy: a remainder may round up to the modulus.
    return floats(np.where(left_deg >= 360.0, 180.0, 180.0 - left_deg))
