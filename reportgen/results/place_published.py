"""What of the results is published: the one view of them that pages and downloads are given."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from reportgen.match.join import Joined
from reportgen.match.moved_campaign import undrawn_checksums
from reportgen.match.photos import PhotoMatch
from reportgen.model.campaign import Campaign
from reportgen.model.columns import CELLS
from reportgen.results.assemble import Results
from reportgen.results.coarse import coarse_figure
from reportgen.results.figure import Absent, Figure, FigureBook
from reportgen.results.heard_levels import HeardLevels
from reportgen.results.walks import WalkResult

_OF_LEVELS = (
    "rssi_dbm", "snr_db", "snr_margin_db", "signal_dbm", "link_margin_db", "loss_db",
    "excess_loss_db",
)  # fmt: skip
_OF_A_PLACE = (
    "latitude_deg", "longitude_deg", "height_msl_m", "position_error_m", "distance_m",
    "bearing_deg", "rssi_dbm", "snr_db", "snr_margin_db", "signal_dbm", "link_margin_db", "loss_db",
    "excess_loss_db",
)  # fmt: skip
"""Columns that tell, row by row, where something was or how strong it was there."""
_OF_MAGNETIC_NORTH = ("heading_stated_deg", "declination_deg")


def as_published(results: Results) -> Results:
    """Return results as their author publishes them; once is as good as twice.

    `exact`: all of them. `moved`: with moved coordinates, as matching made them, less heights row
    by row and what tells which way a compass points there. `coarse`: figures by the rule of
    `coarse_figure`, and tables in which no row has a place or a level any more, so that whatever
    is made of them can't tell more than the figures.
    """
    place = results.joined.campaign.publishing.place
    if place == "moved":
        return _moved(results)
    return _coarse(results) if place == "coarse" else results


def _moved(results: Results) -> Results:
    magnetic = {
        f"photo.{match.photo.key}.{name}"
        for match in results.joined.photos
        if match.photo.metadata.heading_reference == "magnetic"
        for name in _OF_MAGNETIC_NORTH
    }
    hidden = _unplaced_others(results.joined)
    told = _with_rows(
        results,
        ("height_msl_m",),
        FigureBook.of(_moved_figure(figure, magnetic, hidden) for figure in results.figures),
    )
    return replace(
        told,
        joined=replace(told.joined, receptions=_without_others_levels(told.joined.receptions)),
        walks=tuple(
            replace(walk, receptions=_without_others_levels(walk.receptions)) for walk in told.walks
        ),
    )


def _without_others_levels(receptions: pd.DataFrame) -> pd.DataFrame:
    """Return receptions without levels at stations of others.

    By them such a station is found on the moved map as the own one is; and who knows where it
    stands in truth could move the map back.
    """
    kept = receptions.copy()
    names = [name for name in _OF_LEVELS if name in kept.columns]
    kept.loc[~kept["is_own"], names] = np.nan
    return kept


def _unplaced_others(joined: Joined) -> frozenset[str]:
    """Return the keys of others' stations whose place the description states."""
    stated = {key.rsplit(".", 2)[0] for key, _ in joined.campaign.stated_at if ".position." in key}
    return frozenset(
        station.key
        for station in joined.stations
        if not station.is_own and f"stations.{station.key}" in stated
    )


def _moved_figure(figure: Figure, magnetic: set[str], hidden: frozenset[str]) -> Figure:
    parts = figure.name.split(".")
    is_hidden = figure.absent_reason is Absent.NO_STATION_POSITION and not hidden.isdisjoint(parts)
    if figure.name not in magnetic and not is_hidden:
        return figure
    return replace(
        figure, value=None, absent_reason=Absent.WITHHELD_MOVED, low=None, high=None, where=None,
        source="",
    )  # fmt: skip


def _coarse(results: Results) -> Results:
    return replace(
        _with_rows(
            results, _OF_A_PLACE, FigureBook.of(coarse_figure(figure) for figure in results.figures)
        ),
        cells=CELLS.empty(),
        heard_levels=HeardLevels(),
    )


def _with_rows(results: Results, blank: tuple[str, ...], figures: FigureBook) -> Results:
    """Return results with these columns unknown in every row of every table."""
    joined = results.joined
    is_coarse = "latitude_deg" in blank
    return replace(
        results,
        joined=replace(
            joined,
            campaign=_campaign(joined.campaign, blank, is_coarse=is_coarse),
            stations=tuple(replace(s, position=None) if is_coarse else s for s in joined.stations),
            frames=_blanked(joined.frames, blank),
            receptions=_blanked(joined.receptions, blank),
            downlinks=_blanked(joined.downlinks, blank),
            tracks={} if is_coarse else joined.tracks,
            photos=tuple(_photo(match) if is_coarse else match for match in joined.photos),
        ),
        walks=tuple(_walk(walk, blank) for walk in results.walks),
        figures=figures,
    )


def _campaign(campaign: Campaign, blank: tuple[str, ...], *, is_coarse: bool) -> Campaign:
    tables = replace(
        campaign,
        records=_blanked(campaign.records, blank),
        track_points=_blanked(campaign.track_points, blank),
    )
    if not is_coarse:
        return tables
    return replace(
        tables,
        stations=tuple(replace(station, position=None) for station in campaign.stations),
        overlays=(),
        picture_overlays=(),
        tiles=None,
        input_checksums=undrawn_checksums(campaign),
    )


def _walk(walk: WalkResult, blank: tuple[str, ...]) -> WalkResult:
    stations = walk.stations
    if "latitude_deg" in blank:
        stations = tuple(replace(station, position=None) for station in stations)
    return replace(
        walk,
        track=_blanked(walk.track, blank),
        frames=_blanked(walk.frames, blank),
        receptions=_blanked(walk.receptions, blank),
        downlinks=_blanked(walk.downlinks, blank),
        stations=stations,
        ground={} if "latitude_deg" in blank else walk.ground,
    )


def _photo(match: PhotoMatch) -> PhotoMatch:
    """Return a photo that belongs to a walk, and to no place."""
    metadata = replace(
        match.photo.metadata, position=None, altitude_msl_m=None, heading_deg=None,
        heading_reference=None,
    )  # fmt: skip
    return replace(
        match,
        photo=replace(match.photo, metadata=metadata),
        position=None,
        position_how="",
        height_msl_m=None,
        by_time=None,
        by_place=None,
        on_track=None,
        own_reception=None,
        disagreement_m=None,
    )


def _blanked(table: pd.DataFrame, columns: tuple[str, ...]) -> pd.DataFrame:
    return table.assign(**{name: np.nan for name in columns if name in table.columns})
