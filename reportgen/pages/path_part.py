"""What the paths of a walk did to the signal, and how finely they were sampled."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from reportgen.pages.context import Context
from reportgen.pages.views import Grid, Labelled, headings, text_cell
from reportgen.results.walker import WAYS
from reportgen.results.walks import WalkResult


@dataclass(frozen=True, slots=True, kw_only=True)
class PathView:
    """A section of a walk's page."""

    figures: tuple[Labelled, ...]
    warning: str
    sampling: tuple[Labelled, ...]
    sampling_text: str
    courses: Grid


def path_view(context: Context, result: WalkResult) -> PathView:
    """Return what is known of the paths of a walk to the first own station."""
    path = f"walk.{result.walk.key}"
    home = f"{path}.station.{context.home.key}"
    say, figures = context.words.say, context.figures
    return PathView(
        figures=(
            _median(context, home, "link_margin_db", "margin"),
            _median(context, home, "loss_db", "loss"),
            _median(context, home, "excess_loss_db", "excess"),
            figures.labelled(f"{home}.too_strong", say("path.too_strong")),
            figures.labelled(
                f"{home}.fresnel_radius_m", say("path.fresnel"), say("path.fresnel_note")
            ),
        ),
        warning=_warning(context, home),
        sampling=(
            figures.labelled(f"{path}.pace_mps", say("path.pace")),
            figures.labelled(f"{path}.standing_s", say("walker.standing")),
            *_position_error(context, path),
            figures.labelled(f"{path}.frame_spacing_m", say("path.spacing")),
            figures.labelled(f"{path}.averaging_length_m", say("path.averaging")),
            figures.labelled(f"{path}.samples_per_averaging_length", say("path.samples")),
            figures.labelled(f"{path}.local_mean_error_db", say("path.mean_error")),
        ),
        sampling_text=_sampling_text(context, path),
        courses=_courses(context, path),
    )


def _position_error(context: Context, path: str) -> Iterator[Labelled]:
    """Yield how far places may be off, where the log says so."""
    name = f"{path}.position_error_m_median"
    if context.results.figures[name].number is not None:
        yield context.figures.labelled(name, context.words.say("walker.position_error"))


def _courses(context: Context, path: str) -> Grid:
    say = context.words.say
    return Grid(
        caption=say("walker.caption"),
        headings=headings(
            *(say(f"walker.column_{key}") for key in ("way", "frames", "excess")), numbers_from=1
        ),
        rows=tuple(
            (
                text_cell(say(f"walker.{name}"), heading=True),
                context.figures.cell(f"{path}.course.{name}.frames_heard"),
                context.figures.cell(f"{path}.course.{name}.excess_loss_db_median"),
            )
            for name, _, _ in WAYS
        ),
    )


def _median(context: Context, path: str, name: str, label: str) -> Labelled:
    figures = context.figures
    note = context.words.say(
        "photo.quartiles",
        low=figures.view(f"{path}.{name}_lower_quartile").text,
        high=figures.view(f"{path}.{name}_upper_quartile").text,
    )
    return figures.labelled(f"{path}.{name}_median", context.words.say(f"path.{label}"), note)


def _warning(context: Context, path: str) -> str:
    count = int(context.results.figures[f"{path}.too_strong"].number or 0)
    return context.words.count("path.warning", count) if count else ""


def _sampling_text(context: Context, path: str) -> str:
    samples = context.results.figures[f"{path}.samples_per_averaging_length"].number
    if samples is None:
        return ""
    figures = context.figures
    return context.words.say(
        "path.sampling",
        spacing=figures.view(f"{path}.frame_spacing_m").text,
        length=figures.view(f"{path}.averaging_length_m").text,
        error=figures.view(f"{path}.local_mean_error_db").text,
    )
