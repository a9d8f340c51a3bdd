"""What the photos say against the clocks of their cameras, as problems."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from reportgen.compute.camera_clock import ClockEstimate
from reportgen.errors import Problem, Severity, Where
from reportgen.match.camera_clocks import CameraFinding
from reportgen.model.campaign import Campaign

PROBLEM_CODES = (
    (
        "match/camera-clock-found",
        "A camera's photos fit the tracks only with another time; that is used.",
    ),
    ("match/camera-zone-wrong", "A camera's times look as if read in a wrong time zone."),
    ("match/camera-clock-differs", "A camera's photos speak against the clock that is stated."),
    ("match/camera-gps-differs", "GPS times in a camera's photos speak against its clock."),
)


def camera_problems(campaign: Campaign, findings: Iterable[CameraFinding]) -> tuple[Problem, ...]:
    """Return what the photos of each camera say against its clock."""
    return tuple(problem for finding in findings for problem in _of_camera(campaign, finding))


def _of_camera(campaign: Campaign, finding: CameraFinding) -> Iterator[Problem]:
    first = next(p for p in campaign.photos if p.metadata.camera == finding.camera)
    where = Where(path=first.path)
    found = finding.found
    if finding.is_used and found is not None:
        yield _used(where, finding, found)
    elif found is not None and found.is_clear:
        yield _not_used(where, finding, found)
    if finding.gps_ahead_s is not None and (finding.gps_differs or finding.is_denied_by_gps):
        yield _gps(where, finding, finding.gps_ahead_s)


def _used(where: Where, finding: CameraFinding, found: ClockEstimate) -> Problem:
    if found.zone_error_s:
        return Problem(
            where=where,
            code="match/camera-zone-wrong",
            severity=Severity.WARNING,
            found=f"{_fit(finding, found)}: this looks like a wrong time zone",
            expected="times in the zone that the camera was set to",
            do=f"its times are corrected as {clock_text(found.zone_error_s)}; state the camera's "
            "time_zone under photos: cameras: to settle it",
            count=found.count,
        )
    return Problem(
        where=where,
        code="match/camera-clock-found",
        severity=Severity.WARNING,
        found=_fit(finding, found),
        expected="a clock that is right, or clock_ahead_s under photos: cameras:",
        do="its times are corrected by that; state clock_ahead_s for this camera to settle it",
        count=found.count,
    )


def _not_used(where: Where, finding: CameraFinding, found: ClockEstimate) -> Problem:
    if finding.is_stated:
        do = "correct clock_ahead_s or time_zone of this camera; what is stated is used"
    else:
        do = "nothing is taken off, since the GPS times in the photos disagree; state clock_ahead_s"
    return Problem(
        where=where,
        code="match/camera-clock-differs",
        severity=Severity.WARNING,
        found=_fit(finding, found),
        expected=_expected(finding),
        do=do,
        count=found.count,
    )


def _gps(where: Where, finding: CameraFinding, gps_ahead_s: float) -> Problem:
    return Problem(
        where=where,
        code="match/camera-gps-differs",
        severity=Severity.NOTE,
        found=f"{_named(finding)}: its clock is {clock_text(gps_ahead_s)} by the GPS times in its "
        "photos",
        expected=_expected(finding),
        do="if the photos are the camera's own, state clock_ahead_s or time_zone for it",
    )


def _expected(finding: CameraFinding) -> str:
    if finding.stated_s:
        return f"a clock {clock_text(finding.stated_s)}, as stated"
    return "a clock that is right"


def _fit(finding: CameraFinding, found: ClockEstimate) -> str:
    """Return what was found: how many photos, with which error, and how they lie without it."""
    otherwise = (
        f"{found.stated_residual_m:.0f} m"
        if math.isfinite(found.stated_residual_m)
        else "off every track"
    )
    return (
        f"{_named(finding)}: {found.count} photos lie {found.residual_m:.0f} m from the track "
        f"(median) with its clock {clock_text(found.ahead_s)} ({clock_text(found.low_s)} to "
        f"{clock_text(found.high_s)}), else {otherwise}"
    )


def _named(finding: CameraFinding) -> str:
    return f"the camera {finding.camera}" if finding.camera else "a camera without a name"


def clock_text(ahead_s: float) -> str:
    """Return an error of a clock in words: 1 min 37 s ahead, or right."""
    minutes, seconds = divmod(round(abs(ahead_s)), 60)
    hours, minutes = divmod(minutes, 60)
    parts = [f"{n} {unit}" for n, unit in ((hours, "h"), (minutes, "min"), (seconds, "s")) if n]
    return f"{' '.join(parts)} {'behind' if ahead_s < 0 else 'ahead'}" if parts else "right"
