"""A campaign folder into a campaign: every file read, every row counted, every problem kept."""

from __future__ import annotations

import stat
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

import pandas as pd

from reportgen.errors import CampaignError, Problem, Severity, Where
from reportgen.model.campaign import Campaign, Overlay, PictureOverlay
from reportgen.model.columns import RECORDS, TRACK_POINTS, Table
from reportgen.model.photo import Photo
from reportgen.model.walk import Walk
from reportgen.read.campaign_parts import (
    cameras_of,
    comparisons_of,
    log_parts,
    matching_of,
    nodes_of,
    publishing_of,
    radio_of,
    stated_at,
    stations_of,
    tiles_of,
    walks_of,
)
from reportgen.read.conclusions import read_conclusions
from reportgen.read.description import DESCRIPTION_NAME, read_usable_description
from reportgen.read.description_overlay_checks import PICTURE_ENDINGS
from reportgen.read.description_salvage import without_bad_times
from reportgen.read.description_schema import Description, FieldPart, LogPart
from reportgen.read.intake import Intake
from reportgen.read.left_out import is_left_out
from reportgen.read.leftovers import leftover_notes
from reportgen.read.overlays import read_overlay
from reportgen.read.photo_folder import read_photos
from reportgen.read.picture_overlays import read_picture_overlay
from reportgen.read.read_ahead import Reader, read_ahead
from reportgen.read.walk_files import format_of, read_walk, walk_readers

