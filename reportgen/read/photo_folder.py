"""The photos of a campaign: which files, their keys, and what the author says of them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from pathlib import Path

from reportgen.errors import CampaignError, Problem, Severity, Where
from reportgen.model.accounts import FileAccount, set_aside_from
from reportgen.model.photo import HiddenBox, Photo, PhotoMetadata
from reportgen.read.description_schema import Description, HiddenBoxPart, PhotoPart
from reportgen.read.intake import Intake
from reportgen.read.left_out import left_out_photos, note_unknown
from reportgen.read.photos import read_photo
from reportgen.read.reading import CampaignFile, unreadable
from reportgen.read.suggestion import nearest_advice
from reportgen.read.text_files import LARGEST_BYTES

PHOTO_ENDINGS = (".jpg", ".jpeg", ".jpe", ".mpo", ".heic", ".heif")

PROBLEM_CODES = (
    ("photo/no-folder", "The folder of the photos is not there."),
    ("photo/no-such-file", "The description speaks of a photo that is not in the folder."),
    ("photo/no-such-camera", "The description speaks of a camera that took none of the photos."),
    ("photo/file-name", "A photo's file name holds characters that can't be written."),
    ("photo/excluded", "A photo was left out because the author asked for it."),
)


def read_photos(description: Description, intake: Intake) -> tuple[Photo, ...]:
    """Read every photo of the campaign's folder, in the order of their names.

    Each file has an account of its own: used, or set aside as unreadable or excluded.
    """
    part = description.photos
    folder = _folder(description, intake)
    paths = [] if folder is None else _listed(folder, description, intake)
    names = [path.name for path in paths]
    _note_strangers(part.files, names, intake)
    note_unknown(description, names, intake)
    keys, left_out = unique_keys(names, "photo"), left_out_photos(description, names)
    photos = []
    for path in paths:
        said = part.files.get(path.name, PhotoPart())
        name = path.relative_to(intake.root).as_posix()
        if path.name in left_out:
            left = ("photo/excluded", "excluded by the author", False)
            intake.accounts.append(_account(printable(name), left))
            continue
        photo = _photo(keys[path.name], name, said, intake)
        if photo is not None:
            photos.append(photo)
    _note_unused_cameras(description, photos, intake)
    return tuple(photos)


def _listed(folder: Path, description: Description, intake: Intake) -> list[Path]:
    try:
        return photo_paths(folder)
    except OSError as error:
        where = intake.locate("photos", "folder")
        intake.refuse(CampaignError([unreadable(description.photos.folder, where, error)]))
        return []


def photo_paths(folder: Path) -> list[Path]:
    """Return the photo files directly in a folder, by name; hidden ones are none."""
    return sorted(
        (
            path
            for path in folder.iterdir()
            if path.suffix.lower() in PHOTO_ENDINGS and not path.name.startswith(".")
        ),
        key=lambda path: (path.name.casefold(), path.name),
    )


def unique_keys(names: Iterable[str], otherwise: str) -> dict[str, str]:
    """Return a key for each file name: a slug of its stem, numbered where two are alike.

    `otherwise` stands for a stem without a letter or digit.
    """
    keys: dict[str, str] = {}
    taken: set[str] = set()
    for name in names:
        slug = slug_of(Path(name).stem) or otherwise
        key, number = slug, 1
        while key in taken:
            number += 1
            key = f"{slug}-{number}"
        taken.add(key)
        keys[name] = key
    return keys


def slug_of(text: str) -> str:
    """Return a text in lower-case letters, digits and single hyphens; may be blank."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")


def printable(name: str) -> str:
    """Return a file name with unprintable characters escaped, such as half of a character."""
    return name if name.isprintable() else name.encode("unicode_escape").decode()


def _folder(description: Description, intake: Intake) -> Path | None:
    part = description.photos
    where = intake.locate("photos", "folder")
    try:
        folder = (intake.root / part.folder).resolve()
    except (OSError, RuntimeError):  # such as a link that leads to itself
        folder = intake.root / part.folder
    if not folder.is_relative_to(intake.root):
        intake.refuse(CampaignError([_outside(part.folder, where)]))
        return None
    if _is_folder(folder):
        return folder
    # Nobody has to have photos; who names a folder means to.
    if "folder" in part.model_fields_set or part.files:
        intake.note(
            where,
            "photo/no-folder",
            f"{part.folder}: no such folder",
            "the folder of the photos",
            "correct the path, or take photos out of the description",
        )
    return None


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:  # such as a name that is too long
        return False


