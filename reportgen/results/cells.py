"""The ground in squares: where was walked, what was sent there, and how much of it was heard."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.ground_grid import GroundGrid, ground_grid
from reportgen.compute.statistics import wilson_interval
from reportgen.match.join import Joined
from reportgen.model.columns import CELLS
from reportgen.model.station import Station
from reportgen.results.around_home import metres_from_home
from reportgen.results.delivery import uncounted_reason
from reportgen.results.measured_frames import MeasuredFrames
from reportgen.results.walks import WalkResult

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

ALL_WALKS = ""
"""Stands for the key of a walk where all are taken together."""


def cells_table(
    joined: Joined, walks: tuple[WalkResult, ...], margins: Mapping[str, str]
) -> pd.DataFrame:
    """Return the cells of each walk, and of several walks together, by station.

    Columns are those of `CELLS`. A cell that is in no row was not walked. Own stations have frames
    sent and heard, leaving out walks whose frames can't be counted; of others it is counted what
    they heard, and cells where they heard nothing are in no row. Without a place of the first own
    station there are no cells.
    """
    if joined.home.position is None:
        return CELLS.empty()
    places = [_Places.of(result, joined) for result in walks]
    tables = {
        (key, station.key): table.assign(walk=key, station=station.key, is_own=station.is_own)
        for station in joined.stations
        for key, table in _tables(walks, places, station, margins[station.key])
    }
    keys = [*(result.walk.key for result in walks), ALL_WALKS]
    in_order = [tables.get((key, s.key)) for key in keys for s in joined.stations]
    filled = [table for table in in_order if table is not None and len(table)]
    return CELLS.of(pd.concat(filled, ignore_index=True)) if filled else CELLS.empty()


def margin_columns(joined: Joined) -> dict[str, str]:
    """Return what the margin of each station is made of: the link's, else that of the SNR.

    The one needs the station's noise figure or a stated sensitivity; the other is as the receiver
    reported it and stops rising where the signal is strong.
    """
    has_margin = joined.receptions["link_margin_db"].notna()
    known = set(joined.receptions.loc[has_margin, "station"].unique())
    return {
        station.key: "link_margin_db" if station.key in known else "snr_margin_db"
        for station in joined.stations
    }


def _tables(
    walks: Sequence[WalkResult], places: Sequence[_Places], station: Station, margin: str
) -> Iterator[tuple[str, pd.DataFrame]]:
    """Yield the cells of a station by walk, then of all walks."""
    table = _own if station.is_own else _other
    grounds = []
    for result, placed in zip(walks, places, strict=True):
        if station.is_own and uncounted_reason(result.frames) is not None:
            continue
        grounds.append(_Ground.of(result, placed, station, margin))
        yield result.walk.key, table(grounds[-1])
    if len(walks) > 1 and grounds:
        yield ALL_WALKS, table(_Ground.together(grounds))


def _own(ground: _Ground) -> pd.DataFrame:
    grid = ground.grid(ground.signal_dbm)
    margins = ground.grid(ground.margin_db)
    low, high = wilson_interval(grid.heard, grid.sent)
    # By counts alone, as frames heard without a level lie above the limit, too.
    is_below = (grid.sent > 0) & (grid.sent - grid.heard > (grid.sent - 1) // 2)
    return _columns(grid).assign(
        frames_sent=grid.sent,
        delivery_ratio=grid.heard / np.where(grid.sent > 0, grid.sent, np.nan),
        delivery_low_ratio=low,
        delivery_high_ratio=high,
        signal_dbm=np.round(grid.level_dbm, 1),
        margin_db=np.round(margins.level_dbm, 1),
        is_below_limit=is_below,
    )


def _other(ground: _Ground) -> pd.DataFrame:
    """Return counts only: nobody knows when somebody else's station was switched off."""
    columns = _columns(ground.grid(ground.signal_dbm))
    return columns[columns["frames_heard"] > 0]


def _columns(grid: GroundGrid) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "cell_m": grid.cell_m,
            "east_m": grid.column * grid.cell_m,
            "north_m": grid.row * grid.cell_m,
            "walked_m": np.round(grid.walked_m, 1),
            "frames_heard": grid.heard,
        }
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Places:
    """Places of a walk in metres east and north of the home station; shapes (n, 2).

    `sent_m` has those of its frames, `walked_m` those of its track with the `segment` of each.
    """

    sent_m: Floats
    walked_m: Floats
    segment: Integers

    @classmethod
    def of(cls, result: WalkResult, joined: Joined) -> _Places:
        return cls(
            sent_m=np.column_stack(metres_from_home(result.frames, joined)),
            walked_m=np.column_stack(metres_from_home(result.track, joined)),
            segment=result.track["segment"].to_numpy(dtype=np.int64),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ground:
    """Where frames were sent, what a station measured of them, and where somebody walked.

    Of own stations only frames that count and are not in doubt. A level that can't be true is not
    used, but the frame was heard all the same.
    """

    is_heard: NDArray[np.bool_]
    signal_dbm: Floats
    margin_db: Floats
    sent_m: Floats
    walked_m: Floats
    way: Integers

    @classmethod
    def of(cls, result: WalkResult, places: _Places, station: Station, margin: str) -> _Ground:
        frames, sent_m = result.frames, places.sent_m
        if station.is_own:
            is_known = (frames["is_counted"] & ~frames["is_doubtful"]).to_numpy(dtype=np.bool_)
            frames, sent_m = frames[is_known], sent_m[is_known]
        measured = MeasuredFrames.of(frames, result.receptions, station)
        signal_dbm, margin_db = (
            np.where(measured.is_too_strong, np.nan, measured.column(name))
            for name in ("signal_dbm", margin)
        )
        return cls(
            is_heard=measured.is_heard,
            signal_dbm=signal_dbm,
            margin_db=margin_db,
            sent_m=sent_m,
            walked_m=places.walked_m,
            way=places.segment,
        )

    @classmethod
    def together(cls, parts: Sequence[_Ground]) -> _Ground:
        """Return the ground of several walks; no way leads from one to the next."""
        ways = [np.unique(part.way, return_inverse=True)[1] for part in parts]
        firsts = np.cumsum([0, *(int(way.max(initial=-1)) + 1 for way in ways)])
        return cls(
            is_heard=np.concatenate([part.is_heard for part in parts]),
            signal_dbm=np.concatenate([part.signal_dbm for part in parts]),
            margin_db=np.concatenate([part.margin_db for part in parts]),
            sent_m=np.concatenate([part.sent_m for part in parts]),
            walked_m=np.concatenate([part.walked_m for part in parts]),
            way=np.concatenate([way + first for way, first in zip(ways, firsts, strict=False)]),
        )

    def grid(self, level: Floats) -> GroundGrid:
        """Return the cells; `level` is in any unit, and so is the median."""
        return ground_grid(
            east_m=self.sent_m[:, 0],
            north_m=self.sent_m[:, 1],
            is_heard=self.is_heard,
            level_dbm=level,
            walked_east_m=self.walked_m[:, 0],
            walked_north_m=self.walked_m[:, 1],
            walk=self.way,
        )