PROBLEM_CODES = (
    ("folder/missing", "The campaign folder is not there."),
    ("folder/row-in-two-walks", "Rows of a log count for two walks."),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Files:
    """What the files hold that the description names."""

    records: pd.DataFrame
    track_points: pd.DataFrame
    photos: tuple[Photo, ...]
    overlays: tuple[Overlay, ...]
    pictures: tuple[PictureOverlay, ...]
    conclusions: str | None


def read_campaign(root: Path, progress: Callable[[str], None] | None = None) -> Campaign:
    """Read a campaign folder.

    Parameters
    ----------
    root : Path
        Folder that holds ``campaign.yaml``.
    progress : callable, optional
        Called with a line of text before each file.

    Raises
    ------
    CampaignError
        If the campaign can't be used: the description has errors, or a file that it names is
        missing, outside the folder or unreadable as a whole. All files are tried first, those of
        a description with errors as far as it can be understood.
    """
    _need_folder(root)
    root = root.resolve()
    reading = read_usable_description(root)
    intake = Intake(root, reading.locate, progress)
    intake.problems += reading.problems
    if reading.errors:
        intake.is_unusable = True
    description = without_bad_times(reading.description) if reading.errors else reading.description
    intake.take(DESCRIPTION_NAME, Where(path=DESCRIPTION_NAME))
    walks = walks_of(description, reading.locate)
    ahead = read_ahead(root, _readers(description, walks, reading.are_rows_readable))
    tables = [
        read_walk(walk, description, intake, reading.are_rows_readable, ahead) for walk in walks
    ]
    files = _Files(
        records=_joined(RECORDS, [table for logs, _ in tables for table in logs]),
        track_points=_joined(TRACK_POINTS, [table for _, tracks in tables for table in tracks]),
        photos=read_photos(description, intake),
        overlays=tuple(_overlays(description, intake)),
        pictures=tuple(_picture_overlays(description, intake)),
        conclusions=_conclusions(description, intake),
    )
    intake.note_changed()
    intake.stop_if_unusable()
    intake.problems += _rows_in_two_walks(files.records)
    intake.problems += leftover_notes(root, _referred_to(intake))
    return _campaign(description, walks, files, intake, stated_at(description, reading.locate))


def _readers(
    description: Description, walks: Iterable[Walk], are_rows_readable: bool
) -> Iterator[tuple[str, str, Reader]]:
    """Yield what reads each file of each walk, without those that the author leaves out."""
    for walk in walks:
        for name, reader in walk_readers(walk, description, are_rows_readable):
            if not is_left_out(description, name):
                yield walk.key, name, reader


def _campaign(
    description: Description,
    walks: tuple[Walk, ...],
    files: _Files,
    intake: Intake,
    stated: tuple[tuple[str, Where], ...],
) -> Campaign:
    return Campaign(
        title=description.title,
        summary=description.summary,
        network=description.network,
        authors=tuple(description.authors),
        data_licence=description.data_licence,
        time_zone=description.time_zone,
        radio=radio_of(description.radio),
        matching=matching_of(description),
        publishing=publishing_of(description),
        stations=stations_of(description),
        nodes=nodes_of(description),
        walks=walks,
        chosen_comparisons=comparisons_of(description),
        cameras=cameras_of(description),
        photos=files.photos,
        overlays=files.overlays,
        picture_overlays=files.pictures,
        tiles=tiles_of(description),
        conclusions=files.conclusions,
        records=files.records,
        track_points=files.track_points,
        accounts=tuple(intake.accounts),
        problems=tuple(intake.problems),
        description_path=DESCRIPTION_NAME,
        log_notes=_log_notes(description),
        stated_at=stated,
        declination_deg=description.photos.declination_deg,
        input_checksums=intake.checksums,
        broken_frames=tuple(intake.broken_frames),
    )


def _need_folder(root: Path) -> None:
    try:
        mode = root.stat().st_mode
    except (OSError, RuntimeError) as error:
        reason = getattr(error, "strerror", None) or "a link that leads to itself"
        found = "no such folder" if isinstance(error, FileNotFoundError) else reason
    else:
        if stat.S_ISDIR(mode):
            return
        found = "a file, not a folder"
    raise CampaignError(
        [
            Problem(
                where=Where(path=root.name or str(root)),
                code="folder/missing",
                severity=Severity.ERROR,
                found=found,
                expected="a campaign folder, which holds campaign.yaml",
                do="correct the path, or let `reportgen begin` make the folder",
            )
        ]
    )


def _joined(table: Table, parts: list[pd.DataFrame]) -> pd.DataFrame:
    if not parts:
        return table.empty()
    return table.of(pd.concat(parts, ignore_index=True))


def _overlays(description: Description, intake: Intake) -> Iterator[Overlay]:
    for index, part in enumerate(description.overlays):
        if part.corners is not None:
            continue
        file = intake.take(part.file, intake.locate("overlays", index, "file"))
        # A picture without corners is an error of the description, and no GeoJSON.
        if file is None or file.path.suffix.lower() in PICTURE_ENDINGS:
            continue
        try:
            overlay, problems = read_overlay(file, part.title)
        except CampaignError as error:
            intake.refuse(error)
            continue
        intake.problems += problems
        yield overlay


def _picture_overlays(description: Description, intake: Intake) -> Iterator[PictureOverlay]:
    for index, part in enumerate(description.overlays):
        if part.corners is None:
            continue
        file = intake.take(part.file, intake.locate("overlays", index, "file"))
        if file is None:
            continue
        try:
            yield read_picture_overlay(file, part, part.corners)
        except CampaignError as error:
            intake.refuse(error)


def _conclusions(description: Description, intake: Intake) -> str | None:
    name = description.conclusions
    is_named = "conclusions" in description.model_fields_set
    if not is_named and not (intake.root / name).exists():
        return None
    file = intake.take(name, intake.locate("conclusions"))
    if file is None:
        return None
    try:
        return read_conclusions(file)
    except CampaignError as error:
        intake.refuse(error)
        return None


def _rows_in_two_walks(records: pd.DataFrame) -> Iterator[Problem]:
    """Yield logs whose rows were used for more than one walk: they would count twice."""
    of_file = records.groupby("file", sort=True)["walk"]
    for name in of_file.nunique().loc[lambda count: count > 1].index:
        rows = records[records["file"] == name]
        walks = rows.groupby("line")["walk"].agg(lambda keys: ", ".join(sorted(set(keys))))
        twice = walks[walks.str.contains(", ")]
        if twice.empty:
            continue
        yield Problem(
            where=Where(path=str(name), line=int(twice.index.min())),
            code="folder/row-in-two-walks",
            severity=Severity.WARNING,
            found=f"a row that counts for the walks {twice.iloc[0]}",
            expected="each row in one walk",
            do="give the walks a start and an end, or nodes of their own",
            count=len(twice),
        )


def _referred_to(intake: Intake) -> set[str]:
    """Return every file that was read or excluded."""
    return {path for path, _ in intake.checksums} | {account.path for account in intake.accounts}


def _log_notes(description: Description) -> tuple[tuple[str, str], ...]:
    """Return how the columns and the zone of each log were understood."""
    notes: dict[str, str] = {}
    for walk in description.walks.values():
        for log in log_parts(walk):
            notes[PurePosixPath(log.file).as_posix()] = _log_note(log, description)
    return tuple(notes.items())


def _source(part: FieldPart | str | int) -> str:
    """Return where a field stands, as the author wrote it."""
    if not isinstance(part, FieldPart):
        return str(part)
    if part.value is not None:
        return f"the constant {part.value}"
    columns = part.columns or [(part.pointer or "") if part.column is None else part.column]
    return " and ".join(str(column) for column in columns)


def _log_note(log: LogPart, description: Description) -> str:
    part = format_of(log, description)
    zone = part.time_zone or description.time_zone
    shift = f", clock {log.clock_ahead_s:g} s ahead" if log.clock_ahead_s else ""
    fields = ", ".join(f"{field} from {_source(where)}" for field, where in part.fields.items())
    rows = f"levels measured at the {part.levels_measured_at}"
    if part.rows_are == "frames sent":
        rows = "frames sent, by the node's own log, heard or not"
    return (
        f"{part.kind}; times {part.time_format}, without offset in {zone}{shift}; {rows}; "
        f"fields {fields}"
    )