def _outside(name: str, where: Where) -> Problem:
    return Problem(
        where=where,
        code="path/outside",
        severity=Severity.ERROR,
        found=f"{name}, which leads out of the campaign folder",
        expected="a folder inside the campaign folder",
        do="copy the photos into the campaign folder",
    )


def _photo(key: str, name: str, said: PhotoPart, intake: Intake) -> Photo | None:
    if not name.isprintable():
        intake.accounts.append(
            _account(printable(name), ("photo/file-name", "a name that can't be written", True))
        )
        intake.note(
            Where(path=printable(name)),
            "photo/file-name",
            "a file name with characters that can't be written",
            "letters, digits and common signs",
            "rename the file",
        )
        return None
    if _is_too_large(intake.root / name):
        too_large = f"a file of more than {LARGEST_BYTES // 1_000_000} MB"
        intake.accounts.append(_account(name, ("photo/too-large", too_large, True)))
        intake.note(
            Where(path=name),
            "photo/too-large",
            too_large,
            "a photo as cameras write it",
            "make a smaller copy, or exclude it",
        )
        return None
    file = intake.take(name, Where(path=name))
    metadata = None if file is None else _metadata(file, intake)
    if metadata is None:
        return None
    return Photo(
        key=key,
        path=name,
        metadata=metadata,
        caption=said.caption,
        sight_line=said.sight_line,
        blocked_by=said.blocked_by,
        walk=said.walk or "",
        hidden=tuple(_hidden(name, box) for name, box in said.hide.items()),
    )


def _hidden(name: str, box: HiddenBoxPart) -> HiddenBox:
    left, top, right, bottom = box
    return HiddenBox(
        name=name,
        left_ratio=left,
        top_ratio=top,
        right_ratio=right,
        bottom_ratio=bottom,
    )


def _is_too_large(path: Path) -> bool:
    """Return whether a photo is of absurd size; what can't be looked at is for `take` to say."""
    try:
        return path.stat().st_size > LARGEST_BYTES
    except (OSError, RuntimeError):
        return False


def _metadata(file: CampaignFile, intake: Intake) -> PhotoMetadata | None:
    metadata, problems = read_photo(file)
    intake.problems += problems
    if metadata is not None:
        intake.accounts.append(_account(file.name, None))
        return metadata
    reason = problems[0].found if problems else "unreadable"
    intake.accounts.append(
        _account(file.name, (problems[0].code if problems else "photo/undecodable", reason, True))
    )
    return None


def _account(name: str, set_aside: tuple[str, str, bool] | None) -> FileAccount:
    reasons = () if set_aside is None else ((0, *set_aside),)
    return FileAccount(
        path=name,
        walk="",
        unit="photos",
        read=1,
        used=0 if set_aside else 1,
        set_aside=set_aside_from(name, reasons),
    )


def _note_strangers(files: Iterable[str], names: list[str], intake: Intake) -> None:
    for name in files:
        if name not in names:
            intake.note(
                intake.locate("photos", "files", name),
                "photo/no-such-file",
                f"the photo {name}, which is not in the folder of the photos",
                "the name of a photo as it stands in the folder",
                nearest_advice(name, names) or "correct the name, or add the photo",
            )


def _note_unused_cameras(description: Description, photos: list[Photo], intake: Intake) -> None:
    seen = sorted({photo.metadata.camera for photo in photos})
    for index, camera in enumerate(description.photos.cameras):
        if camera.camera and camera.camera not in seen:
            intake.note(
                intake.locate("photos", "cameras", index, "camera"),
                "photo/no-such-camera",
                f"the camera {camera.camera}, which took none of the photos",
                "one of " + ", ".join(name or "(no name)" for name in seen)
                if seen
                else "a camera that took one of the photos, and there are none",
                nearest_advice(camera.camera, seen) or "copy the name as it is listed here",
            )
