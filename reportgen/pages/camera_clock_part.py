"""What a photo's card says of its camera's clock, where there is something to say."""

from __future__ import annotations

from reportgen.match.camera_clocks import CameraFinding
from reportgen.match.photos import PhotoMatch
from reportgen.pages import formats
from reportgen.pages.context import Context


def clock_notes(context: Context, match: PhotoMatch) -> list[str]:
    """Return that the camera's own photos corrected its time, or speak against what counts."""
    if match.photo.metadata.local_time is None:
        return []
    finding = next(
        finding
        for finding in context.results.joined.cameras
        if finding.camera == match.photo.metadata.camera
    )
    key = _key(finding)
    return [_said(context, key, finding)] if key else []


def _key(finding: CameraFinding) -> str:
    found = finding.found
    if found is None or not found.is_clear:
        return ""
    if finding.is_used:
        return "photo.zone_found" if found.zone_error_s else "photo.clock_found"
    return "photo.clock_differs" if finding.is_stated else "photo.clock_denied"


def _said(context: Context, key: str, finding: CameraFinding) -> str:
    say, book, view = context.words.say, context.results.figures, context.figures.view
    path = f"camera.{finding.number}"
    ahead = book[f"{path}.clock_used_s" if finding.is_used else f"{path}.clock_ahead_s"]
    low, high = context.figures.ends(book[f"{path}.clock_ahead_s"])
    otherwise = view(f"{path}.residual_otherwise_m")
    ahead_s = ahead.number or 0.0
    return say(
        key,
        n=book[f"{path}.clock_ahead_s"].count,
        error=formats.duration_text(ahead_s),
        direction=say("photo.ahead" if ahead_s > 0 else "photo.behind"),
        low=low,
        high=high,
        residual=view(f"{path}.residual_m").text,
        otherwise=say("photo.clock_off_track") if otherwise.is_absent else otherwise.text,
        gps=view(f"{path}.clock_by_gps_s").text,
    )
