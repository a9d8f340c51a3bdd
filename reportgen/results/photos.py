"""Figures of each photo: distance, bearing, nearest points, local statistics."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from reportgen.compute.geodesy import (
    distance_m,
    elevation_angle_deg,
    initial_bearing_deg,
    is_within,
)
from reportgen.match.join import Joined
from reportgen.match.photos import NearestPoint, PhotoMatch
from reportgen.model.parts import parts_by
from reportgen.model.station import Position, Station
from reportgen.results.delivery import ratio_figures_of, with_fate
from reportgen.results.figure import Absent, Figure, Maker
from reportgen.results.levels import level_figures
from reportgen.results.losses import margin_figures
from reportgen.results.photo_aim import aim_figures

EYE_HEIGHT_M = 1.6
"""Height of a camera held at the eye above the ground it stands on; common practice."""


def photo_figures(match: PhotoMatch, joined: Joined) -> Iterator[Figure]:
    """Yield every figure of one photo."""
    make = Maker(path=f"photo.{match.photo.key}")
    yield from _towards(make, match, joined)
    yield from _point(make.under("by_time"), match.by_time, "nearest-by-time")
    yield from _point(make.under("by_place"), match.by_place, "nearest-by-place")
    track = match.on_track
    yield from _point(make.under("on_track"), track.nearest if track else None, "nearest-on-track")
    yield make.under("on_track").figure(
        "gap_s", track.gap_s if track else None, "s", "nearest-on-track", absent=Absent.NO_MATCH
    )
    yield from _point(make.under("own_reception"), match.own_reception, "nearest-by-place")
    yield make.figure(
        "disagreement_m", match.disagreement_m, "m", "photo-disagreement", absent=Absent.NO_MATCH
    )
    yield from _local(make, match, joined)


def _towards(make: Maker, match: PhotoMatch, joined: Joined) -> Iterator[Figure]:
    home = joined.home
    reason = Absent.NO_STATION_POSITION if match.position is not None else Absent.NO_PLACE
    away_m = bearing_deg = back_deg = elevation_deg = None
    if match.position is not None and home.position is not None:
        away_m, bearing_deg, back_deg = _line(match.position, home.position)
        elevation_deg = _elevation_deg(away_m, match.height_msl_m, home)
    inputs = ("photos", f"stations.{home.key}.position")
    same = Absent.SAME_PLACE if away_m is not None else reason
    distance = make.figure("distance_m", away_m, "m", "geodesic", absent=reason, inputs=inputs)
    bearing = make.figure("bearing_deg", bearing_deg, "deg", "bearing", absent=same, inputs=inputs)
    yield from (distance, bearing)
    yield make.figure("bearing_back_deg", back_deg, "deg", "bearing", absent=same, inputs=inputs)
    yield make.figure(
        "elevation_deg", elevation_deg, "deg", "elevation-angle",
        absent=Absent.NO_HEIGHT if away_m is not None else reason, inputs=inputs,
    )  # fmt: skip
    yield from aim_figures(make, match, joined, distance=distance, bearing=bearing)


def _line(here: Position, there: Position) -> tuple[float, float, float]:
    out = (here.latitude_deg, here.longitude_deg, there.latitude_deg, there.longitude_deg)
    back = (there.latitude_deg, there.longitude_deg, here.latitude_deg, here.longitude_deg)
    return (
        float(distance_m(*out)),
        float(initial_bearing_deg(*out)),
        float(initial_bearing_deg(*back)),
    )


def _elevation_deg(away_m: float, ground_msl_m: float | None, home: Station) -> float | None:
    antenna_msl_m = home.antenna_height_msl_m
    if ground_msl_m is None or antenna_msl_m is None:
        return None
    return float(elevation_angle_deg(away_m, ground_msl_m + EYE_HEIGHT_M, antenna_msl_m))


def _point(make: Maker, point: NearestPoint | None, method: str) -> Iterator[Figure]:
    yield make.figure(
        "time_residual_s", point.time_residual_s if point else None, "s", method,
        absent=Absent.NO_TIME if point else Absent.NO_MATCH,
    )  # fmt: skip
    yield make.figure(
        "distance_m", point.distance_m if point else None, "m", method,
        absent=Absent.NO_PLACE if point else Absent.NO_MATCH,
    )  # fmt: skip


_RECEPTION_COLUMNS = [
    "frame", "station", "walk", "rssi_dbm", "snr_db", "snr_margin_db", "link_margin_db",
]  # fmt: skip
_FRAME_COLUMNS = [
    "frame", "walk", "node", "time_utc", "latitude_deg", "longitude_deg", "is_counted", "uncounted",
    "is_doubtful", "along_m",
]  # fmt: skip


def _local(make: Maker, match: PhotoMatch, joined: Joined) -> Iterator[Figure]:
    radius_m = joined.campaign.matching.photo_radius_m
    yield make.figure("radius_m", radius_m, "m", "local-statistics")
    near = receptions_around(match.position, joined.receptions, radius_m)[_RECEPTION_COLUMNS]
    frames = joined.frames[frames_around(match.position, joined.frames, radius_m)][_FRAME_COLUMNS]
    for station in joined.stations:
        heard = near[near["station"] == station.key]
        if not (station.is_own or len(heard)):
            continue
        under = make.under("station", station.key)
        if match.position is None:
            yield under.figure(
                "frames_heard", None, "frames", "local-statistics", absent=Absent.NO_PLACE
            )
            continue
        yield from level_figures(under, heard)
        sent = with_fate(frames if station.is_own else frames.iloc[:0], heard)
        if station.is_own:
            yield from ratio_figures_of(under, sent)
        sent_on, heard_on = parts_by(sent, "walk"), parts_by(heard, "walk")
        for walk in sorted({*sent_on, *heard_on}):
            yield from _on_walk(
                make.under("walk", walk, "station", station.key),
                station,
                sent_on.get(walk, sent.iloc[:0]),
                heard_on.get(walk, heard.iloc[:0]),
            )


def _on_walk(
    make: Maker, station: Station, sent: pd.DataFrame, heard: pd.DataFrame
) -> Iterator[Figure]:
    yield from level_figures(make, heard)
    if station.is_own:
        yield from margin_figures(make, heard)
        yield from ratio_figures_of(make, sent)


def receptions_around(
    position: Position | None, receptions: pd.DataFrame, radius_m: float
) -> pd.DataFrame:
    """Return the rows within a radius of a place, none where the place is unknown."""
    return receptions[frames_around(position, receptions, radius_m)]


def frames_around(position: Position | None, table: pd.DataFrame, radius_m: float) -> pd.Series:
    """Return which rows lie within a radius of a place."""
    if position is None or table.empty:
        return pd.Series(np.zeros(len(table), dtype=bool), index=table.index)
    is_near = is_within(
        position.latitude_deg,
        position.longitude_deg,
        table["latitude_deg"].to_numpy(dtype=float),
        table["longitude_deg"].to_numpy(dtype=float),
        radius_m,
    )
    return pd.Series(is_near, index=table.index)
