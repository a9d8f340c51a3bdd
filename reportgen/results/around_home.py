"""Places as seen from the first own station."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from reportgen.compute.geodesy import local_metres
from reportgen.match.join import Joined

Floats = NDArray[np.float64]


def metres_from_home(table: pd.DataFrame, joined: Joined) -> tuple[Floats, Floats]:
    """Return metres east and north of the first own station, whose place has to be known."""
    place = joined.home.position
    assert place is not None  # looked at first
    return local_metres(
        table["latitude_deg"].to_numpy(dtype=np.float64),
        table["longitude_deg"].to_numpy(dtype=np.float64),
        place.latitude_deg,
        place.longitude_deg,
    )
