"""The one colour scale of the site.

Cividis: J. R. Nuñez, C. R. Anderton, R. S. Renslow, "Optimizing colormaps with consideration for
color vision deficiency", PLoS ONE 13(7) e0199239 (2018); its stops as the plotly package has them.
"""

from __future__ import annotations

from plotly.colors import sequential

from reportgen.pages.charts.description import Scale

CLASSES = 32
"""Steps into which levels are grouped in still drawings: finer than the eye tells apart."""

STOPS: tuple[str, ...] = tuple(str(stop) for stop in sequential.Cividis)
"""Ten colours at even steps, weakest first, as ``#rrggbb``."""


def share(level: float, scale: Scale) -> float:
    """Return where a level lies on the scale, 0 to 1; levels outside stand at its ends."""
    return min(1.0, max(0.0, (level - scale.low) / (scale.high - scale.low)))


def colour(level: float, scale: Scale) -> str:
    """Return the colour of a level as ``#rrggbb``."""
    return _between(share(level, scale))


def level_class(level: float, scale: Scale) -> int:
    """Return the step of the scale that a level falls in."""
    return min(CLASSES - 1, int(share(level, scale) * CLASSES))


def class_colour(number: int) -> str:
    """Return the colour of a step; the first and the last are the ends of the scale."""
    return _between(number / (CLASSES - 1))


def _between(place: float) -> str:
    """Return the colour at a place from 0 to 1, between the stops on either side of it."""
    below = min(int(place * (len(STOPS) - 1)), len(STOPS) - 2)
    rest = place * (len(STOPS) - 1) - below
    parts = []
    for start in (1, 3, 5):
        low, high = (int(STOPS[below + step][start : start + 2], 16) for step in (0, 1))
        parts.append(f"{round(low + rest * (high - low)):02x}")
    return f"#{''.join(parts)}"
