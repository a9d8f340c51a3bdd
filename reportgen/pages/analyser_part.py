"""What the analyser really said, told honestly: a part of the page of the setup."""

from __future__ import annotations

from dataclasses import dataclass

from reportgen.model.station import Station
from reportgen.pages import formats
from reportgen.pages.context import Context
from reportgen.pages.views import Labelled
from reportgen.results.figure import Absent

FIGURES = (
    "vswr", "return_loss_db", "line_loss_at_reading_db", "open_end_vswr", "vswr_at_antenna",
    "mismatch_loss_db", "standing_wave_loss_db", "chain_loss_db",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class AnalyserView:
    """The reading, what it means, and warnings where it can't be taken as it stands."""

    reading: str
    verdict: str
    warnings: tuple[str, ...]
    figures: tuple[Labelled, ...]

    @property
    def has_warnings(self) -> bool:
        """Whether anything is to be warned of."""
        return bool(self.warnings)


def analyser_view(context: Context, station: Station) -> AnalyserView | None:
    """Return the part of a station's reading, None where there is none."""
    reading = station.vswr
    if reading is None:
        return None
    say, path = context.words.say, f"setup.station.{station.key}"
    at = context.figures.view(f"{path}.vswr_frequency_hz")
    return AnalyserView(
        reading=say(
            "analyser.reading",
            value=formats.ratio_text(reading.vswr),
            end=say(f"setup.end_{reading.measured_at}"),
            frequency=at.text,
        ),
        verdict=_verdict(context, path, reading.measured_at),
        warnings=tuple(_warnings(context, path, at.text)),
        figures=tuple(
            context.figures.labelled(
                f"{path}.{name}", say(f"analyser.label.{name}"), _note(context, name)
            )
            for name in FIGURES
        ),
    )


def _note(context: Context, name: str) -> str:
    return context.words.say(f"analyser.note.{name}") if context.words.has(
        f"analyser.note.{name}"
    ) else ""  # fmt: skip


def _verdict(context: Context, path: str, measured_at: str) -> str:
    figure = context.figures.view
    at_antenna = figure(f"{path}.vswr_at_antenna")
    book = context.results.figures
    loss_db = book[f"{path}.line_loss_at_reading_db"].number
    if measured_at == "antenna":
        return context.words.say("analyser.at_antenna")
    if loss_db is None:
        return context.words.say("analyser.line_unknown")
    if loss_db == 0.0 or book[f"{path}.vswr"].number == 1.0:
        return context.words.say("analyser.not_flattered")
    if at_antenna.is_absent:
        is_edge = book[f"{path}.vswr_at_antenna"].absent_reason is Absent.ON_THE_EDGE
        return context.words.say(
            "analyser.on_the_edge" if is_edge else "analyser.contradiction",
            value=figure(f"{path}.vswr").text,
            open=figure(f"{path}.open_end_vswr").text,
            loss=figure(f"{path}.line_loss_at_reading_db").text,
        )
    return context.words.say(
        "analyser.flattered",
        value=figure(f"{path}.vswr").text,
        antenna=at_antenna.text,
        low=figure(f"{path}.vswr_at_antenna_low").text,
        high=figure(f"{path}.vswr_at_antenna_high").text,
        open=figure(f"{path}.open_end_vswr").text,
        loss=figure(f"{path}.line_loss_at_reading_db").text,
    )


def _warnings(context: Context, path: str, at: str) -> list[str]:
    found = []
    book = context.results.figures
    counted = book[f"{path}.mismatch_counted_db"]
    has_value = book[f"{path}.mismatch_loss_db"].value is not None
    if counted.method == "assumed" and has_value:
        working = context.figures.view("setup.radio.frequency_hz").text
        found.append(context.words.say("analyser.other_frequency", at=at, working=working))
    return found
