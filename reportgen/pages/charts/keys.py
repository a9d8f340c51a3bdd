"""The key that travels with a drawing: marks with their meaning, and colour bars."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from markupsafe import Markup

from reportgen.pages.charts.description import ChartWords, Mark, PointSeries, Scale
from reportgen.pages.charts.marks import key_mark
from reportgen.pages.charts.scale import CLASSES, class_colour, share
from reportgen.pages.charts.ticks import decimals_of, linear_ticks, round_step
from reportgen.pages.formats import number_text

SCALE_TICKS = 5
NO_CONDITION = Markup()


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyEntry:
    """A mark and what it means. Entries not needed beside the wide drawing say so.

    `when` are the attributes that tell under which choices it shows.
    """

    mark: Markup
    label: str
    is_narrow_only: bool = False
    when: Markup = NO_CONDITION


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleStop:
    """A value under the colour bar, with its place on the bar."""

    text: str
    style: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleView:
    """The colour bar; `when` as of a key's entry."""

    label: str
    bar: Markup
    stops: tuple[ScaleStop, ...]
    when: Markup = NO_CONDITION


def markup(text: str) -> Markup:
    """Mark what was drawn by us as finished: every text in it was escaped when it was drawn."""
    return Markup(text)  # noqa: S704 - see above


def entry(mark: Mark, label: str) -> KeyEntry:
    """Return the entry of a mark."""
    return KeyEntry(mark=markup(key_mark(mark)), label=label)


def scale_view(
    scale: Scale | None, series: Iterable[PointSeries], words: ChartWords
) -> ScaleView | None:
    """Return the colour bar where any mark is coloured by it."""
    if scale is None or all(item.level is None for item in series):
        return None
    step = round_step(scale.high - scale.low, SCALE_TICKS)
    stops = [
        stop_at(scale, value, number_text(value, decimals_of(step)))
        for value in linear_ticks(scale.low, scale.high, SCALE_TICKS)
    ]
    if scale.limit is not None and scale.low < scale.limit < scale.high:
        near = step / 2
        stops = [stop for stop in stops if abs(stop[0] - scale.limit) > near]
        stops.append(stop_at(scale, scale.limit, words.limit))
    label = f"{scale.label} [{scale.unit}]" if scale.unit else scale.label
    return ScaleView(
        label=label,
        bar=colour_bar(CLASSES, class_colour),
        stops=tuple(stop for _, stop in sorted(stops, key=_first)),
    )


def _first(pair: tuple[float, ScaleStop]) -> float:
    return pair[0]


def stop_at(scale: Scale, value: float, text: str) -> tuple[float, ScaleStop]:
    """Return a value under the bar; those at its ends stay inside it."""
    place = 100 * share(value, scale)
    style = f"left: {place:.1f}%; transform: translateX(-{place:.0f}%)"
    return value, ScaleStop(text=text, style=style)


def colour_bar(count: int, colour: Callable[[int], str]) -> Markup:
    """Return a bar of so many steps."""
    steps = "".join(
        f'<rect x="{number}" width="1.1" height="1" fill="{colour(number)}"/>'
        for number in range(count)
    )
    return markup(
        f'<svg class="key-bar" viewBox="0 0 {count} 1" preserveAspectRatio="none" '
        f'aria-hidden="true">{steps}</svg>'
    )
