"""How far along its walk each frame was sent."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from reportgen.results.path_interval import with_path_column
from tests.results.link_campaign import results_of

OUT_AND_BACK_M = (100.0, 200.0, 300.0, 200.0, 100.0)


def test_a_path_leads_through_all_frames_whatever_part_is_looked_at(tmp_path: Path) -> None:
    """Of one data rate alone the way back would start where the way out passed."""
    rows = tuple((north_m, -90.0, 5.0) for north_m in OUT_AND_BACK_M)

    frames = results_of(tmp_path, *rows, rates=("DR5", "DR4")).joined.frames

    assert frames["along_m"].tolist() == pytest.approx([0.0, 100.0, 200.0, 300.0, 400.0], abs=1.0)
    of_rate = frames.loc[frames["data_rate"] == "DR5", "along_m"]
    assert np.diff(of_rate) == pytest.approx([200.0, 200.0], abs=1.0)


def test_frames_that_do_not_count_are_no_part_of_it(tmp_path: Path) -> None:
    rows = tuple((north_m, -90.0, 5.0) for north_m in OUT_AND_BACK_M)
    joined = results_of(tmp_path, *rows).joined
    is_counted = joined.frames["frame"] != 2
    joined = replace(joined, frames=joined.frames.assign(is_counted=is_counted))

    along_m = with_path_column(joined).frames["along_m"]

    assert np.isnan(along_m[2])
    assert along_m[[0, 1, 3, 4]].tolist() == pytest.approx([0.0, 100.0, 100.0, 200.0], abs=1.0)
