"""The page of cautions, with the distances that the setup gives."""

from __future__ import annotations

from dataclasses import dataclass

from reportgen.pages import formats
from reportgen.pages.context import Context
from reportgen.pages.setup_page import frequency_text
from reportgen.pages.views import Labelled


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionView:
    """One own station."""

    name: str
    is_known: bool
    figures: tuple[Labelled, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SafetyView:
    """The whole page."""

    stations: tuple[CautionView, ...]


def safety_view(context: Context) -> SafetyView:
    """Return the page of cautions."""
    return SafetyView(
        stations=tuple(_caution(context, s.key, s.name) for s in context.campaign.own_stations)
    )


def _caution(context: Context, key: str, name: str) -> CautionView:
    path = f"safety.station.{key}"
    figures = (
        _distance(context, path, "icnirp"),
        _distance(context, path, "fcc"),
        context.figures.labelled(f"setup.station.{key}.eirp_w", context.words.say("setup.eirp")),
    )
    return CautionView(
        name=name, is_known=not any(item.figure.is_absent for item in figures), figures=figures
    )


def _distance(context: Context, path: str, rule: str) -> Labelled:
    limit = context.results.figures[f"{path}.{rule}_limit_w_m2"].number
    note = ""
    if limit is not None:
        note = context.words.say(
            "safety.limit_note",
            limit=formats.BY_UNIT["W/m²"](limit),
            frequency=frequency_text(context.campaign.radio.frequency_hz),
        )
    return context.figures.labelled(
        f"{path}.caution_distance_{rule}_m", context.words.say(f"safety.caution_{rule}"), note
    )
