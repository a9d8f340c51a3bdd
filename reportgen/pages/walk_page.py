"""The page of one walk: map, signal over time and distance, counts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from reportgen.match.cut import is_cut
from reportgen.pages import formats
from reportgen.pages.charts.polar import PolarView
from reportgen.pages.charts.views import ChartView
from reportgen.pages.clock_part import clock_grid, clock_intro
from reportgen.pages.context import Context, PhotoThumb, photo_thumb
from reportgen.pages.counted_part import counted_text
from reportgen.pages.data_page import accounts_grid
from reportgen.pages.ground_part import rings_grid, sectors_grid, sectors_polar
from reportgen.pages.law_part import LawView, law_view
from reportgen.pages.maps import walk_map
from reportgen.pages.path_part import PathView, path_view
from reportgen.pages.place_part import place_note
from reportgen.pages.plots import over_distance, over_time
from reportgen.pages.reach_words import reach_end_text
from reportgen.pages.setup_page import Fact
from reportgen.pages.views import Cell, Grid, Labelled, headings, text_cell
from reportgen.pages.walk_findings import Findings, walk_findings
from reportgen.results.figure import FigureBook, slug
from reportgen.results.look_alikes import silent_channels_hz
from reportgen.results.walks import WalkResult

STANDING_M = 60.0
"""A walk whose track stays within this length is one of standing spots: no more than the wander
of a receiver at rest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkView:
    """The whole page."""

    eyebrow: str
    title: str
    summary: str
    facts: tuple[Fact, ...]
    is_silent: bool
    remarks: tuple[str, ...]
    figures: tuple[Labelled, ...]
    counted: str
    place_note: str
    has_map: bool
    map: ChartView | None
    has_levels: bool
    over_time: ChartView | None
    has_distances: bool
    over_distance: ChartView | None
    has_rings: bool
    rings: Grid
    has_sectors: bool
    sectors: Grid
    polar: PolarView
    has_paths: bool
    path: PathView
    has_clock: bool
    clock_intro: Markup
    clock: Grid
    law: LawView
    by_station: Grid
    has_rates: bool
    by_rate: Grid
    has_nodes: bool
    by_node: Grid
    has_downlink: bool
    is_downlink_alone: bool
    downlink: Grid
    has_photos: bool
    photos: tuple[PhotoThumb, ...]
    files: Grid
    findings: Findings


def walk_view(context: Context, result: WalkResult) -> WalkView:
    """Return the page of one walk."""
    say = context.words.say
    receptions = result.receptions
    has_levels = bool((receptions["rssi_dbm"].notna() & receptions["time_utc"].notna()).any())
    has_distances = has_levels and bool(
        (receptions["is_own"] & receptions["distance_m"].notna()).any()
    )
    photos = _photos(context, result)
    joined = context.results.joined
    accounts = tuple(item for item in joined.accounts if item.walk == result.walk.key)
    downlink = _downlink(context, result)
    home = f"walk.{result.walk.key}.station.{context.home.key}"
    rings, sectors = rings_grid(context, home), sectors_grid(context, home)
    clock = clock_grid(context, home)
    return WalkView(
        eyebrow=say(
            "walk.eyebrow",
            n=context.campaign.walks.index(result.walk) + 1,
            total=len(context.campaign.walks),
        ),
        title=result.walk.title,
        summary=result.walk.summary,
        facts=_facts(context, result),
        is_silent=receptions.empty and result.downlinks.empty,
        remarks=_remarks(context, result),
        figures=_figures(context, result),
        counted=counted_text(context, result),
        place_note=place_note(context, "walk"),
        has_map=not context.is_coarse,
        map=None if context.is_coarse else walk_map(context, result),
        has_levels=has_levels,
        over_time=over_time(context, result) if has_levels else None,
        has_distances=has_distances,
        over_distance=over_distance(context, result) if has_distances else None,
        has_rings=not rings.is_empty,
        rings=rings,
        has_sectors=not sectors.is_empty,
        sectors=sectors,
        polar=sectors_polar(context, home),
        has_paths=not context.is_coarse,
        path=path_view(context, result),
        has_clock=not clock.is_empty,
        clock_intro=clock_intro(context, home),
        clock=clock,
        law=law_view(context, f"walk.{result.walk.key}.law", result.data_rates, "../"),
        by_station=_by_station(context, result),
        has_rates=bool(result.data_rates),
        by_rate=_by_rate(context, result),
        has_nodes=len(result.nodes) > 1,
        by_node=_by_node(context, result),
        has_downlink=not downlink.is_empty,
        is_downlink_alone=receptions.empty,
        downlink=downlink,
        has_photos=bool(photos),
        photos=photos,
        files=accounts_grid(context, accounts),
        findings=walk_findings(context, result, len(accounts)),
    )


