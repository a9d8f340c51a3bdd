"""A ruler of bearings along the upper edge of a photo, with a pointer to the station.

Places are percentages of the picture's width and letters keep their size, so one drawing serves
every width of screen.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from markupsafe import Markup

from reportgen.compute.photo_view import share_across
from reportgen.pages.charts import ink

HEIGHT = 46
LETTER = 12
_BASE = HEIGHT
_LABEL_Y, _TICK_LABEL_Y = 13, 29
_NARROWEST_PX = 320.0
"""Width of a card on a small telephone: labels are chosen to have room there."""
_LABEL_ROOM_PX = 44.0
_STEPS_DEG = ((1, 1), (2, 1), (5, 1), (10, 5), (15, 5), (30, 10), (45, 15))
"""Degrees from label to label, and from tick to tick."""
_FREE_OF_EDGE = 0.055
"""Share of the width at either edge in which a label would be cut off."""
_LONGEST_NAME = 26


@dataclass(frozen=True, slots=True, kw_only=True)
class BearingStrip:
    """What the ruler shows.

    `share` is the station's place across the picture, None outside it: then `side` says at which
    edge it is pointed out. `low` and `high` are the ends of where the pointer may be.
    """

    heading_deg: float
    field_of_view_deg: float
    share: float | None
    low: float | None
    high: float | None
    side: Literal["left", "right"]
    label: str
    spoken: str


def strip_drawing(strip: BearingStrip) -> Markup:
    """Return the ruler as a drawing as wide as what it is put into."""
    parts = [*_ruler(strip), *(_pointer(strip) if strip.share is not None else _arrow(strip))]
    return Markup(  # noqa: S704 - texts escaped
        f'<svg class="strip" width="100%" height="{HEIGHT}" font-size="{LETTER}" role="img" '
        f'aria-label="{ink.escaped(strip.spoken)}" xmlns="http://www.w3.org/2000/svg">'
        f"{''.join(parts)}</svg>"
    )


def _ruler(strip: BearingStrip) -> Iterator[str]:
    label_deg, tick_deg = _steps(strip.field_of_view_deg)
    half_deg = strip.field_of_view_deg / 2.0
    first = int(np.ceil((strip.heading_deg - half_deg) / tick_deg)) * tick_deg
    last = strip.heading_deg + half_deg
    for bearing_deg in range(first, int(np.floor(last)) + 1, tick_deg):
        turn_deg = bearing_deg - strip.heading_deg
        share = float(share_across(turn_deg, strip.field_of_view_deg))
        is_labelled = bearing_deg % label_deg == 0
        yield _tick(share, 11 if is_labelled else 6)
        if is_labelled and _FREE_OF_EDGE < share < 1.0 - _FREE_OF_EDGE:
            yield _text(share, _TICK_LABEL_Y, f"{bearing_deg % 360:03d}°", "strip-degree", "middle")


def _steps(field_of_view_deg: float) -> tuple[int, int]:
    """Return the steps of labels and ticks that have room where the ruler is tightest."""
    degree_px = _NARROWEST_PX * float(share_across(1.0, field_of_view_deg) - 0.5)
    fits = [steps for steps in _STEPS_DEG if steps[0] * degree_px >= _LABEL_ROOM_PX]
    return fits[0] if fits else _STEPS_DEG[-1]


def _pointer(strip: BearingStrip) -> Iterator[str]:
    share = strip.share or 0.0
    if strip.low is not None and strip.high is not None:
        yield (
            f'<rect class="strip-doubt" x="{_percent(strip.low)}" y="{_BASE - 5}" '
            f'width="{_percent(strip.high - strip.low)}" height="5"/>'
        )
    yield _placed(share, ink.path(f"M0 {_BASE}L-7 {_BASE - 12}L7 {_BASE - 12}Z", "strip-pointer"))
    yield from _label(share, strip.label)


def _arrow(strip: BearingStrip) -> Iterator[str]:
    edge, way = (0.0, 1) if strip.side == "left" else (1.0, -1)
    tip, back = 4 * way, 13 * way
    yield _placed(edge, ink.path(f"M{tip} 9L{back} 3L{back} 15Z", "strip-pointer"))
    anchor: Literal["start", "end"] = "start" if strip.side == "left" else "end"
    yield _placed(edge, ink.text(18 * way, _LABEL_Y, strip.label, "strip-label", anchor=anchor))


def _label(share: float, label: str) -> Iterator[str]:
    """Yield the pointer's label, kept inside the picture."""
    cut = label if len(label) <= _LONGEST_NAME + 6 else f"{label[:_LONGEST_NAME]}…{label[-5:]}"
    half = ink.text_width(cut, LETTER) / 2.0 / _NARROWEST_PX
    anchor: Literal["start", "middle", "end"] = "middle"
    if share < half:
        share, anchor = max(share - 0.02, 0.01), "start"
    elif share > 1.0 - half:
        share, anchor = min(share + 0.02, 0.99), "end"
    yield _text(share, _LABEL_Y, cut, "strip-label", anchor)


def _tick(share: float, length: int) -> str:
    x = _percent(share)
    return f'<line class="strip-tick" x1="{x}" x2="{x}" y1="{_BASE - length}" y2="{_BASE}"/>'


def _text(
    share: float, y: float, content: str, css: str, anchor: Literal["start", "middle", "end"]
) -> str:
    placed = "" if anchor == "start" else f' text-anchor="{anchor}"'
    return (
        f'<text class="{css}" x="{_percent(share)}" y="{ink.number(y)}"{placed}>'
        f"{ink.escaped(content)}</text>"
    )


def _placed(share: float, shape: str) -> str:
    """Return a shape of pixels with its origin at a share of the width."""
    return f'<svg x="{_percent(share)}" y="0" overflow="visible">{shape}</svg>'


def _percent(share: float) -> str:
    return f"{100.0 * share:.2f}%"
