"""Figures of the cameras' clocks: as stated, by their own photos, and what was taken off."""

from __future__ import annotations

import math
from collections.abc import Iterator

from reportgen.compute.camera_clock import NoClock
from reportgen.match.camera_clocks import CameraFinding
from reportgen.match.join import Joined
from reportgen.results.figure import Absent, Figure, Maker
from reportgen.results.stated import Stated

_ABSENT = {
    NoClock.TOO_FEW: Absent.FEW_PHOTOS,
    NoClock.NOT_ON_TRACK: Absent.PHOTOS_OFF_TRACK,
    NoClock.AMBIGUOUS: Absent.CLOCK_AMBIGUOUS,
    NoClock.CONTRADICTED: Absent.PHOTOS_OFF_TRACK,
}


def camera_figures(joined: Joined) -> Iterator[Figure]:
    """Yield the clock of every camera that took a photo, numbered as they come."""
    for finding in joined.cameras:
        yield from _camera(Maker(path=f"camera.{finding.number}"), finding, joined)


def _camera(make: Maker, finding: CameraFinding, joined: Joined) -> Iterator[Figure]:
    found = finding.found
    reason = _ABSENT.get(finding.estimate) if isinstance(finding.estimate, NoClock) else None
    inputs = ("photos", "track_points", "setup.radio.position_error_m")
    yield make.figure(
        "clock_stated_s", finding.stated_s if finding.is_stated else None, "s",
        "camera-clock-stated", absent=Absent.NOT_STATED, inputs=("photos.cameras",),
        where=Stated.of(joined.campaign).places.get("photos.cameras"),
    )  # fmt: skip
    yield make.figure(
        "clock_ahead_s", found.ahead_s if found else None, "s", "camera-clock", absent=reason,
        low=found.low_s if found else None, high=found.high_s if found else None,
        count=found.count if found else None, inputs=inputs,
    )  # fmt: skip
    yield make.figure(
        "clock_by_gps_s", finding.gps_ahead_s, "s", "camera-clock-gps",
        absent=Absent.NO_GPS_TIMES, inputs=("photos",),
    )  # fmt: skip
    yield make.figure(
        "clock_used_s", finding.used_s, "s", "camera-clock-used",
        inputs=(f"{make.path}.clock_stated_s", f"{make.path}.clock_ahead_s"),
    )  # fmt: skip
    yield make.figure(
        "residual_m", found.residual_m if found else None, "m", "camera-residual",
        absent=reason, count=found.count if found else None, inputs=inputs,
    )  # fmt: skip
    otherwise_m = found.stated_residual_m if found else math.nan
    yield make.figure(
        "residual_otherwise_m", otherwise_m if math.isfinite(otherwise_m) else None, "m",
        "camera-residual", absent=reason or Absent.PHOTOS_OFF_TRACK, inputs=inputs,
    )  # fmt: skip
