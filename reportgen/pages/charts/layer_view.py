"""The controls of a map's layers, and the key of its squares: finished texts and booleans."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from reportgen.pages.charts.description import MapView, Scale
from reportgen.pages.charts.keys import (
    KeyEntry,
    ScaleView,
    colour_bar,
    markup,
    stop_at,
)
from reportgen.pages.charts.layers import ALL, Choice, Ground, Layers, Look, When, grounds_of
from reportgen.pages.charts.scale import CLASSES, class_colour
from reportgen.pages.charts.square_drawing import key_square
from reportgen.pages.charts.square_looks import (
    SHARE_STEPS,
    Drawn,
    drawn,
    is_small,
    share_colour,
    share_step_colour,
)
from reportgen.pages.formats import percent_text

_SHARE_TICKS = (0.0, 0.5, 1.0)
_TYPICAL = {Ground.LEVEL: class_colour(CLASSES // 2), Ground.SHARE: share_colour(0.7)}
"""Colours that stand for all in a key."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """A choice in its control."""

    value: str
    label: str
    is_chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchedNote:
    """A sentence that shows under some choices, by the attributes in `when`."""

    text: str
    when: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LayersView:
    """The controls; none where there is nothing to switch."""

    legend: str = ""
    grounds: tuple[Option, ...] = ()
    walk: str = ""
    walks: tuple[Option, ...] = ()
    notes: tuple[SwitchedNote, ...] = ()
    share: ScaleView | None = None

    @property
    def is_there(self) -> bool:
        """Whether there is anything to switch."""
        return bool(self.grounds)

    @property
    def has_walks(self) -> bool:
        """Whether there are several walks to choose from."""
        return bool(self.walks)

    @property
    def has_share(self) -> bool:
        """Whether the share of frames heard needs its colour bar."""
        return self.share is not None


NO_LAYERS = LayersView()


def layers_view(view: MapView) -> LayersView:
    """Return the controls of a map."""
    if view.layers is None:
        return NO_LAYERS
    layers = view.layers
    return LayersView(
        legend=layers.words.ground,
        grounds=_options(layers.grounds),
        walk=layers.words.walk,
        walks=_options(layers.walks),
        notes=tuple(_notes(layers)),
        share=_share(layers) if _has(layers, Ground.SHARE) else None,
    )


def _options(choices: tuple[Choice, ...]) -> tuple[Option, ...]:
    return tuple(
        Option(value=choice.value, label=choice.label, is_chosen=index == 0)
        for index, choice in enumerate(choices)
    )


def _has(layers: Layers, ground: Ground) -> bool:
    return any(choice.value == ground for choice in layers.grounds)


def _notes(layers: Layers) -> Iterator[SwitchedNote]:
    for ground, text in layers.words.notes.items():
        if text and _has(layers, ground):
            yield SwitchedNote(text=text, when=markup(When(ground=(ground,)).attributes))
    own = tuple(ground for ground in (Ground.LEVEL, Ground.SHARE) if _has(layers, ground))
    if layers.walks and own:
        mixed = When(ground=own, walk=(ALL,))
        yield SwitchedNote(text=layers.words.mixed, when=markup(mixed.attributes))


def _share(layers: Layers) -> ScaleView:
    scale = Scale(label=layers.words.share, unit="", low=0.0, high=1.0, limit=None)
    stops = (stop_at(scale, value, percent_text(value)) for value in _SHARE_TICKS)
    return ScaleView(
        label=layers.words.share,
        bar=colour_bar(SHARE_STEPS, share_step_colour),
        stops=tuple(stop for _, stop in stops),
        when=markup(When(ground=(Ground.SHARE,)).attributes),
    )


def square_entries(view: MapView) -> Iterator[KeyEntry]:
    """Yield what each look of the squares means, once, and only those that there are."""
    if view.layers is None:
        return
    seen: dict[Look | str, set[Ground]] = {}
    for layer in view.layers.squares:
        for ground in grounds_of(layer, view.layers):
            for square in layer.squares:
                seen.setdefault(drawn(square, ground, view.scale).look, set()).add(ground)
                if is_small(square, ground):
                    seen.setdefault("small", set()).add(ground)
    for look in Look:
        yield from _entries(view, view.layers, look, seen.get(look, set()))
    if "small" in seen:
        kind = Drawn(Look.WALKED)
        yield _entry(view.key, kind, view.layers.words.small, seen["small"], small=True)


def _entries(view: MapView, layers: Layers, look: Look, grounds: set[Ground]) -> Iterator[KeyEntry]:
    by_text: dict[tuple[str, str], set[Ground]] = {}
    for ground in sorted(grounds, key=list(Ground).index):
        colour = _TYPICAL[ground] if look is Look.COLOURED else ""
        by_text.setdefault((layers.words.looks[ground, look], colour), set()).add(ground)
    for (text, colour), shown in by_text.items():
        yield _entry(view.key, Drawn(look, colour), text, shown)


def _entry(
    key: str, kind: Drawn, label: str, grounds: set[Ground], *, small: bool = False
) -> KeyEntry:
    shown = tuple(ground for ground in Ground if ground in grounds)
    return KeyEntry(
        mark=markup(key_square(kind, f"{key}-key", small=small)),
        label=label,
        when=markup(When(ground=shown).attributes),
    )
