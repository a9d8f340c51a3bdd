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


def share_across(turn_deg: ArrayLike, field_of_view_deg: ArrayLike) -> NDArray[np.float64]:
    """Where across an upright photo something lies.

    Parameters
    ----------
    turn_deg : array_like
        Angle from the way the camera looked, positive to the right. [deg]
    field_of_view_deg : array_like
        Horizontal. [deg], > 0, < 180

    Returns
    -------
    ndarray, broadcast shape
        0 at the left edge, 0.5 in the middle, 1 at the right edge; beyond these outside the
        picture. NaN for what lies beside or behind the camera, and where either angle is NaN.

    Raises
    ------
    DomainError
        If a field of view is not between 0 and 180 degrees.

    Notes
    -----
    0.5 + tan(turn) / (2 tan(view / 2)): a rectilinear lens maps angles by their tangent. Exact
    along the middle row of a level camera; tilted up or down, things move towards the edges.
    """
    view = positive("field_of_view_deg", within("field_of_view_deg", field_of_view_deg, 0, 179.999))
    turn = floats(turn_deg)
    share = 0.5 + np.tan(np.deg2rad(turn)) / (2.0 * np.tan(np.deg2rad(view) / 2.0))
    return floats(np.where(np.abs(turn) < 90.0, share, np.nan))


def true_bearing_deg(magnetic_deg: ArrayLike, declination_deg: ArrayLike) -> NDArray[np.float64]:
    """Bearing from true north of one from magnetic north.

    Parameters
    ----------
    magnetic_deg : array_like
        Clockwise from magnetic north. [deg]
    declination_deg : array_like
        Of magnetic north from true north, east positive. [deg]

    Returns
    -------
    ndarray, broadcast shape
        In [0, 360); NaN where either is NaN. [deg]
    """
    turned_deg = np.mod(floats(magnetic_deg) + floats(declination_deg), 360.0)
    return floats(np.where(turned_deg >= 360.0, 0.0, turned_deg))


def pointing_error_deg(
    compass_error_deg: ArrayLike, position_error_m: ArrayLike, distance_m: ArrayLike
) -> NDArray[np.float64]:
    """How far the angle between the way a camera looked and something else can be off.

    Parameters
    ----------
    compass_error_deg : array_like
        Of the heading. [deg], >= 0
    position_error_m : array_like
        Of the place the photo was taken from. [m], >= 0
    distance_m : array_like
        To what is pointed at. [m], >= 0

    Returns
    -------
    ndarray, broadcast shape
        Root of the sum of squares of both; NaN where something so near, compared with the error
        of position, may lie in any direction. [deg]

    Raises
    ------
    DomainError
        If anything is negative.
    """
    compass_deg = within("compass_error_deg", compass_error_deg, 0.0)
    error_m = within("position_error_m", position_error_m, 0.0)
    away_m = within("distance_m", distance_m, 0.0)
    place_deg = np.rad2deg(np.arctan2(error_m, away_m))
    error_deg = np.hypot(compass_deg, place_deg)
    return floats(np.where(error_m < away_m, error_deg, np.nan))
