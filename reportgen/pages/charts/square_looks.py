"""How squares of ground look, in both drawings.

The share of frames heard has a scale of its own that can't be taken for that of the signal: one
hue, dark where more was heard, ten steps equal in lightness. Purples of ColorBrewer: M. Harrower,
C. A. Brewer, "ColorBrewer.org: an online tool for selecting colour schemes for maps", The
Cartographic Journal 40 (2003) 27-37, safe for colour-blind readers; its stops as the plotly package
has them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from plotly.colors import sequential, unlabel_rgb

from reportgen.pages.charts.description import Scale
from reportgen.pages.charts.layers import Ground, Look, Square
from reportgen.pages.charts.scale import class_colour, level_class

SHARE_STEPS = 10
SMALL = 0.5
"""Edge of a square that few frames tell of, to that of its cell."""
LIMIT_COLOUR = class_colour(0)
"""Ground of the pattern for a median below the limit: the low end of the signal's scale."""
DOT_COLOUR = "#fefefe"

_STOPS = tuple(tuple(float(part) for part in unlabel_rgb(stop)) for stop in sequential.Purples[1:7])
"""Without the first, nearly white, which paper would swallow, and the darkest, which would swallow
marks and labels."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A look, with its colour where it has one."""

    look: Look
    colour: str = ""


def drawn(square: Square, ground: Ground, scale: Scale | None) -> Drawn:
    """Return how a square looks while the ground shows a thing."""
    if ground is Ground.OTHERS:
        return Drawn(Look.PLAIN)
    if not square.heard:
        return Drawn(Look.SILENT if square.sent else Look.WALKED)
    if ground is Ground.SHARE:
        return Drawn(Look.COLOURED, share_colour(square.heard / square.sent))
    if square.is_below:
        return Drawn(Look.BELOW)
    if square.level is None or scale is None:
        return Drawn(Look.PLAIN)
    return Drawn(Look.COLOURED, class_colour(level_class(square.level, scale)))


def is_small(square: Square, ground: Ground) -> bool:
    """Whether few frames tell of a square, so that it is drawn small."""
    return square.is_uncertain and square.sent > 0 and ground is not Ground.OTHERS


def corner_and_edge(square: Square, ground: Ground, edge_m: float) -> tuple[float, float, float]:
    """Return the south-west corner and the edge as drawn, in metres: true, unless it is small."""
    if not is_small(square, ground):
        return square.x, square.y, edge_m
    inset_m = edge_m * (1 - SMALL) / 2
    return square.x + inset_m, square.y + inset_m, edge_m * SMALL


def share_colour(share: float) -> str:
    """Return the colour of a share of frames heard, 0 to 1."""
    return share_step_colour(min(SHARE_STEPS - 1, int(share * SHARE_STEPS)))


def share_step_colour(step: int) -> str:
    """Return the colour of one of the steps of the share, equally far apart in lightness."""
    lightness = [_lightness(stop) for stop in _STOPS]
    wanted = lightness[0] + (lightness[-1] - lightness[0]) * step / (SHARE_STEPS - 1)
    for (light, dark), (above, below) in zip(pairwise(_STOPS), pairwise(lightness), strict=True):
        if wanted >= below - 1e-9:
            rest = (above - wanted) / (above - below)
            mixed = (round(a + rest * (b - a)) for a, b in zip(light, dark, strict=True))
            return "#" + "".join(f"{part:02x}" for part in mixed)
    raise AssertionError("the scale of shares has an end")


def _lightness(rgb: tuple[float, ...]) -> float:
    """Return CIE 1976 L* of an sRGB colour, 0 to 255 (IEC 61966-2-1; CIE 15)."""
    linear = [
        part / 255 / 12.92 if part <= 10.31475 else ((part / 255 + 0.055) / 1.055) ** 2.4
        for part in rgb
    ]
    luminance: float = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    return 116.0 * math.cbrt(luminance) - 16.0
