"""The figures of a camera's clock."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from reportgen.compute.camera_clock import NoClock
from reportgen.match.join import Joined, join
from reportgen.read.folder import read_campaign
from reportgen.results.camera_clocks import camera_figures
from reportgen.results.figure import Absent, FigureBook

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def joined() -> Joined:
    return join(read_campaign(ROOT / "example_campaign"))


def test_cameras_are_numbered_and_not_named(joined: Joined) -> None:
    """Make and model are nobody's business but the author's."""
    names = [figure.name for figure in camera_figures(joined)]

    assert {name.split(".")[1] for name in names} == {"1", "2"}
    assert not any("sketch" in name for name in names)


def test_a_stated_clock_has_its_line_and_the_photos_their_interval(joined: Joined) -> None:
    book = FigureBook.of(camera_figures(joined))

    stated, found = book["camera.2.clock_stated_s"], book["camera.2.clock_ahead_s"]
    assert stated.number == book["camera.2.clock_used_s"].number == 97.0
    assert stated.where is not None
    assert found.low is not None
    assert found.high is not None
    assert found.low < 97.0 < found.high
    assert found.count == 3
    assert book["camera.1.clock_stated_s"].absent_reason is Absent.NOT_STATED


@pytest.mark.parametrize("reason", list(NoClock))
def test_where_nothing_can_be_said_there_is_a_reason(joined: Joined, reason: NoClock) -> None:
    silent = replace(joined, cameras=(replace(joined.cameras[0], estimate=reason),))
    book = FigureBook.of(camera_figures(silent))

    for name in ("clock_ahead_s", "residual_m", "residual_otherwise_m"):
        assert book[f"camera.1.{name}"].absent_reason is not None
    assert book["camera.1.clock_used_s"].number == 0.0
