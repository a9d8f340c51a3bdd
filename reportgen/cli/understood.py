"""What `check` prints: the campaign as the program understood it."""

from __future__ import annotations

from collections.abc import Iterator

from reportgen.match.camera_checks import clock_text
from reportgen.match.camera_clocks import CameraFinding
from reportgen.match.join import Joined
from reportgen.match.photos import NearestPoint, PhotoMatch
from reportgen.model.accounts import FileAccount
from reportgen.model.campaign import Campaign
from reportgen.results.assemble import Results
from reportgen.results.delivery import sent_sources
from reportgen.results.walks import WalkResult


def understood_lines(results: Results, joined: Joined) -> Iterator[str]:
    """Yield the lines of the report, without problems.

    Parameters
    ----------
    results : Results
        As the site is made from.
    joined : Joined
        The same campaign under the names of the author's files and devices.
    """
    campaign = joined.campaign
    yield campaign.title
    yield f"  times without zone are read as {campaign.time_zone}; levels in dBm and dB"
    yield from _stations(results, joined)
    yield "Nodes"
    for node in campaign.nodes:
        yield f"  {node.key}  {node.name}  ids {', '.join(node.ids) or 'none'}"
    yield from _files(joined.accounts, campaign)
    yield "Walks"
    for walk in results.walks:
        yield from _walk(results, walk)
    yield from _photos(joined.photos)
    yield from _cameras(joined.cameras)
    yield "Rows"
    for unit in dict.fromkeys(account.unit for account in joined.accounts):
        yield f"  {_total(joined.accounts, unit)}"


def _stations(results: Results, joined: Joined) -> Iterator[str]:
    unlisted = dict(joined.unlisted_ids)
    yield "Stations"
    for station in joined.stations:
        whose = "own" if station.is_own else "somebody else's" if station.is_listed else "unlisted"
        heard = results.figures[f"campaign.station.{station.key}.frames_heard"].value
        ids = ", ".join(station.ids) or unlisted.get(station.key, "none")
        yield f"  {station.key}  {station.name}  {whose}  ids {ids}  {heard} frames heard"


def _files(accounts: tuple[FileAccount, ...], campaign: Campaign) -> Iterator[str]:
    yield "Files"
    understood = dict(campaign.log_notes)
    for account in accounts:
        if account.unit == "photos":
            continue
        yield (
            f"  {account.path}  {account.read} {account.unit} read, {account.used} used, "
            f"{account.set_aside_count} set aside ({account.fault_count} faults)"
        )
        if account.path in understood:
            yield f"    {understood[account.path]}"
        for item in account.set_aside:
            kind = "fault" if item.is_fault else "by request"
            yield f"    {item.count} {kind}, first at line {item.where.line}: {item.reason}"


def _walk(results: Results, walk: WalkResult) -> Iterator[str]:
    yield f"  {walk.walk.key}  {walk.walk.title}  nodes {', '.join(walk.walk.nodes)}"
    if walk.start_utc and walk.end_utc:
        yield f"    {walk.start_utc:%Y-%m-%d %H:%M:%S} to {walk.end_utc:%Y-%m-%d %H:%M:%S} UTC"
    for station in walk.stations:
        path = f"walk.{walk.walk.key}.station.{station.key}"
        heard = results.figures[f"{path}.frames_heard"].value
        line = f"    {station.key}: {heard} frames heard"
        if station.is_own:
            sent = results.figures[f"{path}.frames_sent"].value
            line += f" of {sent} sent{_known_from(walk)}" if sent is not None else _UNKNOWN
        yield line


_UNKNOWN = ", sent not known"
_SOURCES = {
    "log": "the node's own log",
    "counters": "frame counters",
    "interval": "the stated interval",
}


def _known_from(walk: WalkResult) -> str:
    sources = " and ".join(_SOURCES[source] for source in sent_sources(walk.frames))
    return f", by {sources}" if sources else ""


def _photos(photos: tuple[PhotoMatch, ...]) -> Iterator[str]:
    yield "Photos"
    if not photos:
        yield "  none"
    for match in photos:
        taken = f"{match.time.time_utc:%Y-%m-%d %H:%M:%S} UTC" if match.time.time_utc else "no time"
        yield f"  {match.photo.path}  {taken}  {match.time.how or 'unknown zone'}"
        yield f"    walk {match.walk or 'none'}; place from {match.position_how or 'nothing'}"
        for label, point in (
            ("by time", match.by_time),
            ("by place", match.by_place),
            ("on track", match.on_track.nearest if match.on_track else None),
        ):
            if point is not None:
                yield f"    {label}: {_point(point)}"
        if match.disagreement_m is not None:
            yield f"    time and place disagree by {match.disagreement_m:.0f} m"


def _cameras(cameras: tuple[CameraFinding, ...]) -> Iterator[str]:
    """Yield each camera's clock: as stated, by its photos, by GPS, and what was taken off."""
    if cameras:
        yield "Cameras"
    for camera in cameras:
        stated = f"clock stated as {clock_text(camera.stated_s)}" if camera.is_stated else ""
        yield (
            f"  {camera.camera or 'not named'}  {camera.timed_photos} photos with a time  "
            f"{stated or 'nothing stated of its clock'}"
        )
        found = camera.found
        if found is None:
            yield f"    by its photos: not known ({camera.estimate})"
        else:
            yield (
                f"    by its photos: {clock_text(found.ahead_s)}, between "
                f"{clock_text(found.low_s)} and {clock_text(found.high_s)} ({found.count} photos)"
                f"{'; used' if camera.is_used else ''}"
            )
        if camera.gps_ahead_s is not None:
            yield f"    by its GPS times: {clock_text(camera.gps_ahead_s)}"


def _point(point: NearestPoint) -> str:
    parts = []
    if point.time_residual_s is not None:
        parts.append(f"{point.time_residual_s:+.1f} s")
    if point.distance_m is not None:
        parts.append(f"{point.distance_m:.1f} m")
    return ", ".join(parts) or "no time, no place"


def _total(accounts: tuple[FileAccount, ...], unit: str) -> str:
    of_unit = [account for account in accounts if account.unit == unit]
    read, used = sum(a.read for a in of_unit), sum(a.used for a in of_unit)
    aside = sum(a.set_aside_count for a in of_unit)
    return f"{unit}: {read} read = {used} used + {aside} set aside"
