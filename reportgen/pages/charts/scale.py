"""The one colour scale of the site.

Cividis: J. R. Nuñez, C. R. Anderton, R. S. Renslow, "Optimizing colormaps with consideration for
color vision deficiency", PLoS ONE 13(7) e0199239 (2018); its stops as the plotly package has them.
"""

from __future__ import annotations

import re

from plotly.colors import sequential

from reportgen.pages.charts.description import Scale

CLASSES = 24
"""Steps into which levels are grouped in still drawings: finer than the eye tells apart."""


def _hex(stop: str) -> str:
    red, green, blue = (int(part) for part in re.findall(r"\d+", stop)) if "(" in stop else (
        int(stop[start : start + 2], 16) for start in (1, 3, 5)
    )  # fmt: skip
    return f"#{red:02x}{green:02x}{blue:02x}"


STOPS: tuple[str, ...] = tuple(_hex(stop) for stop in sequential.Cividis)


def share(level: float, scale: Scale) -> float:
    """Return where a level lies on the scale, 0 to 1; levels outside stand at its ends."""
    return min(1.0, max(0.0, (level - scale.low) / (scale.high - scale.low)))


def level_class(level: float, scale: Scale) -> int:
    """Return the step of the scale that a level falls in."""
    return min(CLASSES - 1, int(share(level, scale) * CLASSES))


def class_colour(number: int) -> str:
    """Return the colour of a step, between the stops on either side of its middle."""
    place = (number + 0.5) / CLASSES * (len(STOPS) - 1)
    below = min(int(place), len(STOPS) - 2)
    rest = place - below
    parts = []
    for start in (1, 3, 5):
        low, high = (int(STOPS[below + step][start : start + 2], 16) for step in (0, 1))
        parts.append(f"{round(low + rest * (high - low)):02x}")
    return f"#{''.join(parts)}"


def gradient() -> str:
    """Return the scale as a list of CSS gradient stops."""
    return ", ".join(
        f"{stop} {100 * number / (len(STOPS) - 1):.1f}%" for number, stop in enumerate(STOPS)
    )
