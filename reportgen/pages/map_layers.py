"""The squares of ground on the maps, and what a reader can switch about them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pandas as pd

from reportgen.pages import formats
from reportgen.pages.charts.description import DataTable
from reportgen.pages.charts.layers import (
    ALL,
    Choice,
    Ground,
    Layers,
    LayerWords,
    Look,
    Square,
    SquareLayer,
)
from reportgen.pages.context import Context
from reportgen.pages.marks import level_scale
from reportgen.results.cells import ALL_WALKS
from reportgen.results.walks import WalkResult

WIDE_INTERVAL = 0.5
"""A share known no better than to this much is drawn as uncertain (our choice)."""


MOST_SQUARES = 2000
"""Squares of single walks on one map; more make a page of megabytes."""


def walk_numbers(walks: Sequence[WalkResult]) -> Mapping[str, str]:
    """Return the number by which a map's controls know each walk; none for one walk alone."""
    if len(walks) < 2:
        return {}
    return {result.walk.key: str(number) for number, result in enumerate(walks, 1)}


def has_only_common_squares(context: Context, walks: Sequence[WalkResult]) -> bool:
    """Whether a map of several walks leaves the squares of each to the walk's own page."""
    cells = context.results.cells
    return len(walks) > 1 and int((cells["walk"] != ALL_WALKS).sum()) > MOST_SQUARES


def map_layers(context: Context, walks: Sequence[WalkResult]) -> Layers | None:
    """Return the layers of a map of some walks; None where no square is known."""
    numbers = walk_numbers(walks)
    keys = {ALL_WALKS: ALL, **numbers} if numbers else {walks[0].walk.key: ""} if walks else {}
    if has_only_common_squares(context, walks):
        keys = {ALL_WALKS: ALL}
    cells = context.results.cells
    squares: list[SquareLayer] = []
    for key, number in keys.items():
        mine = cells[cells["walk"] == key]
        own = mine[mine["station"] == context.home.key]
        others = mine[~mine["is_own"]]
        if len(own):
            squares.append(_layer(own, number, [_own(context, row) for row in _rows(own)]))
        if len(others):
            squares.append(_layer(others, number, _others(context, others)))
    grounds = _grounds(context, squares)
    if len(grounds) < 2:
        return None
    edge_m = float(cells["cell_m"].iloc[0])
    return Layers(
        grounds=grounds,
        walks=_walks(context, walks) if numbers else (),
        squares=tuple(squares),
        edge_m=edge_m,
        words=_words(context, edge_m),
    )


def _rows(cells: pd.DataFrame) -> list[pd.Series]:
    return [row for _, row in cells.iterrows()]


def _layer(cells: pd.DataFrame, number: str, squares: Sequence[Square]) -> SquareLayer:
    is_own = bool(cells["is_own"].all())
    return SquareLayer(walk=number, is_own=is_own, squares=tuple(squares))


def level_column(context: Context) -> str:
    """Return the column of cells that the site's colour scale shows."""
    return "margin_db" if level_scale(context).scale.limit is not None else "signal_dbm"


def _own(context: Context, row: pd.Series) -> Square:
    level = row[level_column(context)]
    width = row["delivery_high_ratio"] - row["delivery_low_ratio"]
    heard, sent = int(row["frames_heard"]), int(row["frames_sent"])
    return Square(
        x=float(row["east_m"]),
        y=float(row["north_m"]),
        sent=sent,
        heard=heard,
        level=None if pd.isna(level) else float(level),
        is_below=bool(row["is_below_limit"]),
        is_uncertain=bool(width > WIDE_INTERVAL),
        title=_counts(context, row),
        hover="\n".join(part for part in _hover(context, row) if part),
    )


def _counts(context: Context, row: pd.Series) -> str:
    if not row["frames_sent"]:
        return context.words.say("squares.none_sent")
    return context.words.count(
        "squares.counts",
        int(row["frames_sent"]),
        heard=formats.number_text(row["frames_heard"]),
        sent=formats.number_text(row["frames_sent"]),
    )


def _hover(context: Context, row: pd.Series) -> tuple[str, ...]:
    say = context.words.say
    walked = say("squares.walked_length", length=context.units.length(row["walked_m"]))
    if not row["frames_sent"]:
        return _counts(context, row), walked
    share = say("squares.share_hover", share=_share(row), interval=_interval(context, row))
    median = say("squares.median_hover", median=_median(context, row))
    return _counts(context, row), share, median, walked


def _share(row: pd.Series) -> str:
    return formats.percent_text(float(row["delivery_ratio"]))


def _interval(context: Context, row: pd.Series) -> str:
    return context.words.say(
        "squares.interval",
        low=formats.percent_text(float(row["delivery_low_ratio"])),
        high=formats.percent_text(float(row["delivery_high_ratio"])),
    )


def _median(context: Context, row: pd.Series) -> str:
    if row["is_below_limit"]:
        return context.words.say("squares.below_limit")
    column = level_column(context)
    if pd.isna(row[column]):
        return context.words.say("squares.unknown")
    return formats.level_text(float(row[column]), level_scale(context).scale.unit)


