"""A small bar of levels: a stroke for each frame, a band for their middle half, their median.

Places are percentages of the width and strokes keep theirs, so one drawing serves every card.
Strokes share a path, as large campaigns have tens of thousands of them on a page.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from markupsafe import Markup

from reportgen.pages.charts import ink
from reportgen.pages.charts.description import Scale
from reportgen.pages.charts.scale import share
from reportgen.pages.formats import number_text

HEIGHT = 20
LETTER = 11
FEWEST_FOR_BAND = 4
"""Frames from which on a middle half says something."""
MOST_STROKES = 10
"""In one place. See-through as they are, three of them are as dark as more would be; thousands may
share the ends of the scale."""

_EDGE = 0.012
"""Share of the width that is kept free at either end, for strokes that stand there."""
_STEP = 10.0
_MOST_STEPS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelBar:
    """What a bar shows; `low` and `high` are the quartiles, all None where no level is known.

    `colour` is that of the median on the scale of the site.
    """

    levels: tuple[float, ...]
    low: float | None
    median: float | None
    high: float | None
    colour: str
    spoken: str


def bar_drawing(bar: LevelBar, scale: Scale) -> Markup:
    """Return the bar as a drawing as wide as what it is put into."""
    parts = [*_ground(scale), *_band(bar, scale), *_strokes(bar, scale), *_median(bar, scale)]
    return _drawing("level-bar", HEIGHT, "".join(parts), bar.spoken)


def scale_drawing(scale: Scale, *, limit: str, spoken: str) -> Markup:
    """Return the ruler that stands above the bars of one scale; `limit` names where it stands."""
    return _drawing("level-ruler", LETTER + 5, "".join(_labels(scale, limit)), spoken)


def _drawing(css: str, height: int, parts: str, spoken: str) -> Markup:
    return Markup(  # noqa: S704 - texts escaped
        f'<svg class="{css}" width="100%" height="{height}" font-size="{LETTER}" role="img" '
        f'aria-label="{ink.escaped(spoken)}" xmlns="http://www.w3.org/2000/svg">{parts}</svg>'
    )


def _ground(scale: Scale) -> Iterator[str]:
    middle = HEIGHT / 2
    yield (
        f'<line class="level-ground" x1="{_percent(0.0)}" x2="{_percent(1.0)}" '
        f'y1="{ink.number(middle)}" y2="{ink.number(middle)}"/>'
    )
    for level in _steps(scale):
        yield _stroke("level-tick", level, scale, middle - 2, middle + 2)
    if scale.limit is not None:
        yield _stroke("level-limit", scale.limit, scale, 0, HEIGHT)


def _band(bar: LevelBar, scale: Scale) -> Iterator[str]:
    if bar.low is None or bar.high is None or len(bar.levels) < FEWEST_FOR_BAND:
        return
    left, right = share(bar.low, scale), share(bar.high, scale)
    width = f"{100.0 * (right - left) * (1 - 2 * _EDGE):.2f}%"
    yield (
        f'<rect class="level-band" x="{_percent(left)}" y="6" width="{width}" '
        f'height="{HEIGHT - 12}" fill="{bar.colour}"/>'
    )


def _strokes(bar: LevelBar, scale: Scale) -> Iterator[str]:
    # A tenth of a percent is less than half a pixel.
    counts = Counter(round(_percentage(share(level, scale)), 1) for level in bar.levels)
    if not counts:
        return
    yield (
        f'<svg width="100%" height="{HEIGHT}" viewBox="0 0 100 {HEIGHT}" '
        'preserveAspectRatio="none">'
    )
    for layer in range(MOST_STROKES):
        places = sorted(place for place, count in counts.items() if count > layer)
        if places:
            # Longer than the band is high: on a bright band a bright stroke is known by its ends.
            path = "".join(f"M{ink.number(place)} 3v{HEIGHT - 6}" for place in places)
            yield f'<path class="level-frame" d="{path}"/>'
    yield "</svg>"


def _median(bar: LevelBar, scale: Scale) -> Iterator[str]:
    if bar.median is not None:
        yield _stroke("level-median", bar.median, scale, 0, HEIGHT)


def _stroke(css: str, level: float, scale: Scale, top: float, bottom: float) -> str:
    x = _percent(share(level, scale))
    return (
        f'<line class="{css}" x1="{x}" x2="{x}" y1="{ink.number(top)}" y2="{ink.number(bottom)}"/>'
    )


def _labels(scale: Scale, limit: str) -> Iterator[str]:
    at_limit = [] if scale.limit is None else [(scale.limit, limit)]
    steps = _steps(scale)
    named = [
        *at_limit,
        *(
            (level, _number(level, scale, is_last=level == steps[-1]))
            for level in steps
            if scale.limit is None or abs(level - scale.limit) >= _spacing(scale) * 0.8
        ),
    ]
    for level, label in sorted(named):
        place = share(level, scale)
        anchor: Literal["start", "middle", "end"] = "middle"
        if place < 0.08:
            anchor = "start"
        elif place > 0.92:
            anchor = "end"
        placed = "" if anchor == "start" else f' text-anchor="{anchor}"'
        yield (
            f'<text class="level-label" x="{_percent(place)}" y="{LETTER}"{placed}>'
            f"{ink.escaped(label)}</text>"
        )


def _number(level: float, scale: Scale, *, is_last: bool) -> str:
    text = number_text(level)
    if scale.limit == 0.0 and level > 0:
        text = f"+{text}"
    return f"{text}\N{NARROW NO-BREAK SPACE}{scale.unit}" if is_last else text


def _spacing(scale: Scale) -> float:
    """Return the distance of labels: as many as a narrow bar has room for."""
    spacing = _STEP
    while (scale.high - scale.low) / spacing > _MOST_STEPS:
        spacing += _STEP
    return spacing


def _steps(scale: Scale) -> tuple[float, ...]:
    spacing = _spacing(scale)
    count = int((scale.high - scale.low) / spacing)
    return tuple(scale.low + spacing * step for step in range(count + 1))


def _percent(place: float) -> str:
    """Return a share of the scale as a place in the drawing."""
    return f"{_percentage(place):.2f}%"


def _percentage(place: float) -> float:
    return 100.0 * (_EDGE + place * (1 - 2 * _EDGE))
