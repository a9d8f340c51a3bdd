"""What to walk next, in the order in which it teaches most."""

from __future__ import annotations

from collections.abc import Iterator

from reportgen.pages.context import Context
from reportgen.pages.drafts import directions_of
from reportgen.pages.sentences import Called, Sentence, sentence
from reportgen.results.next_walks import NextWalk, next_walks


def next_steps(context: Context) -> tuple[Sentence, ...]:
    """Return the repeats that make evidence, ground not tested, thin ground, single factors."""
    found = next_walks(context.results.compared.items)
    return (
        *(_step(step) for step in found if step.kind == "repeat"),
        *_untested(context),
        *_thin(context),
        *(_step(step) for step in found if step.kind == "one factor"),
    )


def _step(step: NextWalk) -> Sentence:
    key = "next_repeat" if step.kind == "repeat" else "next_one_factor"
    if step.kind == "one factor" and not step.value:
        key = "next_one_factor_as_there"
    return sentence(
        f"conclusions.{key}",
        factor=step.factor,
        value=step.value,
        walk=step.walk.title,
        other=step.other.title,
        route=step.walk.route,
    )


def _untested(context: Context) -> Iterator[Sentence]:
    missing = [compass for compass, _ in directions_of(context, "not walked", "too few frames")]
    if missing:
        yield sentence("conclusions.next_directions", directions=context.words.listed(missing))


def _thin(context: Context) -> Iterator[Sentence]:
    path = "campaign.thin_ground"
    bearing_deg = context.results.figures[f"{path}.bearing_deg"].number
    if bearing_deg is None:
        return
    yield sentence(
        "conclusions.next_thin",
        squares=Called(f"{path}.squares"),
        compass=context.compass(bearing_deg),
        nearest=Called(f"{path}.nearest_m"),
        farthest=Called(f"{path}.farthest_m"),
    )
