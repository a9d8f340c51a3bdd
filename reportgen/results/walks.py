"""Figures of each walk, by station, node and data rate."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from reportgen.compute.geodesy import distance_and_bearing, path_length_m
from reportgen.match.join import Joined
from reportgen.model.parts import parts_by
from reportgen.model.station import Station
from reportgen.model.walk import Walk
from reportgen.results.delivery import (
    OTHERS_PREFIX,
    WalkedGround,
    delivery_figures,
    farthest_walked_figure,
    reach_figures,
)
from reportgen.results.figure import Absent, Figure, Maker, slug
from reportgen.results.levels import farthest_figures, level_figures


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkResult:
    """One walk with its own rows of every table.

    `stations` are those heard on it, and the own ones in any case; `data_rates` and `nodes` are
    those of its frames.
    """

    walk: Walk
    track: pd.DataFrame
    frames: pd.DataFrame
    receptions: pd.DataFrame
    downlinks: pd.DataFrame
    stations: tuple[Station, ...]
    data_rates: tuple[str, ...]
    nodes: tuple[str, ...]
    start_utc: dt.datetime | None
    end_utc: dt.datetime | None
    photos: tuple[str, ...]
    ground: Mapping[str, WalkedGround]
    """What was walked as each of the stations sees it, by key."""


def walk_results(joined: Joined) -> tuple[WalkResult, ...]:
    """Return the rows of each walk, in the author's order."""
    tables = (joined.frames, joined.receptions, joined.downlinks, joined.campaign.track_points)
    split = [(table, parts_by(table, "walk")) for table in tables]
    results = []
    for walk in joined.campaign.walks:
        parts = (parts.get(walk.key, table.iloc[:0]) for table, parts in split)
        results.append(_walk_result(walk, joined, *(part.reset_index(drop=True) for part in parts)))
    return tuple(results)


def _walk_result(
    walk: Walk,
    joined: Joined,
    frames: pd.DataFrame,
    receptions: pd.DataFrame,
    downlinks: pd.DataFrame,
    track: pd.DataFrame,
) -> WalkResult:
    heard = {*receptions["station"].unique(), *downlinks["station"].unique()}
    tables = (track, receptions, downlinks, frames)
    times = pd.concat([table["time_utc"] for table in tables]).dropna()
    stations = tuple(s for s in joined.stations if s.is_own or s.key in heard)
    return WalkResult(
        walk=walk,
        track=track,
        frames=frames,
        receptions=receptions,
        downlinks=downlinks,
        stations=stations,
        data_rates=_data_rates(frames),
        nodes=tuple(node for node in walk.nodes if (frames["node"] == node).any()),
        start_utc=None if times.empty else times.min().to_pydatetime(),
        end_utc=None if times.empty else times.max().to_pydatetime(),
        photos=tuple(match.photo.key for match in joined.photos if match.walk == walk.key),
        ground={
            station.key: walked_ground(station, track, frames, receptions, downlinks)
            for station in stations
        },
    )


def _data_rates(frames: pd.DataFrame) -> tuple[str, ...]:
    """Return the data rates of frames in order; spellings of one rate count as one."""
    names = {slug(rate): rate for rate in sorted(frames["data_rate"].unique()) if rate}
    return tuple(sorted(names.values(), key=_rate_order))


def _rate_order(name: str) -> tuple[str, int]:
    letters = name.rstrip("0123456789")
    digits = name[len(letters) :]
    return letters, int(digits) if digits else -1


def walk_figures(result: WalkResult, joined: Joined) -> Iterator[Figure]:
    """Yield every figure of one walk."""
    make = Maker(path=f"walk.{result.walk.key}")
    home = joined.home
    yield from _walked(make, result, home)
    for station in result.stations:
        yield from _numbers(make.under("station", station.key), result, station, home)
    for node in result.nodes if len(result.nodes) > 1 else ():
        part = _part(result, "node", node)
        for station in result.stations:
            under = make.under("node", node, "station", station.key)
            yield from _numbers(under, part, station, home)
    for rate in result.data_rates:
        part = _part(result, "data_rate", *_spellings(result.frames, rate))
        for station in result.stations:
            under = make.under("station", station.key, "data_rate", slug(rate))
            yield from _numbers(under, part, station, home)
            yield from _counter_figures(under, part, station)
    for station in result.stations:
        heard = result.downlinks[result.downlinks["station"] == station.key]
        if len(heard):
            yield from level_figures(make.under("downlink", station.key), heard)


def _spellings(frames: pd.DataFrame, rate: str) -> tuple[str, ...]:
    return tuple(name for name in frames["data_rate"].unique() if name and slug(name) == slug(rate))


def _part(result: WalkResult, column: str, *values: str) -> WalkResult:
    is_mine, is_heard = (t[column].isin(values) for t in (result.frames, result.receptions))
    if is_mine.all() and is_heard.all():
        return result
    frames, receptions = result.frames[is_mine], result.receptions[is_heard]
    ground = {
        station.key: walked_ground(station, result.track, frames, receptions, result.downlinks)
        for station in result.stations
    }
    return replace(result, frames=frames, receptions=receptions, ground=ground)


