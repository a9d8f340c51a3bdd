"""The page of who else heard the nodes: shown, and never counted as the own station's reach."""

from __future__ import annotations

from dataclasses import dataclass

from reportgen.model.station import Station
from reportgen.pages.charts.views import ChartView
from reportgen.pages.context import Context
from reportgen.pages.maps import others_map
from reportgen.pages.place_part import place_note
from reportgen.pages.views import Cell, Grid, headings, text_cell

COLUMNS = (
    "frames_heard", "frames_alone", "walks_heard_on", "rssi_dbm_median", "rssi_dbm_best",
    "farthest_heard_m", "distance_from_home_m", "bearing_from_home_deg",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class OthersView:
    """The whole page."""

    statement: str
    has_others: bool
    stations: Grid
    alone: str
    place_note: str
    has_map: bool
    map: ChartView | None


def others_view(context: Context) -> OthersView:
    """Return the page of other stations."""
    say = context.words.say
    stations = [s for s in context.results.joined.stations if not s.is_own]
    alone = int(context.results.figures["other.frames_alone"].number or 0)
    has_map = bool(alone) and not context.is_coarse
    return OthersView(
        statement=say("others.statement", station=context.home.name),
        has_others=bool(stations),
        stations=_grid(context, stations),
        alone=context.words.count("others.alone", alone) if stations else "",
        place_note=place_note(context, "others"),
        has_map=has_map,
        map=others_map(context) if has_map else None,
    )


def _grid(context: Context, stations: list[Station]) -> Grid:
    say, book = context.words.say, context.results.figures
    paths = [f"other.{station.key}" for station in stations]
    columns = [name for name in COLUMNS if any(book.shows(f"{path}.{name}") for path in paths)]
    return Grid(
        caption=say("others.caption"),
        headings=headings(
            say("walk.column_station"),
            say("walk.column_own"),
            *(say(f"others.column.{name}") for name in columns),
            numbers_from=2,
        ),
        rows=tuple(_row(context, station, columns) for station in stations),
    )


def _row(context: Context, station: Station, columns: list[str]) -> tuple[Cell, ...]:
    whose = "walk.other" if station.is_listed else "walk.unlisted"
    return (
        text_cell(station.name, heading=True),
        text_cell(context.words.say(whose)),
        *(context.figures.cell(f"other.{station.key}.{name}") for name in columns),
    )
