"""Reach by direction as a drawing: what was walked, heard and lost around the station."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

from reportgen.pages.charts import ink
from reportgen.pages.charts.description import ChartWords
from reportgen.pages.charts.ticks import ring_radii_m

SIDE = 440.0
LETTER = 13.0
MARGIN = 30.0
GAP_DEG = 1.2
"""Left free between two directions, so that neighbours can be told apart."""

_LABEL_DEG = (90.0, 270.0, 60.0, 120.0, 240.0, 300.0, 30.0, 150.0, 210.0, 330.0, 0.0, 180.0)
"""Where the labels of the rings may stand, the best first where as little stands there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PolarSector:
    """A direction. Distances in m, 0 where there is none.

    `lost_from_m`: from where on frames were lost, to where the walk ended; ground between that
    and what was heard may not have been walked at all. `is_open`: heard to where the walk ended.
    """

    middle_deg: float
    walked_m: float
    heard_m: float
    lost_from_m: float
    is_open: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PolarView:
    """A drawing ready for its component."""

    title: str
    drawing: Markup
    walked: Markup
    heard: Markup
    lost: Markup
    open_end: Markup


def polar_view(
    key: str, title: str, summary: str, sectors: tuple[PolarSector, ...], words: ChartWords
) -> PolarView:
    """Return the drawing with the marks of its key.

    Parameters
    ----------
    key : str
        Part of the drawing's ids.
    title, summary : str
        Its accessible name and description.
    sectors : tuple of PolarSector
    words : ChartWords
    """
    return PolarView(
        title=title,
        drawing=Markup(_svg(key, title, summary, sectors, words)),  # noqa: S704 - texts escaped
        walked=_key(key, "polar-walked"),
        heard=_key(key, "polar-heard"),
        lost=_key(key, "polar-lost"),
        open_end=_key(key, "polar-open"),
    )


def _key(key: str, css: str) -> Markup:
    shape = (
        ink.path("M2 9L20 9", css)
        if css == "polar-open"
        else f'<rect class="{css}" x="2" y="2" width="18" height="13"{_hatch(key, css)}/>'
    )
    return Markup(  # noqa: S704 - no text of anybody's
        f'<svg class="key-mark" viewBox="0 0 22 17" width="22" height="17" '
        f'aria-hidden="true">{shape}</svg>'
    )


def _hatch(key: str, css: str) -> str:
    return f' fill="url(#hatch-{key})"' if css == "polar-lost" else ""


def _svg(
    key: str, title: str, summary: str, sectors: tuple[PolarSector, ...], words: ChartWords
) -> str:
    farthest_m = max((max(s.walked_m, s.heard_m) for s in sectors), default=1.0) or 1.0
    scale = (SIDE / 2 - MARGIN) / farthest_m
    parts = [_pattern(key)]
    parts += [part for sector in sectors for part in _sector(key, sector, scale)]
    parts += list(_rings(farthest_m, scale, _bare_deg(sectors), words))
    centre = SIDE / 2
    parts.append(ink.path(ink.circle(centre, centre, 4.0), "polar-station"))
    parts.append(ink.text(centre, 0.9 * LETTER, words.north, "north-label", anchor="middle"))
    name = f"polar-{key}"
    return (
        f'<svg class="still polar" data-search-exclude="x" '
        f'viewBox="0 0 {ink.number(SIDE)} {ink.number(SIDE)}" '
        f'font-size="{ink.number(LETTER)}" role="img" '
        f'aria-labelledby="{name}-title {name}-desc" xmlns="http://www.w3.org/2000/svg">'
        f'<title id="{name}-title">{ink.escaped(title)}</title>'
        f'<desc id="{name}-desc">{ink.escaped(summary)}</desc>{"".join(parts)}</svg>'
    )


def _pattern(key: str) -> str:
    return (
        f'<defs><pattern id="hatch-{key}" width="6" height="6" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><path class="polar-stroke" d="M0 0L0 6"/></pattern></defs>'
    )


def _bare_deg(sectors: tuple[PolarSector, ...]) -> float:
    """Return the direction in which the least stands, and beside it: there labels hide nothing."""
    reach_m = {sector.middle_deg: max(sector.walked_m, sector.heard_m) for sector in sectors}
    return min(
        _LABEL_DEG,
        key=lambda deg: max(reach_m.get((deg + turn) % 360.0, 0.0) for turn in (-30.0, 0.0, 30.0)),
    )


def _rings(farthest_m: float, scale: float, label_deg: float, words: ChartWords) -> Iterator[str]:
    centre = SIDE / 2
    for radius_m in ring_radii_m(farthest_m, words.units):
        yield ink.path(ink.circle(centre, centre, radius_m * scale), "ring")
        label = words.units.round_length(radius_m)
        x, y = _place(label_deg, radius_m * scale)
        yield ink.text(x, y + 0.35 * LETTER, label, "ring-label", anchor="middle")


def _sector(key: str, sector: PolarSector, scale: float) -> Iterator[str]:
    """Yield the pieces of a direction, what was walked below what was heard and lost."""
    is_told = sector.is_open or sector.lost_from_m > 0.0
    if sector.walked_m > sector.heard_m and not is_told:
        outer = _wedge(sector.middle_deg, sector.heard_m * scale, sector.walked_m * scale)
        yield ink.path(outer, "polar-walked")
    if sector.heard_m > 0.0:
        yield ink.path(_wedge(sector.middle_deg, 0.0, sector.heard_m * scale), "polar-heard")
    if 0.0 < sector.lost_from_m < sector.walked_m:
        lost = _wedge(sector.middle_deg, sector.lost_from_m * scale, sector.walked_m * scale)
        yield ink.path(lost, "polar-lost", fill=f"url(#hatch-{key})")
    if sector.is_open and sector.heard_m > 0.0:
        yield ink.path(_arc(sector.middle_deg, sector.heard_m * scale + 4.0), "polar-open")


def _place(bearing_deg: float, radius: float) -> ink.Point:
    angle = math.radians(bearing_deg)
    return SIDE / 2 + radius * math.sin(angle), SIDE / 2 - radius * math.cos(angle)


def _ends(middle_deg: float) -> tuple[float, float]:
    return middle_deg - 15.0 + GAP_DEG, middle_deg + 15.0 - GAP_DEG


def _arc(middle_deg: float, radius: float) -> str:
    (x1, y1), (x2, y2) = (_place(deg, radius) for deg in _ends(middle_deg))
    r = ink.number(radius)
    return f"M{ink.number(x1)} {ink.number(y1)}A{r} {r} 0 0 1 {ink.number(x2)} {ink.number(y2)}"


def _wedge(middle_deg: float, inner: float, outer: float) -> str:
    """Return the outline of a piece of a ring; of a slice where it begins at the centre."""
    first, last = _ends(middle_deg)
    x, y = _place(last, inner)
    back = f"L{ink.number(x)} {ink.number(y)}"
    if inner > 0.0:
        x, y = _place(first, inner)
        r = ink.number(inner)
        back += f"A{r} {r} 0 0 0 {ink.number(x)} {ink.number(y)}"
    return f"{_arc(middle_deg, outer)}{back}Z"
