"""Runs the chain from campaign folder to site, and the two commands beside it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from functools import partial
from pathlib import Path

from reportgen.cli.kept import Kept, key_of
from reportgen.cli.kept_pictures import packed, unpacked
from reportgen.cli.made import Made
from reportgen.cli.place_told import place_lines, unstated_place
from reportgen.cli.reports import CheckReport, Step
from reportgen.cli.revealed import revealed_lines
from reportgen.cli.understood import understood_lines
from reportgen.errors import CampaignError, Problem, Severity, Where
from reportgen.match.join import Joined, join
from reportgen.model.campaign import Campaign
from reportgen.model.photo import Photo, PublishedPhoto
from reportgen.pages.author_part import checked_author_text
from reportgen.pages.book import author_needs, data_files, site_content
from reportgen.pages.shipped import shipped_folder
from reportgen.pages.words import languages
from reportgen.read.folder import read_campaign
from reportgen.read.pictures import published_overlay, published_photo
from reportgen.read.reading import CampaignFile, campaign_file
from reportgen.read.starter import copy_campaign, write_starter
from reportgen.results.assemble import assemble
from reportgen.results.published import published
from reportgen.results.reveals import reveals

_Made = tuple[PublishedPhoto, tuple[Problem, ...]]
_Publisher = Callable[[CampaignFile, str], _Made]

SMALLEST_PX = 64
HEIC_ENDINGS = (".heic", ".heif")

PROBLEM_CODES = (
    ("description/language", "The site can't be written in the language asked for."),
)  # fmt: skip


def made_content(folder: Path, kept: Kept, step: Step) -> Made:
    """Return a campaign's site, the author's text not yet in it."""
    joined = _joined(folder, step)
    shown = published(joined)
    # Pictures are made on one core while figures are computed on another.
    with ThreadPoolExecutor() as pool:
        pictures_made = _start_pictures(pool, folder, joined, shown, kept)
        step("computing figures")
        results = assemble(shown, kept.memo)
        step("making pictures")
        pictures, problems = _finished(pictures_made)
    step("writing pages")
    template = shipped_folder("site_template")
    return Made(
        content=site_content(results, pictures, template),
        needs=author_needs(results),
        conclusions=joined.campaign.conclusions,
        problems=joined.problems,
        picture_problems=problems,
        remark=unstated_place(joined.campaign),
    )


def check_campaign(folder: Path, step: Step) -> CheckReport:
    """Read a campaign and say what was understood; write nothing."""
    joined = _joined(folder, step)
    step("computing figures")
    results = assemble(published(joined))
    template = shipped_folder("site_template")
    author = checked_author_text(joined.campaign.conclusions, author_needs(results), template)
    files = () if author.problems else data_files(results, template)
    step("looking into the photos")
    return CheckReport(
        lines=(
            *understood_lines(results, joined),
            *revealed_lines(reveals(joined)),
            *place_lines(results, files),
        ),
        problems=(
            *joined.problems,
            *author.problems,
            *_picture_problems(folder, joined.campaign),
        ),
    )


def begin_campaign(folder: Path, *, from_example: bool) -> tuple[Path, ...]:
    """Write a starter description into a folder, or copy the example campaign there."""
    if not from_example:
        return write_starter(folder)
    return copy_campaign(shipped_folder("example_campaign"), folder)


def _joined(folder: Path, step: Step) -> Joined:
    campaign = read_campaign(folder, step)
    _need_language(campaign)
    step("matching")
    return join(campaign)


def _need_language(campaign: Campaign) -> None:
    """Stop where the site can't be written in the language asked for."""
    known = languages(shipped_folder("site_template"))
    asked = campaign.publishing.language
    if asked in known:
        return
    stated = dict(campaign.stated_at).get("publish.language")
    problem = Problem(
        where=stated or Where(path=campaign.description_path),
        code="description/language",
        severity=Severity.ERROR,
        found=f"the language {asked}, in which there is no wording",
        expected=f"one of {', '.join(known)}",
        do="choose one of these, or translate site_template/words.toml",
    )
    raise CampaignError([*campaign.problems, problem])


def _picture_problems(folder: Path, campaign: Campaign) -> tuple[Problem, ...]:
    """Decode every JPEG, as `build` will: one cut short opens well, and shows it only then.

    A HEIC takes a second each; pictures under the maps were decoded when they were read.
    """

    def problems_of(photo: Photo) -> tuple[Problem, ...]:
        file = campaign_file(folder, photo.path, asked_at=Where(path=photo.path))
        return published_photo(file, photo.key, (SMALLEST_PX,))[1]

    quick = [item for item in campaign.photos if not item.path.lower().endswith(HEIC_ENDINGS)]
    with ThreadPoolExecutor() as pool:
        return tuple(problem for found in pool.map(problems_of, quick) for problem in found)


def _start_pictures(
    pool: ThreadPoolExecutor, folder: Path, joined: Joined, shown: Joined, kept: Kept
) -> list[Future[_Made]]:
    """Begin to re-make all pictures under their published keys, from the files as they were read.

    Decoding leaves the interpreter's lock, so threads help.
    """
    campaign = joined.campaign
    as_asked = partial(published_photo, picture_format=campaign.publishing.pictures)
    jobs: list[tuple[_Publisher, str, str, tuple[object, ...]]] = [
        (
            partial(as_asked, hidden=match.photo.hidden),
            also.photo.key,
            match.photo.path,
            (campaign.publishing.pictures, match.photo.hidden),
        )
        for match, also in zip(joined.photos, shown.photos, strict=True)
    ]
    overlays = zip(campaign.picture_overlays, shown.campaign.picture_overlays, strict=True)
    jobs += [(published_overlay, also.key, item.path, ("overlay",)) for item, also in overlays]
    return [
        pool.submit(_kept_picture, kept, publisher, how, key, folder, path)
        for publisher, key, path, how in jobs
    ]


def _kept_picture(
    kept: Kept,
    publisher: _Publisher,
    how: tuple[object, ...],
    key: str,
    folder: Path,
    path: str,
) -> _Made:
    """Return a picture's published sizes, made anew only where file or wishes changed."""
    file = campaign_file(folder, path, asked_at=Where(path=path))
    name = key_of((*how, file.path.read_bytes()))
    pictures = unpacked(kept.get(name))
    if pictures:
        return PublishedPhoto(photo=key, pictures=pictures), ()
    made, problems = publisher(file, key)
    if not problems:
        kept.put(name, packed(made.pictures))
    return made, problems


def _finished(
    pictures: Iterable[Future[_Made]],
) -> tuple[list[PublishedPhoto], tuple[Problem, ...]]:
    made = [future.result() for future in pictures]
    return [photo for photo, _ in made], tuple(found for _, problems in made for found in problems)
