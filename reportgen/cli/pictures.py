"""Makes the pictures of the site, beside the work on figures."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from reportgen.cli.kept import Kept, key_of
from reportgen.cli.kept_pictures import packed, unpacked
from reportgen.errors import Problem, Where
from reportgen.model.campaign import Campaign
from reportgen.model.photo import Photo, Picture, PublishedPhoto
from reportgen.read.pictures import LARGE_PIXELS, published_overlay, published_photo
from reportgen.read.reading import CampaignFile, campaign_file
from reportgen.side_by_side import helpers

if TYPE_CHECKING:  # it loads all that computes
    from reportgen.match.join import Joined

SMALLEST_PX = 64
HEIC_ENDINGS = (".heic", ".heif")

_Made = tuple[tuple[Picture, ...], tuple[Problem, ...]]
_Publisher = Callable[[CampaignFile, str], tuple[PublishedPhoto, tuple[Problem, ...]]]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wanted:
    """A file whose published sizes are wanted; `how` names all that decides what they are."""

    path: str
    publisher: _Publisher
    how: tuple[object, ...]
    is_large: bool


@dataclass(frozen=True, slots=True)
class PicturesInMaking:
    """Pictures of photos and overlays that are being made, by the path of their file."""

    by_path: dict[str, Future[dict[str, _Made]]]

    def finished(
        self, joined: Joined, shown: Joined
    ) -> tuple[list[PublishedPhoto], tuple[Problem, ...]]:
        """Wait for the pictures, and return those of what is shown, under its published keys."""
        photos = zip(joined.photos, shown.photos, strict=True)
        overlays = zip(
            joined.campaign.picture_overlays, shown.campaign.picture_overlays, strict=True
        )
        wanted = [(match.photo.path, also.photo.key) for match, also in photos]
        wanted += [(item.path, also.key) for item, also in overlays]
        made = [(key, *self.by_path[path].result()[path]) for path, key in wanted]
        return (
            [PublishedPhoto(photo=key, pictures=pictures) for key, pictures, _ in made],
            tuple(problem for _, _, problems in made for problem in problems),
        )


@contextmanager
def pictures_in_making(folder: Path, campaign: Campaign, kept: Kept) -> Iterator[PicturesInMaking]:
    """Begin to re-make all pictures of a campaign; what is not done is left when the caller leaves.

    Of large ones one at a time has room in a small computer.
    """
    wanted = [*_photos(campaign), *_overlays(campaign)]
    large = [item for item in wanted if item.is_large]
    groups = [[item] for item in wanted if not item.is_large] + ([large] if large else [])
    with helpers() as pool:
        by_path: dict[str, Future[dict[str, _Made]]] = {}
        for group in groups:
            future = pool.submit(_made, kept, folder, group)
            by_path |= dict.fromkeys((item.path for item in group), future)
        yield PicturesInMaking(by_path)


def _photos(campaign: Campaign) -> Iterator[_Wanted]:
    for photo in campaign.photos:
        metadata, asked = photo.metadata, campaign.publishing.pictures
        yield _Wanted(
            path=photo.path,
            publisher=partial(published_photo, picture_format=asked, hidden=photo.hidden),
            how=(asked, photo.hidden),
            is_large=metadata.width_px * metadata.height_px > LARGE_PIXELS,
        )


def _overlays(campaign: Campaign) -> Iterator[_Wanted]:
    for item in campaign.picture_overlays:
        yield _Wanted(path=item.path, publisher=published_overlay, how=("overlay",), is_large=True)


def _made(kept: Kept, folder: Path, group: list[_Wanted]) -> dict[str, _Made]:
    return {item.path: _kept_or_made(kept, folder, item) for item in group}


def _kept_or_made(kept: Kept, folder: Path, item: _Wanted) -> _Made:
    """Return a picture's published sizes, made anew only where file or wishes changed."""
    file = campaign_file(folder, item.path, asked_at=Where(path=item.path))
    name = key_of((*item.how, file.path.read_bytes()))
    pictures = unpacked(kept.get(name))
    if pictures:
        return pictures, ()
    made, problems = item.publisher(file, item.path)
    if not problems:
        kept.put(name, packed(made.pictures))
    return made.pictures, problems


def picture_problems(folder: Path, campaign: Campaign) -> tuple[Problem, ...]:
    """Decode every JPEG, as `build` will: one cut short opens well, and shows it only then.

    A HEIC takes a second each; pictures under the maps were decoded when they were read.
    """

    def problems_of(photo: Photo) -> tuple[Problem, ...]:
        file = campaign_file(folder, photo.path, asked_at=Where(path=photo.path))
        return published_photo(file, photo.key, (SMALLEST_PX,))[1]

    quick = [item for item in campaign.photos if not item.path.lower().endswith(HEIC_ENDINGS)]
    with ThreadPoolExecutor() as pool:
        return tuple(problem for found in pool.map(problems_of, quick) for problem in found)
