"""What of a joined campaign the site is made from: no file name, no identifier, no raw row.

Everything after this step sees published names alone, so no page can let out what it was never
given. `check` speaks to the author and is made from the campaign as it was read.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

import pandas as pd

from reportgen.errors import Problem, Where
from reportgen.match.camera_clocks import CameraFinding
from reportgen.match.join import Joined
from reportgen.match.photos import PhotoMatch
from reportgen.match.sent_log import SentLogUse
from reportgen.model.accounts import FileAccount, SetAside
from reportgen.model.campaign import Campaign
from reportgen.model.columns import RECORDS
from reportgen.model.photo import Photo

OTHER = "file-0"
"""Stands for a file that is no part of the campaign."""
CONCLUSIONS = "conclusions"
KINDS = {"photos": "photo", "track points": "track", "files": "file"}
"""By what an account counts; logs count rows or records."""


def published(joined: Joined) -> Joined:
    """Return a joined campaign as its site may know it, by what the author lets out.

    Without the records of the logs: what was joined of them is all that figures are made of.
    """
    asked = joined.campaign.publishing
    if not asked.file_names:
        joined = _without_file_names(joined)
    if not asked.identifiers:
        joined = _without_identifiers(joined)
    if not (asked.file_names and asked.identifiers):
        joined = _without_quotes(joined)
    return replace(joined, campaign=replace(joined.campaign, records=RECORDS.empty()))


def published_paths(joined: Joined) -> dict[str, str]:
    """Return by path what each file is called on the site, such as log-3 and photo-12.

    Logs and tracks are numbered in the order of the description; photos as the site numbers them,
    those set aside after the others.
    """
    shown = [match.photo.path for match in joined.photos]
    by_kind: dict[str, list[str]] = {"photo": shown}
    for account in joined.accounts:
        of_kind = by_kind.setdefault(KINDS.get(account.unit, "log"), [])
        if account.path not in of_kind:
            of_kind.append(account.path)
    campaign = joined.campaign
    by_kind["overlay"] = [item.path for item in campaign.overlays]
    by_kind["overlay"] += [item.path for item in campaign.picture_overlays]
    names = {
        path: f"{kind}-{number}"
        for kind, paths in by_kind.items()
        for number, path in enumerate(paths, start=1)
    }
    names[campaign.description_path] = campaign.description_path
    # What is left of the files that were read has one place in the description.
    rest = [path for path, _ in campaign.input_checksums if path not in names]
    return names | dict.fromkeys(rest, CONCLUSIONS)


def photo_keys(photos: Iterable[PhotoMatch]) -> dict[str, str]:
    """Return by a photo's own key what the site calls it: its number.

    The author's text may call it by either, so no number is the key of another photo's file.
    """
    own = [match.photo.key for match in photos]
    return {key: _free(str(number), set(own)) for number, key in enumerate(own, start=1)}


def _free(key: str, taken: set[str]) -> str:
    return key if key not in taken else _free(f"{key}-x", taken)


def _without_file_names(joined: Joined) -> Joined:
    names, keys = published_paths(joined), photo_keys(joined.photos)
    cameras = {finding.camera: f"camera-{finding.number}" for finding in joined.cameras}
    return replace(
        joined,
        campaign=_campaign_without_names(joined.campaign, names, keys, cameras),
        receptions=_renamed(joined.receptions, names),
        downlinks=_renamed(joined.downlinks, names),
        photos=tuple(
            replace(match, photo=_photo(match.photo, names, keys, cameras))
            for match in joined.photos
        ),
        cameras=tuple(_camera(finding, cameras) for finding in joined.cameras),
        accounts=tuple(_account(account, names) for account in joined.accounts),
        problems=tuple(
            replace(problem, where=_place(problem.where, names)) for problem in joined.problems
        ),
        sent_logs=tuple(_sent_log(log, names) for log in joined.sent_logs),
        photo_keys=tuple(keys.items()),
    )


def _campaign_without_names(
    campaign: Campaign,
    names: Mapping[str, str],
    keys: Mapping[str, str],
    cameras: Mapping[str, str],
) -> Campaign:
    return replace(
        campaign,
        walks=tuple(
            replace(
                walk,
                logs=tuple(names.get(path, OTHER) for path in walk.logs),
                tracks=tuple(names.get(path, OTHER) for path in walk.tracks),
            )
            for walk in campaign.walks
        ),
        cameras=(),
        photos=tuple(
            _photo(photo, names, keys, cameras) for photo in campaign.photos if photo.key in keys
        ),
        overlays=tuple(replace(item, path=names[item.path]) for item in campaign.overlays),
        picture_overlays=tuple(
            replace(item, path=names[item.path]) for item in campaign.picture_overlays
        ),
        track_points=_renamed(campaign.track_points, names),
        # The joined campaign has those that count.
        accounts=(),
        problems=(),
        log_notes=(),
        stated_at=tuple(
            (key, where)
            for key, where in campaign.stated_at
            if key == "publish.place" or not key.startswith(("photos.files.", "publish."))
        ),
        input_checksums=tuple(
            (names.get(path, OTHER), digest) for path, digest in campaign.input_checksums
        ),
    )


def _renamed(table: pd.DataFrame, names: Mapping[str, str]) -> pd.DataFrame:
    return table.assign(file=table["file"].map(lambda path: names.get(path, OTHER)).astype("str"))


def _place(where: Where, names: Mapping[str, str]) -> Where:
    return replace(where, path=names.get(where.path, OTHER))


def _photo(
    photo: Photo, names: Mapping[str, str], keys: Mapping[str, str], cameras: Mapping[str, str]
) -> Photo:
    metadata = replace(photo.metadata, camera=cameras.get(photo.metadata.camera, ""))
    return replace(photo, key=keys[photo.key], path=names[photo.path], metadata=metadata)


def _camera(finding: CameraFinding, cameras: Mapping[str, str]) -> CameraFinding:
    return replace(finding, camera=cameras[finding.camera])


def _sent_log(log: SentLogUse, names: Mapping[str, str]) -> SentLogUse:
    return replace(log, rows=_renamed(log.rows, names), outside=_renamed(log.outside, names))


def _account(account: FileAccount, names: Mapping[str, str]) -> FileAccount:
    return replace(
        account,
        path=names[account.path],
        set_aside=tuple(
            replace(item, where=_place(item.where, names)) for item in account.set_aside
        ),
    )


def _without_identifiers(joined: Joined) -> Joined:
    campaign = joined.campaign
    return replace(
        joined,
        campaign=replace(
            campaign,
            stations=tuple(replace(station, ids=()) for station in campaign.stations),
            nodes=tuple(replace(node, ids=()) for node in campaign.nodes),
            broken_frames=(),
            log_notes=(),
        ),
        stations=tuple(replace(station, ids=()) for station in joined.stations),
        sent_logs=tuple(
            replace(
                log,
                rows=log.rows.assign(station_id=""),
                outside=log.outside.assign(station_id=""),
            )
            for log in joined.sent_logs
        ),
        unlisted_ids=(),
    )


def _without_quotes(joined: Joined) -> Joined:
    """Return a campaign whose problems and reasons are codes: their texts may quote a file."""
    return replace(
        joined,
        campaign=replace(joined.campaign, accounts=(), problems=()),
        accounts=tuple(
            replace(account, set_aside=_by_code(account.set_aside)) for account in joined.accounts
        ),
        problems=tuple(_bare(problem) for problem in joined.problems),
    )


def _bare(problem: Problem) -> Problem:
    return replace(problem, found="", expected="", do="")


def _by_code(items: Iterable[SetAside]) -> tuple[SetAside, ...]:
    """Return rows set aside by code, since what told the reasons of one code apart is gone."""
    grouped: dict[tuple[str, bool], list[SetAside]] = {}
    for item in items:
        grouped.setdefault((item.code, item.is_fault), []).append(item)
    return tuple(_together(same) for same in grouped.values())


def _together(items: list[SetAside]) -> SetAside:
    lines = tuple(sorted(line for item in items for line in item.lines))
    first = min((item.where for item in items), key=lambda where: where.line)
    return replace(items[0], where=first, reason="", lines=lines)