def _walked(make: Maker, result: WalkResult, home: Station) -> Iterator[Figure]:
    duration_s = (
        None
        if result.start_utc is None or result.end_utc is None
        else (result.end_utc - result.start_utc).total_seconds()
    )
    yield make.figure(
        "duration_s", duration_s, "s", "duration", absent=Absent.NO_TIME, inputs=("track_points",)
    )
    length_m = _track_length_m(result.track)
    yield make.figure(
        "track_length_m", length_m, "m", "track-length",
        absent=Absent.NO_TRACK, count=len(result.track), inputs=("track_points",),
    )  # fmt: skip
    yield farthest_walked_figure(
        make, result.ground[home.key], has_station_position=home.position is not None
    )
    frames = result.frames
    for name, known in (
        ("frames_recorded", "recorded"),
        ("frames_logged", "logged"),
        ("frames_inferred", "inferred"),
        ("frames_by_interval", "interval"),
    ):
        count = int((frames["sent_known"] == known).sum())
        yield make.figure(name, count, "frames", "frames-sent", inputs=("frames",))


def _track_length_m(track: pd.DataFrame) -> float | None:
    if track.empty:
        return None
    return float(
        path_length_m(
            track["latitude_deg"].to_numpy(dtype=float),
            track["longitude_deg"].to_numpy(dtype=float),
            track["segment"].to_numpy(dtype=np.int64),
        )
    )


def walked_ground(
    station: Station,
    track: pd.DataFrame,
    frames: pd.DataFrame,
    receptions: pd.DataFrame,
    downlinks: pd.DataFrame,
) -> WalkedGround:
    """Return everything positioned on a walk as a station sees it."""
    if station.position is None:
        nowhere = np.array([], dtype=np.float64)
        return WalkedGround(distance_m=nowhere, bearing_deg=nowhere)
    # Where a node placed a frame it sent, there it was, whether anybody heard it or not.
    noted = frames[(frames["sent_known"] == "logged") & (frames["place_known"] == "recorded")]
    place = ["latitude_deg", "longitude_deg"]
    places = pd.concat([table[place] for table in (track, receptions, downlinks, noted)]).dropna()
    seen = seen_from(station, places)
    return WalkedGround(
        distance_m=seen["distance_m"].to_numpy(dtype=float),
        bearing_deg=seen["bearing_deg"].to_numpy(dtype=float),
    )


def campaign_ground(walks: Iterable[WalkResult], station: Station) -> WalkedGround:
    """Return everything positioned on any walk as a station sees it."""
    parts = [_ground_of(walk, station) for walk in walks]
    return WalkedGround(
        distance_m=np.concatenate([np.array([]), *(part.distance_m for part in parts)]),
        bearing_deg=np.concatenate([np.array([]), *(part.bearing_deg for part in parts)]),
    )


def _ground_of(walk: WalkResult, station: Station) -> WalkedGround:
    """Return a walk's ground, worked out anew only for a station that never heard it."""
    known = walk.ground.get(station.key)
    if known is not None:
        return known
    return walked_ground(station, walk.track, walk.frames, walk.receptions, walk.downlinks)


def seen_from(station: Station, table: pd.DataFrame) -> pd.DataFrame:
    """Return a table of places with distance and bearing from a station; NaN without its place."""
    if station.position is None:
        return table.assign(distance_m=np.nan, bearing_deg=np.nan)
    line = (
        station.position.latitude_deg,
        station.position.longitude_deg,
        table["latitude_deg"].to_numpy(dtype=float),
        table["longitude_deg"].to_numpy(dtype=float),
    )
    away_m, bearing_deg = distance_and_bearing(*line)
    return table.assign(distance_m=away_m, bearing_deg=bearing_deg)


def _numbers(make: Maker, result: WalkResult, station: Station, home: Station) -> Iterator[Figure]:
    ground = result.ground[station.key]
    yield from station_figures(make, result.frames, result.receptions, station, ground, home)


def station_figures(
    make: Maker,
    frames: pd.DataFrame,
    receptions: pd.DataFrame,
    station: Station,
    ground: WalkedGround,
    home: Station,
) -> Iterator[Figure]:
    """Yield levels and the farthest reception of a station; of an own one its delivery, too.

    The ground is as seen from the station, the frames' distances are from `home`.
    """
    heard = receptions[receptions["station"] == station.key]
    yield from level_figures(make, heard)
    has_position = station.position is not None
    # What others' stations missed is not ours to say: only own ones have an end of reach and a
    # delivery ratio.
    if not station.is_own:
        yield from farthest_figures(
            make, heard, has_station_position=has_position, prefix=OTHERS_PREFIX
        )
        return
    if station.key != home.key:
        frames = seen_from(station, frames)
    yield from reach_figures(make, frames, heard, ground, has_station_position=has_position)
    yield from delivery_figures(make, frames, heard)


def _counter_figures(make: Maker, result: WalkResult, station: Station) -> Iterator[Figure]:
    heard = result.receptions[result.receptions["station"] == station.key]
    counters = heard["counter"].dropna()
    for name, value in (
        ("counter_first", None if counters.empty else int(counters.iloc[0])),
        ("counter_last", None if counters.empty else int(counters.iloc[-1])),
        ("counters_distinct", int(counters.nunique())),
    ):
        yield make.figure(
            name, value, "1", "frames-sent", absent=Absent.NO_COUNTER, count=len(counters)
        )
