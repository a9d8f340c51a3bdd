"""The ground in squares: where was walked, what was sent there, and how much of it was heard."""

from __future__ import annotations

import numpy as np
import pandas as pd

from reportgen.compute.geodesy import local_metres
from reportgen.compute.ground_grid import ground_grid
from reportgen.match.join import Joined
from reportgen.results.delivery import uncounted_reason
from reportgen.results.sent_frames import frames_with_levels
from reportgen.results.walks import WalkResult

CELL_COLUMNS = (
    "walk", "cell_m", "east_m", "north_m", "walked_m", "frames_sent", "frames_heard",
    "signal_dbm", "is_below_limit",
)  # fmt: skip


def cells_table(joined: Joined, walks: tuple[WalkResult, ...]) -> pd.DataFrame:
    """Return the cells of each walk, as the first own station heard them.

    Columns are `CELL_COLUMNS`: `east_m` and `north_m` are of the south-west corner as seen from
    the station; `signal_dbm` is the median with missed frames counted as below the limit, NaN
    where it lies there (`is_below_limit`) or nothing was sent. A cell that is in no row was not
    walked. Walks whose frames can't be counted are left out, and all where the station has no
    place.
    """
    parts = [_walk(result, joined) for result in walks if _is_usable(result, joined)]
    return pd.concat(parts, ignore_index=True) if parts else pd.DataFrame(columns=CELL_COLUMNS)


def _is_usable(result: WalkResult, joined: Joined) -> bool:
    return joined.home.position is not None and uncounted_reason(result.frames) is None


def _walk(result: WalkResult, joined: Joined) -> pd.DataFrame:
    nodes = {node.key: node for node in joined.campaign.nodes}
    frames = pd.concat(
        [frames_with_levels(joined, result.walk, nodes[node]) for node in result.nodes]
    )
    own = joined.receptions.loc[joined.receptions["station"] == joined.home.key, "frame"]
    east_m, north_m = _metres(frames, joined)
    walked_east_m, walked_north_m = _metres(result.track, joined)
    grid = ground_grid(
        east_m=east_m,
        north_m=north_m,
        is_heard=frames["frame"].isin(own).to_numpy(dtype=np.bool_),
        level_dbm=frames["signal_dbm"].to_numpy(dtype=np.float64),
        walked_east_m=walked_east_m,
        walked_north_m=walked_north_m,
        walk=result.track["segment"].to_numpy(dtype=np.int64),
    )
    return pd.DataFrame(
        {
            "walk": result.walk.key,
            "cell_m": grid.cell_m,
            "east_m": grid.column * grid.cell_m,
            "north_m": grid.row * grid.cell_m,
            "walked_m": np.round(grid.walked_m, 1),
            "frames_sent": grid.sent,
            "frames_heard": grid.heard,
            "signal_dbm": np.round(grid.level_dbm, 1),
            "is_below_limit": grid.is_below_limit,
        },
        columns=list(CELL_COLUMNS),
    )


def _metres(table: pd.DataFrame, joined: Joined) -> tuple[np.ndarray, np.ndarray]:
    place = joined.home.position
    assert place is not None  # looked at first, for every walk
    return local_metres(
        table["latitude_deg"].to_numpy(dtype=np.float64),
        table["longitude_deg"].to_numpy(dtype=np.float64),
        place.latitude_deg,
        place.longitude_deg,
    )
