"""Runs the chain from campaign folder to site, and the two commands beside it."""

from __future__ import annotations

import tempfile
from pathlib import Path

from reportgen.cli.kept import Kept
from reportgen.cli.made import Made
from reportgen.cli.pictures import picture_problems, pictures_in_making
from reportgen.cli.place_told import place_lines, unstated_place
from reportgen.cli.reports import CheckReport, Step
from reportgen.cli.revealed import revealed_lines
from reportgen.cli.understood import understood_lines
from reportgen.errors import CampaignError, Problem, ReportgenError, Severity, Where
from reportgen.match.join import join
from reportgen.model.campaign import Campaign
from reportgen.model.photo import PublishedPhoto
from reportgen.pages.author_part import checked_author_text
from reportgen.pages.book import author_needs, data_files, site_content
from reportgen.pages.page import SiteContent
from reportgen.pages.shipped import shipped_folder
from reportgen.pages.words import languages
from reportgen.read.folder import read_campaign
from reportgen.read.starter import copy_campaign, write_starter
from reportgen.results.assemble import Results, assemble
from reportgen.results.published import published
from reportgen.results.reveals import reveals

PROBLEM_CODES = (
    ("description/language", "The site can't be written in the language asked for."),
)  # fmt: skip


def made_content(folder: Path, kept: Kept, step: Step) -> Made:
    """Return a campaign's site, the author's text not yet in it."""
    campaign = _read(folder, step)
    # Copies of this process make pictures while figures are computed here.
    with pictures_in_making(folder, campaign, kept) as making:
        step("matching")
        joined = join(campaign)
        shown = published(joined)
        step("computing figures")
        results = assemble(shown, kept.memo)
        step("making pictures")
        pictures, problems = making.finished(joined, shown)
    step("writing pages")
    conclusions, found = campaign.conclusions, joined.problems
    remark = unstated_place(campaign)
    # Pages need the memory more than what they are not made of.
    del campaign, joined, shown
    return Made(
        content=_content(results, pictures, shipped_folder("site_template")),
        needs=author_needs(results),
        conclusions=conclusions,
        problems=found,
        picture_problems=problems,
        remark=remark,
    )


def _content(results: Results, pictures: list[PublishedPhoto], template: Path) -> SiteContent:
    try:
        return site_content(results, pictures, template)
    except OSError as error:
        raise ReportgenError(
            f"the pages could not be written to files in {tempfile.gettempdir()}: "
            f"{error.strerror or error}; check that there is room, and that you may write there"
        ) from error


def check_campaign(folder: Path, step: Step) -> CheckReport:
    """Read a campaign and say what was understood; write nothing."""
    campaign = _read(folder, step)
    step("matching")
    joined = join(campaign)
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
            *picture_problems(folder, joined.campaign),
        ),
    )


def begin_campaign(folder: Path, *, from_example: bool) -> tuple[Path, ...]:
    """Write a starter description into a folder, or copy the example campaign there."""
    if not from_example:
        return write_starter(folder)
    return copy_campaign(shipped_folder("example_campaign"), folder)


def _read(folder: Path, step: Step) -> Campaign:
    campaign = read_campaign(folder, step)
    _need_language(campaign)
    return campaign


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
