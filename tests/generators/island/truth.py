"""What the tests compare the site with: counted and measured here by brute force."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from tests.generators.island.frames import Frame
from tests.generators.island.ground import geodesic, to_degrees
from tests.generators.island.logs import LogFile, Row
from tests.generators.island.outing import Outing, all_outings
from tests.generators.island.pictures import stated
from tests.generators.island.scenario import (
    DECLINATION_DEG,
    HARBOUR,
    HILL,
    PHOTO_GAP_LIMIT_S,
    PHOTO_RADIUS_M,
    STATIONS,
    UNLISTED,
)
from tests.generators.island.shots import SHOTS, Shot

Json = dict[str, "Json"] | list["Json"] | str | float | int | bool | None

DEFINITIONS: dict[str, Json] = {
    "row": "a row of a text table below its headings, or one reception of a JSON record; a JSON "
    "record that can't be read counts as one. Comments are no rows.",
    "used": "a row of a carried node without fault",
    "by_request": "a row of a device that nobody carried",
    "faults": "a row that is broken or repeats another; 'why' says which",
    "frames_sent_true": "all frames that the node sent on the walk, heard or not",
    "frames_sent_between": "frames sent from the first to the last one that a used uplink row "
    "names, both included, summed over runs; a run ends where the node restarts from 0",
    "frames_heard": "different frames in used uplink rows of a station",
    "delivery_ratio": "frames_heard of the harbour station / frames_sent_between, all nodes",
    "log_point": "a used uplink row, of any station, with a place",
    "place_of_a_row": "its own position; else the track's, linear in time between the points on "
    "either side, unless these lie more than 120 s apart or the time is outside the track",
    "distance_m": "geodesic on WGS 84, over the ground, from the harbour station",
    "bearing_deg": "geodesic, from the first to the second point, from true north, 0 to 360",
    "farthest_heard_stated": "greatest distance of a log point that the harbour station heard",
    "farthest_heard_true": "greatest distance of the true place of a frame in a used uplink row "
    "of the harbour station, placed by the log or not",
    "farthest_walked_stated": "greatest distance of a track point, of a log point, or of a placed "
    "row of the node's own log",
    "photo_place": "the position in the file; else the track's place at the photo's time",
    "by_time": "log point nearest in time, null beyond 300 s; time_residual_s is point minus "
    "photo; distance_m from photo_place",
    "by_place": "log point nearest to the position in the file, null without one",
    "statistics": "used uplink rows of the harbour station with a place within 50 m of "
    "photo_place, by walk; quartiles by linear interpolation (numpy's default)",
    "mast_top_px": "column and row from the left and upper edge of the upright picture, in "
    "pixels; null where it is hidden or outside",
    "time_utc": "true time; the file's, less the camera's error, agrees to 0.01 s",
    "heading_true_deg": "from true north; the file of a camera with reference M states it from "
    "magnetic north",
}


@dataclass(frozen=True, slots=True)
class _Point:
    walk: str
    time_s: float
    latitude_deg: float
    longitude_deg: float
    row: Row


def truth() -> dict[str, Json]:
    """Return the whole truth."""
    outings = all_outings()
    points = [point for outing in outings for point in _points(outing)]
    walks: dict[str, Json] = {outing.walk.key: _walk(outing) for outing in outings}
    return {
        "definitions": DEFINITIONS,
        "station_keys": {station.identifier: station.key for station in STATIONS},
        "declination_deg": DECLINATION_DEG,
        "walks": walks,
        "campaign": _campaign(outings, points),
        "photos": {shot.key: _photo(shot, points) for shot in SHOTS},
    }


def _used(file: LogFile) -> list[Row]:
    return [row for row in file.rows if row.fate == "used"]


def _uplink_rows(outing: Outing) -> list[Row]:
    return [row for file in outing.logs if file.is_uplink for row in _used(file)]


def _points(outing: Outing) -> list[_Point]:
    points = []
    for row in _uplink_rows(outing):
        place = outing.place_of(row)
        if place is not None:
            points.append(_Point(outing.walk.key, row.time_s, *place, row))
    return points


def _from_harbour(latitude_deg: float, longitude_deg: float) -> tuple[float, float]:
    return geodesic(HARBOUR.latitude_deg, HARBOUR.longitude_deg, latitude_deg, longitude_deg)


def _true_place(frame: Frame) -> tuple[float, float]:
    latitude, longitude = to_degrees(np.array([frame.x_m]), np.array([frame.y_m]))
    return float(latitude[0]), float(longitude[0])


def _by_harbour(rows: Iterable[Row]) -> list[Row]:
    return [row for row in rows if row.heard and row.heard.station is HARBOUR]


def _walk(outing: Outing) -> Json:
    nodes: dict[str, Json] = {
        carried.node: _node(outing, carried.node) for carried in outing.walk.carried
    }
    sent = sum(_sent_between(outing, carried.node) for carried in outing.walk.carried)
    heard = len(_frames_of(_by_harbour(_uplink_rows(outing))))
    return {
        "files": {file.path: _account(file) for file in outing.logs},
        "track_points": len(outing.track),
        "nodes": nodes,
        "frames_sent_between": sent,
        "frames_heard_harbour": heard,
        "delivery_ratio": heard / sent,
        "rows_without_place": len(_uplink_rows(outing)) - len(_points(outing)),
        "farthest_heard": _farthest_heard(_points(outing), _uplink_rows(outing)),
        "farthest_walked": _farthest_walked(outing),
    }


def _account(file: LogFile) -> Json:
    faults: dict[str, Json] = {}
    for row in file.rows:
        if row.fate == "fault":
            faults[row.why] = int(str(faults.get(row.why, 0))) + 1
    counts = {fate: sum(row.fate == fate for row in file.rows) for fate in ("used", "by request")}
    return {
        "read": len(file.rows),
        "used": counts["used"],
        "by_request": counts["by request"],
        "faults": len(file.rows) - counts["used"] - counts["by request"],
        "why": faults,
    }


def _frames_of(rows: Iterable[Row]) -> set[tuple[str, float]]:
    """Return node and true time of the frames of rows: no two frames share both."""
    return {(row.heard.frame.node, row.heard.frame.time_s) for row in rows if row.heard}


def _sent_by(outing: Outing, node: str) -> list[Frame]:
    return [frame for frame in outing.frames if frame.node == node]


def _sent_between(outing: Outing, node: str) -> int:
    heard = _frames_of(_uplink_rows(outing))
    runs: list[list[bool]] = []
    for frame in _sent_by(outing, node):
        if frame.counter == 0 or not runs:
            runs.append([])
        runs[-1].append((node, frame.time_s) in heard)
    return sum(len(run) - run.index(True) - run[::-1].index(True) for run in runs if any(run))


def _node(outing: Outing, node: str) -> Json:
    rows = [row for row in _uplink_rows(outing) if row.heard and row.heard.frame.node == node]
    by_station: dict[str, Json] = {
        station.key: len(_frames_of(r for r in rows if r.heard and r.heard.station is station))
        for station in STATIONS
    }
    anyone = _frames_of(rows)
    harbour = _frames_of(_by_harbour(rows))
    hill = _frames_of(row for row in rows if row.heard and row.heard.station is HILL)
    unlisted = _frames_of(row for row in rows if row.heard and row.heard.station is UNLISTED)
    return {
        "frames_sent_true": len(_sent_by(outing, node)),
        "frames_sent_between": _sent_between(outing, node),
        "frames_heard_by_anyone": len(anyone),
        "frames_heard": by_station,
        "frames_heard_by_hill_only": len(hill - harbour - unlisted),
        "frames_heard_by_unlisted_only": len(unlisted - harbour - hill),
    }


def _farthest_heard(points: list[_Point], rows: list[Row]) -> Json:
    heard = [point for point in points if point.row in _by_harbour([point.row])]
    far = max(heard, key=lambda p: _from_harbour(p.latitude_deg, p.longitude_deg)[0])
    away_m, bearing_deg = _from_harbour(far.latitude_deg, far.longitude_deg)
    frames = [row.heard.frame for row in _by_harbour(rows) if row.heard]
    true_far = max(frames, key=lambda frame: _from_harbour(*_true_place(frame))[0])
    true_away_m, true_bearing_deg = _from_harbour(*_true_place(true_far))
    return {
        "stated": {
            "distance_m": away_m, "bearing_deg": bearing_deg, "time_utc": _utc(far.time_s),
            "walk": far.walk,
        },
        "true": {
            "distance_m": true_away_m, "bearing_deg": true_bearing_deg,
            "time_utc": _utc(true_far.time_s), "walk": true_far.walk,
        },
    }  # fmt: skip


def _farthest_walked(outing: Outing) -> Json:
    places = [(point.latitude_deg, point.longitude_deg) for point in outing.track]
    for file in outing.logs:
        found = (outing.place_of(row) for row in _used(file))
        places += [place for place in found if place is not None]
    latitude, longitude = to_degrees(outing.path.x_m, outing.path.y_m)
    true_m = max(
        _from_harbour(float(a), float(b))[0] for a, b in zip(latitude, longitude, strict=True)
    )
    return {
        "stated_m": max(_from_harbour(*place)[0] for place in places),
        "true_m": true_m,
    }


def _campaign(outings: tuple[Outing, ...], points: list[_Point]) -> Json:
    rows = [row for outing in outings for row in _uplink_rows(outing)]
    sent = sum(
        _sent_between(outing, carried.node) for outing in outings for carried in outing.walk.carried
    )
    heard = sum(len(_frames_of(_by_harbour(_uplink_rows(outing)))) for outing in outings)
    return {
        "frames_sent_between": sent,
        "frames_heard_harbour": heard,
        "delivery_ratio": heard / sent,
        "farthest_heard": _farthest_heard(points, rows),
    }


def _photo(shot: Shot, points: list[_Point]) -> Json:
    says = stated(shot)
    latitude, longitude = to_degrees(*(np.array([part]) for part in shot.place_m))
    true_place = float(latitude[0]), float(longitude[0])
    own = None
    if says.latitude_deg is not None and says.longitude_deg is not None:
        own = says.latitude_deg, says.longitude_deg
    place = own or _place_at(says.time_utc_s)
    return {
        "file": f"photos/{shot.file}",
        "time_utc": None if shot.time_s is None else _utc(shot.time_s),
        "stated_time_utc": None if says.time_utc_s is None else _utc(says.time_utc_s),
        "size_px": list(shot.size_px),
        "focal_length_35mm_mm": shot.focal_35mm,
        "heading_true_deg": shot.heading_deg,
        "stated_heading_deg": shot.written_heading_deg if shot.states_heading else None,
        "heading_reference": shot.camera.north if shot.states_heading else None,
        "true": _towards(true_place),
        "photo_place": None if place is None else _towards(place),
        "by_time": _by_time(says.time_utc_s, place, points),
        "by_place": None if own is None else _by_place(own, says.time_utc_s, points),
        "statistics": None if place is None else _statistics(place, points),
        "sight_line": shot.sight_line,
        "mast_top_px": None,
    }


def _place_at(time_s: float | None) -> tuple[float, float] | None:
    if time_s is None:
        return None
    places = (outing.place_at(time_s) for outing in all_outings())
    return next((place for place in places if place is not None), None)


def _towards(place: tuple[float, float]) -> Json:
    away_m, bearing_deg = geodesic(*place, HARBOUR.latitude_deg, HARBOUR.longitude_deg)
    return {
        "latitude_deg": place[0],
        "longitude_deg": place[1],
        "distance_m": away_m,
        "bearing_deg": bearing_deg,
    }


def _by_time(time_s: float | None, place: tuple[float, float] | None, points: list[_Point]) -> Json:
    if time_s is None:
        return None
    nearest = min(points, key=lambda point: abs(point.time_s - time_s))
    if abs(nearest.time_s - time_s) > PHOTO_GAP_LIMIT_S:
        return None
    return _residuals(nearest, time_s, place)


def _by_place(place: tuple[float, float], time_s: float | None, points: list[_Point]) -> Json:
    nearest = min(
        points, key=lambda point: geodesic(*place, point.latitude_deg, point.longitude_deg)[0]
    )
    return _residuals(nearest, time_s, place)


def _residuals(
    point: _Point, time_s: float | None, place: tuple[float, float] | None
) -> dict[str, Json]:
    there = point.latitude_deg, point.longitude_deg
    return {
        "walk": point.walk,
        "time_utc": _utc(point.time_s),
        "latitude_deg": there[0],
        "longitude_deg": there[1],
        "time_residual_s": None if time_s is None else point.time_s - time_s,
        "distance_m": None if place is None else geodesic(*place, *there)[0],
    }


def _statistics(place: tuple[float, float], points: list[_Point]) -> Json:
    by_walk: dict[str, list[Row]] = {}
    for point in points:
        away_m, _ = geodesic(*place, point.latitude_deg, point.longitude_deg)
        if away_m <= PHOTO_RADIUS_M and _by_harbour([point.row]):
            by_walk.setdefault(point.walk, []).append(point.row)
    return {walk: _levels(rows) for walk, rows in by_walk.items()}


def _levels(rows: list[Row]) -> Json:
    heard = [row.heard for row in rows if row.heard]
    return {
        "rssi_dbm": _spread([float(item.rssi_dbm) for item in heard]),
        "snr_db": _spread([item.snr_db for item in heard]),
    }


def _spread(values: list[float]) -> Json:
    low, median, high = (float(part) for part in np.percentile(values, [25, 50, 75]))
    return {
        "count": len(values), "min": min(values), "quartile_1": low, "median": median,
        "quartile_3": high, "max": max(values),
    }  # fmt: skip


def _utc(time_s: float) -> str:
    moment = dt.datetime.fromtimestamp(round(time_s, 3), dt.UTC)
    return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")
