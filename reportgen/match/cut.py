"""Leaves out what lies in ground that the author keeps out of the report."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.geodesy import distance_m
from reportgen.compute.moved_circle import moved_circle
from reportgen.match.camera_clocks import found_clocks
from reportgen.match.photos import PhotoMatch, match_photos
from reportgen.match.positions import epoch_s, track_of_walk
from reportgen.match.sent_log import SentLogUse
from reportgen.match.set_aside import accounts_less
from reportgen.model.accounts import FileAccount
from reportgen.model.campaign import Campaign, Cut
from reportgen.model.station import Position

if TYPE_CHECKING:
    from reportgen.match.join import Joined

CUT_CODE = "publish/cut"
CUT_REASON = "in ground that the author cut out"

PROBLEM_CODES = ((CUT_CODE, "Something lies in ground that the author keeps out of the report."),)

Times = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Hole:
    """A circle of ground without anything in it; its middle is not the place that it hides."""

    latitude_deg: float
    longitude_deg: float
    radius_m: float

    @classmethod
    def of(cls, cut: Cut) -> _Hole:
        place = cut.position
        return cls(*moved_circle(place.latitude_deg, place.longitude_deg, radius_m=cut.radius_m))

    def has(self, latitude_deg: Times, longitude_deg: Times) -> NDArray[np.bool_]:
        """Tell which places lie in it; none where the place is unknown."""
        away_m = distance_m(self.latitude_deg, self.longitude_deg, latitude_deg, longitude_deg)
        return np.asarray(away_m <= self.radius_m, dtype=np.bool_)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kept:
    """What tells whether something is cut: the holes, and by walk the times spent in them. [s]"""

    holes: tuple[_Hole, ...]
    times_s: dict[str, tuple[tuple[float, float], ...]]

    def is_in(self, table: pd.DataFrame) -> pd.Series:
        """Return which rows have a place in a hole."""
        places = (table[name].to_numpy(dtype=np.float64) for name in _PLACE)
        return pd.Series(_in_holes(self.holes, *places), index=table.index)

    def is_cut(self, table: pd.DataFrame) -> pd.Series:
        """Return which rows have a place in a hole, or no place and a time of one."""
        unplaced = table[_PLACE[0]].isna()
        return self.is_in(table) | (unplaced & self.is_then(table["walk"], table["time_utc"]))

    def is_then(self, walks: pd.Series, times: pd.Series) -> pd.Series:
        """Return which times of walks were spent in a hole."""
        seconds = epoch_s(times)
        found = np.zeros(len(seconds), dtype=np.bool_)
        for walk, spans in self.times_s.items():
            for first_s, last_s in spans:
                is_then = (seconds >= first_s) & (seconds <= last_s)
                found |= is_then & walks.eq(walk).to_numpy(dtype=np.bool_)
        return pd.Series(found, index=times.index)

    def has_photo(self, match: PhotoMatch) -> bool:
        """Whether a photo was taken in a hole, by its place or by its time."""
        place, time_utc = match.position, match.time.time_utc
        if place is not None and self._has_place(place):
            return True
        return time_utc is not None and self._has_time(match.walk, time_utc)

    def _has_place(self, place: Position) -> bool:
        one = (np.array([place.latitude_deg]), np.array([place.longitude_deg]))
        return bool(_in_holes(self.holes, *one)[0])

    def _has_time(self, walk: str, time_utc: dt.datetime) -> bool:
        seconds = time_utc.timestamp()
        return any(first <= seconds <= last for first, last in self.times_s.get(walk, ()))


_PLACE = ("latitude_deg", "longitude_deg")


def without_cuts(joined: Joined) -> Joined:
    """Return a joined campaign without what lies in the ground that its author cuts out.

    Frames were counted and placed before, with everything known: a frame that was heard in there
    is no miss out here. What was recorded at a time that the track spent in there goes too.
    """
    cuts = joined.campaign.publishing.cuts
    if not cuts:
        return joined
    kept = _kept(joined, tuple(_Hole.of(cut) for cut in cuts))
    receptions, downlinks = joined.receptions, joined.downlinks
    heard = kept.is_cut(receptions)
    gone = kept.is_cut(joined.frames) | joined.frames["frame"].isin(receptions.loc[heard, "frame"])
    heard |= receptions["frame"].isin(joined.frames.loc[gone, "frame"])
    noted = kept.is_cut(downlinks)
    points = joined.campaign.track_points
    walked = kept.is_in(points)
    sent = [kept_out for log in joined.sent_logs for kept_out in _sent_rows(log, kept)]
    set_aside = [receptions[heard], downlinks[noted], points[walked], *sent]
    photos = [match for match in joined.photos if kept.has_photo(match)]
    less = replace(
        joined,
        campaign=_campaign(joined.campaign, kept, walked, photos),
        frames=joined.frames[~gone].reset_index(drop=True),
        receptions=receptions[~heard].reset_index(drop=True),
        downlinks=downlinks[~noted].reset_index(drop=True),
        accounts=_photos_less(_accounts_less(joined.accounts, set_aside), photos),
    )
    return _matched_anew(less)


def is_cut(accounts: Iterable[FileAccount], walk: str) -> bool:
    """Whether anything of a walk was left out so."""
    return any(
        item.code == CUT_CODE
        for account in accounts
        if account.walk == walk
        for item in account.set_aside
    )


def _kept(joined: Joined, holes: tuple[_Hole, ...]) -> _Kept:
    times: dict[str, tuple[tuple[float, float], ...]] = {}
    for walk in joined.campaign.walks:
        points = joined.campaign.track_points
        points = points[points["walk"] == walk.key]
        if points["time_utc"].isna().all():
            points = joined.receptions[joined.receptions["walk"] == walk.key]
        times[walk.key] = _spans_s(points, holes)
    return _Kept(holes=holes, times_s=times)


def _spans_s(points: pd.DataFrame, holes: tuple[_Hole, ...]) -> tuple[tuple[float, float], ...]:
    """Return from when to when points lay in a hole, in the order of their times. [s]"""
    usable = points[points["time_utc"].notna() & points[_PLACE[0]].notna()]
    usable = usable.sort_values("time_utc", kind="stable")
    inside = pd.Series(
        _in_holes(holes, *(usable[name].to_numpy(dtype=np.float64) for name in _PLACE))
    )
    seconds = pd.Series(epoch_s(usable["time_utc"]))
    runs = seconds[inside].groupby((~inside).cumsum()[inside])
    return tuple((float(run.min()), float(run.max())) for _, run in runs)


def _in_holes(
    holes: tuple[_Hole, ...], latitude_deg: Times, longitude_deg: Times
) -> NDArray[np.bool_]:
    found = np.zeros(len(latitude_deg), dtype=np.bool_)
    for hole in holes:
        found |= hole.has(latitude_deg, longitude_deg)
    return found


def _sent_rows(log: SentLogUse, kept: _Kept) -> list[pd.DataFrame]:
    """Return the rows in a hole of a node's own log, unless they were set aside before."""
    if not log.is_used:
        return []
    rows = log.rows.drop(index=log.outside.index, errors="ignore")
    shifted = rows.assign(time_utc=rows["time_utc"] + pd.Timedelta(seconds=log.offset_s))
    return [rows[kept.is_cut(shifted)]]


