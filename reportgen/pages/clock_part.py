"""What a clock that was off would do to the figures of a walk."""

from __future__ import annotations

from markupsafe import Markup

from reportgen.pages import formats
from reportgen.pages.context import Context
from reportgen.pages.sentences import Called, as_html, sentence
from reportgen.pages.views import Grid, headings, text_cell
from reportgen.results.clock_shift import SHIFTS_S

COLUMNS = (
    "moved_m", "farthest_heard_least_m", "farthest_heard_most_m", "half_distance_least_m",
    "half_distance_most_m",
)  # fmt: skip


def clock_intro(context: Context, path: str) -> Markup:
    """Return how many places hang on a clock; blank where too few do."""
    if not context.results.figures.shows(f"{path}.clock.places"):
        return Markup()
    said = sentence(
        "clock.intro",
        n=Called(f"{path}.clock.places_from_track"),
        total=Called(f"{path}.clock.places"),
    )
    return as_html(context, said, "../")


def clock_grid(context: Context, path: str) -> Grid:
    """Return a row per clock error tried; empty where no place hangs on a clock."""
    say, figures = context.words.say, context.figures
    rows = [(size_s, f"{path}.clock.{size_s:.0f}-s") for size_s in SHIFTS_S]
    return Grid(
        caption=say("clock.caption"),
        headings=headings(say("clock.column_off"), *(say(f"clock.column_{c}") for c in COLUMNS)),
        rows=tuple(
            (
                text_cell(
                    say("clock.off", duration=formats.duration_text(size_s)), heading=True
                ),
                *(figures.cell(f"{under}.{column}") for column in COLUMNS),
            )
            for size_s, under in rows
            if context.results.figures.shows(f"{under}.moved_m")
        ),
    )  # fmt: skip