def _others(context: Context, cells: pd.DataFrame) -> list[Square]:
    """Return a square for each place where others heard, with the count of each station."""
    squares = []
    for (east_m, north_m), rows in cells.groupby(["east_m", "north_m"], sort=False):
        counts = [
            context.words.say(
                "squares.other_count",
                station=context.station_name(row["station"]),
                heard=formats.number_text(row["frames_heard"]),
            )
            for row in _rows(rows)
        ]
        squares.append(
            Square(
                x=float(east_m), y=float(north_m), sent=0, heard=int(rows["frames_heard"].max()),
                level=None, is_below=False, is_uncertain=False,
                title="; ".join(counts), hover="\n".join(counts),
            )
        )  # fmt: skip
    return squares


def _grounds(context: Context, squares: Sequence[SquareLayer]) -> tuple[Choice, ...]:
    """Return what the ground can show; a thing that no square has is not offered."""
    own = [square for layer in squares if layer.is_own for square in layer.squares]
    is_sent = any(square.sent for square in own)
    is_known = any(square.level is not None or square.is_below for square in own)
    is_offered = {
        Ground.NOTHING: True,
        Ground.LEVEL: is_sent and is_known,
        Ground.SHARE: is_sent,
        Ground.OTHERS: any(not layer.is_own for layer in squares),
    }
    return tuple(
        Choice(value=ground, label=_ground_label(context, ground))
        for ground, offered in is_offered.items()
        if offered
    )


def _ground_label(context: Context, ground: Ground) -> str:
    key = f"{ground}_signal" if _is_signal(context, ground) else str(ground)
    return context.words.say(f"layers.{key}", station=context.home.name)


def _is_signal(context: Context, ground: Ground) -> bool:
    """Whether the level is a signal in dBm, as no limit is known."""
    return ground is Ground.LEVEL and level_column(context) == "signal_dbm"


def _walks(context: Context, walks: Sequence[WalkResult]) -> tuple[Choice, ...]:
    every = Choice(value=ALL, label=context.words.say("layers.all_walks"))
    numbers = walk_numbers(walks)
    return (
        every,
        *(Choice(value=numbers[item.walk.key], label=item.walk.title) for item in walks),
    )


def _words(context: Context, edge_m: float) -> LayerWords:
    say, edge = context.words.say, context.units.length(edge_m)
    level = "signal" if level_column(context) == "signal_dbm" else "level"
    looks = {
        (Ground.LEVEL, Look.COLOURED): f"squares.{level}",
        (Ground.SHARE, Look.COLOURED): "squares.share",
        (Ground.LEVEL, Look.PLAIN): "squares.level_unknown",
        (Ground.OTHERS, Look.PLAIN): "squares.others",
        (Ground.LEVEL, Look.BELOW): "squares.below",
    }
    for ground in (Ground.LEVEL, Ground.SHARE):
        looks[ground, Look.SILENT] = "squares.silent"
        looks[ground, Look.WALKED] = "squares.walked"
    return LayerWords(
        ground=say("layers.legend"),
        walk=say("layers.walk"),
        looks={kind: say(key, edge=edge, station=context.home.name) for kind, key in looks.items()},
        small=say("squares.small"),
        share=say("squares.share_scale"),
        notes={
            Ground.LEVEL: say(f"layers.note_{_basis(context)}", high=_top(context)),
            Ground.OTHERS: say("layers.note_others"),
        },
        mixed=say("layers.mixed"),
    )


def _basis(context: Context) -> str:
    """Return what the level of a square is made of."""
    if level_column(context) == "signal_dbm":
        return "signal"
    return context.results.margin_columns[context.home.key]


def _top(context: Context) -> str:
    scale = level_scale(context).scale
    return formats.level_text(scale.high, scale.unit)


def squares_table(context: Context, walks: Sequence[WalkResult]) -> DataTable | None:
    """Return the numbers of the squares: of the one walk, or of all together."""
    key = walks[0].walk.key if len(walks) == 1 else ALL_WALKS
    cells = context.results.cells
    mine = cells[cells["walk"] == key]
    others = mine[~mine["is_own"]].groupby(["east_m", "north_m"])
    theirs = {place: _their_counts(context, rows) for place, rows in others}
    own = mine[mine["station"] == context.home.key]
    rows = [_table_row(context, row, theirs) for row in _rows(own)]
    place = "place_all" if key == ALL_WALKS else "place"
    columns = (place, "walked", "sent", "heard", "share", "interval", level_column(context),
               "others")  # fmt: skip
    if not rows:
        return None
    station = context.home.name
    return DataTable(
        headings=tuple(
            context.words.say(f"squares.column.{name}", station=station) for name in columns
        ),
        rows=tuple(rows),
    )


def _their_counts(context: Context, rows: pd.DataFrame) -> str:
    counts = (
        f"{context.station_name(row['station'])}: {formats.number_text(row['frames_heard'])}"
        for row in _rows(rows)
    )
    return ", ".join(counts)


def _table_row(
    context: Context, row: pd.Series, theirs: Mapping[tuple[float, float], str]
) -> tuple[str, ...]:
    place = (row["east_m"], row["north_m"])
    is_sent = bool(row["frames_sent"])
    return (
        " / ".join(formats.number_text(value) for value in place),
        context.units.length(row["walked_m"]),
        formats.number_text(row["frames_sent"]),
        formats.number_text(row["frames_heard"]),
        _share(row) if is_sent else "",
        _interval(context, row) if is_sent else "",
        _median(context, row) if is_sent else "",
        theirs.get(place, ""),
    )
