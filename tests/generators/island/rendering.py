"""A pinhole camera: how far everything is that a picture shows, and what colour.

The camera is held level. A point `d` metres ahead, `r` to the right and `z` up falls on the pixel
(width / 2 + f r / d, height / 2 - f z / d), measured from the upper left corner; the drop of the
earth's surface, d^2 / 2R, is part of z.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from tests.generators.island.boxes import Colour
from tests.generators.island.ground import Numbers, height_m
from tests.generators.island.shots import EYE_M, Shot

EARTH_RADIUS_M = 6_371_000.0
NEAREST_M = 1.0
FARTHEST_M = 40_000.0
ISLAND_ENDS_M = 3500.0
_STEPS = 1150

Pixels = NDArray[np.uint8]
Depths = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A camera in place; pixels of the enlarged drawing, `finer` times those of the picture."""

    x_m: float
    y_m: float
    eye_m: float
    heading_deg: float
    focal_px: float
    width: int
    height: int
    finer: int

    def ahead_right(self, x_m: Numbers, y_m: Numbers) -> tuple[Numbers, Numbers]:
        """Return distances ahead of and to the right of the camera."""
        turn = np.radians(self.heading_deg)
        east, north = x_m - self.x_m, y_m - self.y_m
        return (
            east * np.sin(turn) + north * np.cos(turn),
            east * np.cos(turn) - north * np.sin(turn),
        )

    def place(self, ahead: Numbers, right: Numbers) -> tuple[Numbers, Numbers]:
        """Return where a point ahead and to the right lies, metres east and north."""
        turn = np.radians(self.heading_deg)
        return (
            self.x_m + ahead * np.sin(turn) + right * np.cos(turn),
            self.y_m + ahead * np.cos(turn) - right * np.sin(turn),
        )

    def row(self, ahead: Numbers, away2_m2: Numbers, up_m: Numbers) -> Numbers:
        """Return the pixel row of points by height above the sea."""
        drop_m = away2_m2 / (2 * EARTH_RADIUS_M)
        return self.height / 2 - self.focal_px * (up_m - drop_m - self.eye_m) / ahead


def view_of(shot: Shot, finer: int) -> View:
    """Return the camera of a photo, looking where it wrote that it looks."""
    x_m, y_m = shot.place_m
    width, height = shot.size_px
    return View(
        x_m=x_m, y_m=y_m, eye_m=shot.ground_m + EYE_M, heading_deg=shot.heading_deg,
        focal_px=shot.focal_px * finer, width=width * finer, height=height * finer, finer=finer,
    )  # fmt: skip


def project(view: View, points: Numbers) -> tuple[Numbers, Numbers, Numbers]:
    """Return columns, rows and distances ahead of points of shape (n, 3)."""
    ahead, right = view.ahead_right(points[:, 0], points[:, 1])
    safe = np.where(np.abs(ahead) < 1e-6, 1e-6, ahead)
    return (
        view.width / 2 + view.focal_px * right / safe,
        view.row(safe, ahead**2 + right**2, points[:, 2]),
        ahead,
    )


def ground_depths(view: View) -> Depths:
    """Return how far ahead the ground or sea of each pixel lies; infinite for the sky."""
    ahead: Numbers = np.asarray(np.geomspace(NEAREST_M, FARTHEST_M, _STEPS), dtype=np.float64)
    is_near = ahead < ISLAND_ENDS_M  # beyond is sea, whichever way one looks
    middle: Numbers = np.arange(view.height, dtype=np.float64) + 0.5
    depths = np.full((view.height, view.width), np.inf, dtype=np.float32)
    for start in range(0, view.width, 400):
        columns = np.arange(start, min(start + 400, view.width))
        slope = (columns + 0.5 - view.width / 2) / view.focal_px
        right = ahead[:, None] * slope
        up_m = np.zeros_like(right)
        up_m[is_near] = height_m(*view.place(ahead[is_near, None], right[is_near]))
        rows = view.row(ahead[:, None], ahead[:, None] ** 2 + right**2, up_m)
        horizon = np.minimum.accumulate(rows, axis=0)
        for column in range(len(columns)):
            depths[:, columns[column]] = _depths_of_column(
                ahead, rows[:, column], np.asarray(horizon[:, column]), middle
            )
    return depths


def _depths_of_column(ahead: Numbers, rows: Numbers, horizon: Numbers, middle: Numbers) -> Numbers:
    # The first step whose horizon has climbed to the pixel is the one that it shows.
    step = np.searchsorted(-horizon, -middle, side="left")
    is_sky = step >= len(ahead)
    step = np.clip(step, 1, len(ahead) - 1)
    below, above = rows[step - 1], rows[step]
    share = np.clip((below - middle) / np.where(below > above, below - above, 1.0), 0.0, 1.0)
    # Ground that rises out of hiding begins at its own step, not half way from the last.
    share = np.where(rows[step - 1] > horizon[step - 1] + 1e-6, 1.0, share)
    depth = ahead[step - 1] + share * (ahead[step] - ahead[step - 1])
    return np.asarray(np.where(is_sky, np.inf, depth))


def draw_polygon(
    view: View, pixels: Pixels, depths: Depths, corners: Numbers, colour: Colour
) -> None:
    """Draw a flat polygon where nothing stands before it."""
    clipped = _before_camera(view, corners)
    if len(clipped) < 3:
        return
    columns, rows, ahead = project(view, clipped)
    left, right = int(max(columns.min(), 0)), int(min(columns.max() + 2, view.width))
    top, bottom = int(max(rows.min(), 0)), int(min(rows.max() + 2, view.height))
    if left >= right or top >= bottom:
        return
    mask_image = Image.new("1", (right - left, bottom - top))
    outline = [(float(c) - left - 0.5, float(r) - top - 0.5)
               for c, r in zip(columns, rows, strict=True)]  # fmt: skip
    ImageDraw.Draw(mask_image).polygon(outline, fill=1)
    depth = _depths_of_plane(columns, rows, ahead, (left, right, top, bottom))
    window = (slice(top, bottom), slice(left, right))
    shows = np.asarray(mask_image) & (depth < depths[window] * 1.002 + 0.02)
    pixels[window][shows] = colour
    depths[window][shows] = depth[shows]


def _depths_of_plane(
    columns: Numbers, rows: Numbers, ahead: Numbers, window: tuple[int, int, int, int]
) -> Numbers:
    """Return depths over a window: their inverse is linear on the picture of a plane."""
    left, right, top, bottom = window
    known = np.column_stack([columns - columns[0], rows - rows[0], np.ones(len(columns))])
    a, b, c = np.linalg.lstsq(known, 1.0 / ahead, rcond=None)[0]
    across = np.arange(left, right) + 0.5 - columns[0]
    down = np.arange(top, bottom)[:, None] + 0.5 - rows[0]
    inverse = np.clip(a * across + b * down + c, 1.0 / ahead.max(), 1.0 / ahead.min())
    return np.asarray(1.0 / inverse)


def _before_camera(view: View, corners: Numbers) -> Numbers:
    """Return the part of a polygon that lies before the camera."""
    nearest = 0.4
    ahead, _ = view.ahead_right(corners[:, 0], corners[:, 1])
    kept = []
    for i in range(len(corners)):
        j = (i + 1) % len(corners)
        if ahead[i] >= nearest:
            kept.append(corners[i])
        if (ahead[i] >= nearest) != (ahead[j] >= nearest):
            share = (nearest - ahead[i]) / (ahead[j] - ahead[i])
            kept.append(corners[i] + share * (corners[j] - corners[i]))
    return np.array(kept)
