"""What one station measured of frames, heard and missed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.model.station import Station

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class MeasuredFrames:
    """Frames with the reception of each by one station; of one heard twice, the first.

    `receptions` are those, each of another frame; `row` is the one of each frame, -1 where it was
    missed.
    """

    receptions: pd.DataFrame
    row: NDArray[np.intp]

    @classmethod
    def of(cls, frames: pd.DataFrame, receptions: pd.DataFrame, station: Station) -> MeasuredFrames:
        """Look up what a station heard of frames."""
        heard = receptions[receptions["station"] == station.key]
        heard = heard[heard["frame"].notna()].drop_duplicates("frame")
        return cls(heard, pd.Index(heard["frame"]).get_indexer(pd.Index(frames["frame"])))

    @property
    def is_heard(self) -> NDArray[np.bool_]:
        """Whether each frame was heard."""
        return self.row >= 0

    @property
    def is_too_strong(self) -> NDArray[np.bool_]:
        """Whether the level of each can't be true."""
        return np.asarray(self.column("is_too_strong") == 1.0)

    def column(self, name: str) -> Floats:
        """Return a column of the receptions for each frame, NaN where it was missed."""
        # Row -1 is the last one, that of the misses.
        values = np.append(self.receptions[name].to_numpy(dtype=np.float64), np.nan)
        return np.asarray(values[self.row])
