"""Lengths of tracks recorded by others, against those worked out independently.

Source: expected.json of the folder of real inputs (geodesics after Karney 2013, summed inside
segments only, printed to a tenth of a metre).
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from reportgen.compute.geodesy import path_length_m
from reportgen.errors import Where
from reportgen.read.gpx import read_track
from reportgen.read.reading import campaign_file

pytestmark = pytest.mark.shared


def test_every_real_track_has_the_independent_length(real_inputs: Path) -> None:
    expected = json.loads((real_inputs / "expected.json").read_text("utf-8"))["gpx"]
    compared = 0
    for name, truth in expected.items():
        file = campaign_file(real_inputs, name, asked_at=Where(path=name))
        table = read_track(file, "walk").table
        length_m = path_length_m(
            table["latitude_deg"].to_numpy(dtype=float),
            table["longitude_deg"].to_numpy(dtype=float),
            table["segment"].to_numpy(dtype=np.int64),
        )
        assert float(length_m) == pytest.approx(truth["len_m"], abs=0.051), name
        compared += 1

    assert compared == 18