def _campaign(
    campaign: Campaign, kept: _Kept, walked: pd.Series, photos: list[PhotoMatch]
) -> Campaign:
    out = {match.photo.key for match in photos}
    return replace(
        campaign,
        track_points=_split(campaign.track_points, walked),
        records=campaign.records[~kept.is_cut(campaign.records)].reset_index(drop=True),
        photos=tuple(photo for photo in campaign.photos if photo.key not in out),
    )


def _split(points: pd.DataFrame, cut: pd.Series) -> pd.DataFrame:
    """Return the points that stay; the track ends where a hole begins and begins anew after it."""
    walks = points["walk"]
    after_hole = cut.groupby(walks, sort=False).shift(fill_value=False)
    before = points.groupby(walks, sort=False)["segment"].shift()
    starts = after_hole | points["segment"].ne(before).fillna(True)
    number = starts.astype("int64").groupby(walks, sort=False).cumsum()[~cut]
    segment = number.groupby(walks[~cut], sort=False).rank(method="dense") - 1
    return points[~cut].assign(segment=segment.astype("int64")).reset_index(drop=True)


def _accounts_less(
    accounts: tuple[FileAccount, ...], tables: list[pd.DataFrame]
) -> tuple[FileAccount, ...]:
    rows = pd.concat([table[["walk", "file", "line"]] for table in tables])
    return accounts_less(accounts, rows, code=CUT_CODE, reason=CUT_REASON)


def _photos_less(
    accounts: tuple[FileAccount, ...], photos: list[PhotoMatch]
) -> tuple[FileAccount, ...]:
    rows = pd.DataFrame(
        [{"walk": "", "file": match.photo.path, "line": 0} for match in photos],
        columns=["walk", "file", "line"],
    )
    return accounts_less(accounts, rows, code=CUT_CODE, reason=CUT_REASON)


def _matched_anew(joined: Joined) -> Joined:
    """Return it with tracks and photos tied to what is left."""
    campaign, receptions = joined.campaign, joined.receptions
    points = campaign.track_points
    tracks = {
        walk.key: track_of_walk(points[points["walk"] == walk.key]) for walk in campaign.walks
    }
    tracks = {key: track for key, track in tracks.items() if not track.is_empty}
    positioned = receptions[receptions["latitude_deg"].notna()]
    photos = match_photos(
        campaign,
        positioned,
        positioned[positioned["is_own"]],
        tracks,
        found_clocks(joined.cameras),
    )
    return replace(joined, tracks=tracks, photos=photos)
