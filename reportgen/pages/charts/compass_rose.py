"""A small compass rose that shows one bearing from true north."""

from __future__ import annotations

import math

from markupsafe import Markup

from reportgen.pages.charts import ink

SIDE = 92.0
_RADIUS = 31.0
_LETTER = 12


def rose_drawing(bearing_deg: float, *, north: str, spoken: str) -> Markup:
    """Return the rose; its letters keep their size, so it is shown at its own.

    Parameters
    ----------
    bearing_deg : float
        Clockwise from true north. [deg]
    north : str
        Letter of north.
    spoken : str
        What is read aloud.
    """
    centre = SIDE / 2.0
    ticks = "".join(
        ink.line(*_place(deg, _RADIUS), *_place(deg, _RADIUS - (7 if deg % 90 == 0 else 4)))
        for deg in range(0, 360, 30)
    )
    tip, left, right, tail = (
        _place(bearing_deg + turn, far)
        for turn, far in ((0.0, _RADIUS - 2.0), (-120.0, 6.0), (120.0, 6.0), (180.0, 14.0))
    )
    parts = (
        ink.path(ink.circle(centre, centre, _RADIUS), "rose-ring"),
        ink.path(ticks, "rose-tick"),
        ink.text(centre, _LETTER - 1.0, north, "rose-north", anchor="middle"),
        ink.path(ink.polyline((tip, right, tail, left), closed=True), "strip-pointer"),
    )
    side = ink.number(SIDE)
    return Markup(  # noqa: S704 - texts escaped
        f'<svg class="rose" viewBox="0 0 {side} {side}" width="{side}" height="{side}" '
        f'font-size="{_LETTER}" role="img" aria-label="{ink.escaped(spoken)}" '
        f'xmlns="http://www.w3.org/2000/svg">{"".join(parts)}</svg>'
    )


def _place(bearing_deg: float, radius: float) -> ink.Point:
    angle = math.radians(bearing_deg)
    return SIDE / 2.0 + radius * math.sin(angle), SIDE / 2.0 - radius * math.cos(angle)
