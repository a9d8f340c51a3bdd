"""Tables of delivery by distance ring and of reach by direction."""

from __future__ import annotations

from dataclasses import replace

from reportgen.pages import formats
from reportgen.pages.chart_words import chart_words
from reportgen.pages.charts.polar import PolarSector, PolarView, polar_view
from reportgen.pages.context import Context
from reportgen.pages.views import Cell, Grid, headings, text_cell

SECTORS_DEG = tuple(range(0, 360, 30))


def rings_grid(context: Context, path: str) -> Grid:
    """Return delivery by ring under a path of figures; empty where frames can't be counted."""
    say, book = context.words.say, context.results.figures
    start = f"{path}.ring."
    rings = [
        figure.name.removesuffix(".delivery_ratio")
        for figure in book
        if figure.name.startswith(start)
        and figure.name.endswith(".delivery_ratio")
        and book.shows(figure.name)
    ]
    return Grid(
        caption=say("ground.ring_caption", station=context.home.name),
        is_compared=True,
        headings=headings(
            say("ground.column_ring"),
            say("walk.column_sent"),
            say("walk.column_heard"),
            say("walk.column_ratio"),
            numbers_from=1,
        ),
        rows=tuple(_ring(context, name) for name in rings),
    )


def _ring(context: Context, name: str) -> tuple[Cell, ...]:
    low_m, high_m = (float(part) for part in name.rsplit(".", 1)[1].split("-"))
    return (
        text_cell(
            context.words.say(
                "chart.bin_range",
                low=context.units.length(low_m),
                high=context.units.length(high_m),
            ),
            heading=True,
        ),
        context.figures.cell(f"{name}.frames_sent"),
        context.figures.cell(f"{name}.frames_heard"),
        context.figures.cell(f"{name}.delivery_ratio"),
    )


def sectors_polar(context: Context, path: str) -> PolarView:
    """Return the drawing of reach by direction; empty where frames can't be counted."""
    book = context.results.figures
    known = [deg for deg in SECTORS_DEG if book.shows(f"{path}.sector.{deg:03d}.verdict")]
    return polar_view(
        path.replace(".", "-"),
        context.words.say("ground.sector_title"),
        context.words.say("ground.sector_caption", station=context.home.name),
        tuple(_polar_sector(context, f"{path}.sector.{deg:03d}", float(deg)) for deg in known),
        chart_words(context),
    )


def _polar_sector(context: Context, name: str, middle_deg: float) -> PolarSector:
    book = context.results.figures
    verdict = book[f"{name}.verdict"].value
    heard_m = book[f"{name}.farthest_heard_m"].number or 0.0
    lost_from_m = 0.0
    if verdict in ("blind from", "lost beyond"):
        lost_from_m = book[f"{name}.verdict_m"].number or 0.0
        # A single frame heard on blind ground makes it no less blind.
        heard_m = min(heard_m, lost_from_m)
    return PolarSector(
        middle_deg=middle_deg,
        walked_m=book[f"{name}.farthest_walked_m"].number or 0.0,
        heard_m=heard_m,
        lost_from_m=lost_from_m,
        is_open=verdict == "at least",
    )


def sectors_grid(context: Context, path: str) -> Grid:
    """Return reach by direction under a path of figures; empty where frames can't be counted."""
    say, book = context.words.say, context.results.figures
    known = [deg for deg in SECTORS_DEG if book.shows(f"{path}.sector.{deg:03d}.verdict")]
    titles = ("direction", "verdict", "heard_of", "delivery", "heard", "walked")
    return Grid(
        caption=say("ground.sector_caption", station=context.home.name),
        headings=tuple(
            replace(cell, is_number=key in ("delivery", "heard", "walked"))
            for key, cell in zip(
                titles, headings(*(say(f"ground.column_{key}") for key in titles)), strict=True
            )
        ),
        rows=tuple(_sector(context, f"{path}.sector.{deg:03d}", float(deg)) for deg in known),
    )


def _sector(context: Context, name: str, middle_deg: float) -> tuple[Cell, ...]:
    view = context.figures.view
    verdict = str(context.results.figures[f"{name}.verdict"].value).replace(" ", "_")
    return (
        text_cell(
            f"{formats.bearing_text(middle_deg)} {context.compass(middle_deg)}", heading=True
        ),
        text_cell(
            context.words.say(
                f"ground.verdict_{verdict}",
                distance=view(f"{name}.verdict_m").text,
                heard=view(f"{name}.frames_heard_there").text,
                sent=view(f"{name}.frames_sent_there").text,
            )
        ),
        text_cell(
            context.words.say(
                "ground.heard_of",
                heard=view(f"{name}.frames_heard").text,
                sent=view(f"{name}.frames_sent").text,
            )
        ),
        context.figures.cell(f"{name}.delivery_ratio"),
        context.figures.cell(f"{name}.farthest_heard_m"),
        context.figures.cell(f"{name}.farthest_walked_m"),
    )
