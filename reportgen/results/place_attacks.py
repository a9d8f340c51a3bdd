"""How near to the station's place somebody comes who has nothing but the published tables."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.geodesy import local_metres
from reportgen.compute.place_attack import (
    place_by_distances,
    place_by_levels,
    place_by_strongest,
)
from reportgen.model.station import Position

ROUNDED_M = 100.0
"""What people round distances to when they want to hide a place."""
_PLACE = ("latitude_deg", "longitude_deg")
NO_TABLE = pd.DataFrame(columns=[*_PLACE, "distance_m"], dtype=np.float64)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceFound:
    """What came of both attacks: how many numbers there were, and how far off the answers are.

    An error is None where there was nothing to work from, or too little. [m]
    """

    distances: int
    by_distances_m: float | None
    by_rounded_distances_m: float | None
    levels: int
    by_levels_m: float | None


def place_found(
    receptions: pd.DataFrame, frames: pd.DataFrame, station: str, truth: Position | None
) -> PlaceFound:
    """Attack a station's place by published distances, and by published levels alone.

    Parameters
    ----------
    receptions, frames : DataFrame
        As published; columns or whole tables may be missing. The distances of `frames` are to
        the station, those of `receptions` to the station of the row.
    station : str
        Key of the station looked for.
    truth : Position or None
        Where it stands, on the map of the tables; None: no error can be given.
    """
    heard = _complete(receptions, ("station", "walk", "node", "rssi_dbm"))
    heard = heard[heard["station"] == station]
    away = pd.concat(
        [
            _complete(table, ("distance_m",))[[*_PLACE, "distance_m"]].astype(np.float64)
            for table in (heard, frames)
        ]
    )
    away = away[away.notna().all(axis=1)].drop_duplicates()
    level = heard.get("signal_dbm", heard["rssi_dbm"]).astype(np.float64)
    heard = heard.assign(level_dbm=level.fillna(heard["rssi_dbm"].astype(np.float64)))
    heard = heard[heard[[*_PLACE, "level_dbm"]].notna().all(axis=1)]
    return PlaceFound(
        distances=len(away),
        by_distances_m=_by_distances_m(away, truth, 0.0),
        by_rounded_distances_m=_by_distances_m(away, truth, ROUNDED_M),
        levels=len(heard),
        by_levels_m=_by_levels_m(heard, truth),
    )


def _complete(table: pd.DataFrame, columns: tuple[str, ...]) -> pd.DataFrame:
    """Return a table with these columns and those of a place, unknown where it has none."""
    missing = [name for name in (*_PLACE, *columns) if name not in table.columns]
    return table.assign(**dict.fromkeys(missing, np.nan))


def _metres(
    table: pd.DataFrame, origin: Position
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    return local_metres(
        table["latitude_deg"].to_numpy(dtype=np.float64),
        table["longitude_deg"].to_numpy(dtype=np.float64),
        origin.latitude_deg,
        origin.longitude_deg,
    )


def _middle(table: pd.DataFrame) -> Position:
    """Return a place amid those published: an attacker has no other origin."""
    return Position(
        latitude_deg=float(table["latitude_deg"].median()),
        longitude_deg=float(table["longitude_deg"].median()),
    )


def _by_distances_m(away: pd.DataFrame, truth: Position | None, step_m: float) -> float | None:
    if truth is None or away.empty:
        return None
    origin = _middle(away)
    distance_m = away["distance_m"].to_numpy(dtype=np.float64)
    if step_m:
        distance_m = np.round(distance_m / step_m) * step_m
    return _error_m(place_by_distances(*_metres(away, origin), distance_m), origin, truth)


def _by_levels_m(heard: pd.DataFrame, truth: Position | None) -> float | None:
    """Return the error of the better of two ways: nobody knows which an attacker takes."""
    if truth is None or heard.empty:
        return None
    origin = _middle(heard)
    east_m, north_m = _metres(heard, origin)
    level_dbm = heard["level_dbm"].to_numpy(dtype=np.float64)
    group = (heard["walk"].astype(str) + " " + heard["node"].astype(str)).to_numpy(dtype=str)
    errors = [
        _error_m(place, origin, truth)
        for place in (
            place_by_levels(east_m, north_m, level_dbm, group),
            place_by_strongest(east_m, north_m, level_dbm),
        )
    ]
    return min((error for error in errors if error is not None), default=None)


def _error_m(place: tuple[float, float], origin: Position, truth: Position) -> float | None:
    east_m, north_m = local_metres(
        truth.latitude_deg, truth.longitude_deg, origin.latitude_deg, origin.longitude_deg
    )
    error_m = float(np.hypot(place[0] - east_m, place[1] - north_m))
    return None if np.isnan(error_m) else error_m
