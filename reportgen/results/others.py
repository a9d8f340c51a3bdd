"""Figures of stations that are not the campaign's own: shown, and never counted as its reach."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from reportgen.compute.geodesy import distance_m, initial_bearing_deg
from reportgen.match.join import Joined
from reportgen.model.station import Station
from reportgen.results.delivery import OTHERS_PREFIX
from reportgen.results.figure import Absent, Figure, Maker
from reportgen.results.levels import farthest_figures, level_figures


def other_figures(joined: Joined) -> Iterator[Figure]:
    """Yield counts, levels and place of every other station, and frames that only they heard."""
    alone = heard_by_others_only(joined)
    yield Maker(path="other").figure(
        "frames_alone", int(alone.sum()), "frames", "heard-by-others-only",
        count=len(joined.frames), inputs=("frames", "receptions"),
    )  # fmt: skip
    only_theirs = set(joined.frames.loc[alone, "frame"])
    for station in joined.stations:
        if not station.is_own:
            yield from _station(joined, station, only_theirs)


def heard_by_others_only(joined: Joined) -> pd.Series:
    """Return which frames no own station heard and somebody else's did."""
    receptions, frames = joined.receptions, joined.frames["frame"]
    own = set(receptions.loc[receptions["is_own"], "frame"])
    others = set(receptions.loc[~receptions["is_own"], "frame"])
    # A frame in doubt may have been heard by an own station, too.
    return frames.isin(others) & ~frames.isin(own) & ~joined.frames["is_doubtful"]


def _station(joined: Joined, station: Station, only_theirs: set[int]) -> Iterator[Figure]:
    make = Maker(path=f"other.{station.key}")
    heard = joined.receptions[joined.receptions["station"] == station.key]
    yield from level_figures(make, heard)
    yield from farthest_figures(
        make, heard, has_station_position=station.position is not None, prefix=OTHERS_PREFIX
    )
    yield make.figure(
        "frames_alone", len(set(heard["frame"]) & only_theirs), "frames",
        "heard-by-others-only", inputs=("frames", "receptions"),
    )  # fmt: skip
    yield make.figure(
        "walks_heard_on", int(heard["walk"].nunique()), "walks", "walks-heard-on",
        inputs=("receptions",),
    )  # fmt: skip
    away_m, bearing_deg = _from_home(joined.home, station)
    reason = Absent.NO_STATION_POSITION
    yield make.figure(
        "distance_from_home_m", away_m, "m", "geodesic", absent=reason,
        inputs=(f"stations.{station.key}.position",),
    )  # fmt: skip
    yield make.figure(
        "bearing_from_home_deg", bearing_deg, "deg", "bearing",
        absent=Absent.SAME_PLACE if away_m is not None else reason,
        inputs=(f"stations.{station.key}.position",),
    )  # fmt: skip


def _from_home(home: Station, station: Station) -> tuple[float | None, float | None]:
    if home.position is None or station.position is None:
        return None, None
    line = (
        home.position.latitude_deg,
        home.position.longitude_deg,
        station.position.latitude_deg,
        station.position.longitude_deg,
    )
    bearing_deg = float(initial_bearing_deg(*line))
    return float(distance_m(*line)), None if np.isnan(bearing_deg) else bearing_deg