def walk_when(context: Context, result: WalkResult) -> str:
    """Return when a walk was, in local time."""
    if result.start_utc is None or result.end_utc is None:
        return context.words.say("walk.when_unknown")
    first, last = context.date(result.start_utc), context.date(result.end_utc)
    return context.words.say(
        "walk.when" if first == last else "walk.when_days",
        date=first,
        last_date=last,
        start=context.clock(result.start_utc, seconds=False),
        end=context.clock(result.end_utc, seconds=False),
        zone=context.zone,
    )


def walk_settings(result: WalkResult) -> str:
    """Return what was set, in one line."""
    return ", ".join(f"{factor.name} {factor.value}" for factor in result.walk.factors)


def _facts(context: Context, result: WalkResult) -> tuple[Fact, ...]:
    say = context.words.say
    facts = [
        Fact(label=say("walk.column_date"), text=walk_when(context, result)),
        Fact(
            label=say("walk.column_nodes"),
            text=", ".join(context.node_name(node) for node in result.walk.nodes),
        ),
    ]
    if result.walk.route:
        facts.append(Fact(label=say("walk.column_route"), text=result.walk.route))
    facts += [Fact(label=factor.name, text=factor.value) for factor in result.walk.factors]
    return tuple(facts)


def _remarks(context: Context, result: WalkResult) -> tuple[str, ...]:
    remarks = []
    length_m = context.results.figures[f"walk.{result.walk.key}.track_length_m"].number
    spread_m = _spread_m(result)
    still = length_m is not None and length_m < STANDING_M
    if still or (length_m is None and spread_m is not None and spread_m < STANDING_M):
        remarks.append(context.words.say("walk.standing"))
    silent_hz = silent_channels_hz(result, context.results.joined)
    if silent_hz:
        remarks.append(
            context.words.say(
                "walk.silent_channels",
                station=context.home.name,
                channels=", ".join(formats.frequency_text(hz) for hz in silent_hz),
            )
        )
    if result.receptions.empty and len(result.downlinks):
        remarks.append(context.words.say("walk.downlink_only"))
    if len(result.frames) == 1:
        remarks.append(context.words.say("walk.single"))
    if is_cut(context.results.joined.accounts, result.walk.key):
        remarks.append(context.words.say("walk.cut"))
    return tuple(remarks)


def _spread_m(result: WalkResult) -> float | None:
    away = result.frames["distance_m"].dropna()
    return None if away.empty else float(away.max() - away.min())


def _figures(context: Context, result: WalkResult) -> tuple[Labelled, ...]:
    say, figures = context.words.say, context.figures
    path = f"walk.{result.walk.key}"
    home = f"{path}.station.{context.home.key}"
    return (
        figures.labelled(
            f"{home}.farthest_heard_m",
            say("walk.farthest_heard", station=context.home.name),
            _farthest_note(context, home),
        ),
        figures.labelled(f"{path}.farthest_walked_m", say("walk.farthest_walked")),
        figures.labelled(f"{home}.delivery_ratio", say("walk.delivery"), _of(context, home)),
        figures.labelled(f"{home}.half_distance_m", say("walk.half_distance")),
        figures.labelled(f"{home}.rssi_dbm_median", say("walk.rssi_median")),
        figures.labelled(f"{home}.snr_db_median", say("walk.snr_median")),
        figures.labelled(f"{path}.track_length_m", say("walk.track_length")),
        figures.labelled(f"{path}.duration_s", say("walk.duration")),
    )


def _farthest_note(context: Context, path: str) -> str:
    bearing_deg = context.results.figures[f"{path}.farthest_heard_bearing_deg"].number
    if bearing_deg is None:
        return ""
    return context.words.say(
        "overview.farthest_heard_note",
        compass=context.compass(bearing_deg),
        station=context.home.name,
        end=reach_end_text(context, path),
    )


def _of(context: Context, path: str) -> str:
    sent = context.figures.view(f"{path}.frames_sent")
    if sent.is_absent:
        heard = int(context.results.figures[f"{path}.frames_heard"].number or 0)
        return context.words.count("walk.delivery_note_uncounted", heard)
    number = int(context.results.figures[f"{path}.frames_sent"].number or 0)
    heard_of_sent = context.figures.view(f"{path}.frames_heard_of_sent").text
    told = context.words.count("walk.delivery_note", number, heard=heard_of_sent)
    interval = context.figures.view(f"{path}.delivery_ratio").working.interval
    return f"{told}; {interval}" if interval else told


LEVEL_COLUMNS = (
    ("frames_heard", "heard"),
    ("rssi_dbm_median", "median_rssi"),
    ("rssi_dbm_worst", "worst_rssi"),
    ("rssi_dbm_best", "best_rssi"),
    ("snr_db_median", "median_snr"),
    ("link_margin_db_median", "median_margin"),
)
REACH_COLUMNS = (
    ("frames_sent", "sent"),
    ("frames_heard", "heard"),
    ("delivery_ratio", "ratio"),
    ("farthest_heard_m", "farthest"),
    ("rssi_dbm_median", "median_rssi"),
    ("snr_db_median", "median_snr"),
)


def _grid(
    context: Context,
    caption: str,
    texts: tuple[str, ...],
    columns: tuple[tuple[str, str], ...],
    rows: Sequence[tuple[tuple[str, ...], str]],
) -> Grid:
    """Return a table whose rows begin with texts and go on with the figures under a path."""
    say, figures = context.words.say, context.figures
    columns = shown_columns(context.results.figures, columns, [path for _, path in rows])
    return Grid(
        caption=caption,
        headings=headings(
            *(say(f"walk.column_{text}") for text in texts),
            *(say(f"walk.column_{label}") for _, label in columns),
            numbers_from=len(texts),
        ),
        rows=tuple(
            (
                text_cell(names[0], heading=True),
                *(text_cell(name) for name in names[1:]),
                *(figures.cell(f"{path}.{name}") for name, _ in columns),
            )
            for names, path in rows
        ),
    )


def shown_columns(
    book: FigureBook, columns: tuple[tuple[str, str], ...], paths: Sequence[str]
) -> tuple[tuple[str, str], ...]:
    """Return the columns of figures that the author does not keep off the site altogether."""
    return tuple(
        column
        for column in columns
        if not paths
        or any(f"{path}.{column[0]}" not in book for path in paths)
        or any(book.shows(f"{path}.{column[0]}") for path in paths)
    )


def _by_station(context: Context, result: WalkResult) -> Grid:
    whose = {True: "walk.own", False: "walk.other"}
    rows = [
        (
            (station.name, context.words.say(whose[station.is_own])),
            f"walk.{result.walk.key}.station.{station.key}",
        )
        for station in result.stations
    ]
    columns = (*LEVEL_COLUMNS, ("farthest_heard_m", "farthest"))
    caption = context.words.say("walk.station_caption")
    return _grid(context, caption, ("station", "own"), columns, rows)


def _by_rate(context: Context, result: WalkResult) -> Grid:
    home = f"walk.{result.walk.key}.station.{context.home.key}"
    rows = [((rate,), f"{home}.data_rate.{slug(rate)}") for rate in result.data_rates]
    caption = context.words.say("walk.rate_caption", station=context.home.name)
    return _grid(context, caption, ("rate",), REACH_COLUMNS, rows)


def _by_node(context: Context, result: WalkResult) -> Grid:
    path = f"walk.{result.walk.key}.node"
    rows = [
        ((context.node_name(node),), f"{path}.{node}.station.{context.home.key}")
        for node in result.nodes
    ]
    caption = context.words.say("walk.node_caption", station=context.home.name)
    return _grid(context, caption, ("node",), REACH_COLUMNS, rows)


def _downlink(context: Context, result: WalkResult) -> Grid:
    path = f"walk.{result.walk.key}.downlink"
    heard = set(result.downlinks["station"].unique())
    rows = [
        ((station.name,), f"{path}.{station.key}")
        for station in result.stations
        if station.key in heard
    ]
    caption = context.words.say("walk.downlink_caption")
    return _grid(context, caption, ("station",), LEVEL_COLUMNS, rows)


def _photos(context: Context, result: WalkResult) -> tuple[PhotoThumb, ...]:
    return tuple(
        photo_thumb(context, match, up="../")
        for match in context.results.joined.photos
        if match.photo.key in result.photos
    )


def walk_row(context: Context, result: WalkResult) -> tuple[Cell, ...]:
    """Return the row of a walk in the list of walks."""
    path = f"walk.{result.walk.key}"
    home = f"{path}.station.{context.home.key}"
    figures = context.figures
    date = context.date(result.start_utc) if result.start_utc else ""
    return (
        text_cell(result.walk.title, href=f"walks/{result.walk.key}.html", heading=True),
        text_cell(date),
        text_cell(result.walk.route),
        text_cell(walk_settings(result)),
        figures.cell(f"{home}.frames_sent"),
        figures.cell(f"{home}.frames_heard"),
        figures.cell(f"{home}.delivery_ratio"),
        figures.cell(f"{home}.farthest_heard_m"),
        figures.cell(f"{path}.farthest_walked_m"),
    )
