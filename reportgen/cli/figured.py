"""From a campaign that was read to the content of its site: all that computes is loaded here."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass

from reportgen.cli.kept import Kept
from reportgen.cli.made import Made
from reportgen.cli.pictures import PicturesInMaking
from reportgen.cli.place_told import unstated_place
from reportgen.cli.reports import Step
from reportgen.errors import Problem, ReportgenError
from reportgen.match.join import join
from reportgen.model.campaign import Campaign
from reportgen.model.photo import PublishedPhoto
from reportgen.pages.book import author_needs, site_content
from reportgen.pages.page import SiteContent
from reportgen.pages.shipped import shipped_folder
from reportgen.results.assemble import Results, assemble
from reportgen.results.published import published


@dataclass(frozen=True, slots=True, kw_only=True)
class Figured:
    """What pages are made of, and nothing else of the campaign: they need the memory more."""

    results: Results
    pictures: list[PublishedPhoto]
    conclusions: str | None
    problems: tuple[Problem, ...]
    picture_problems: tuple[Problem, ...]
    remark: str


def figured(campaign: Campaign, making: PicturesInMaking, kept: Kept, step: Step) -> Figured:
    """Return the figures of a campaign, and its pictures once they are made."""
    step("matching")
    joined = join(campaign)
    shown = published(joined)
    step("computing figures")
    results = assemble(shown, kept.memo)
    step("making pictures")
    pictures, problems = making.finished(joined, shown)
    return Figured(
        results=results,
        pictures=pictures,
        conclusions=campaign.conclusions,
        problems=joined.problems,
        picture_problems=problems,
        remark=unstated_place(campaign),
    )


def made_of(figured: Figured) -> Made:
    """Return the site, the author's text not yet in it."""
    return Made(
        content=_content(figured),
        needs=author_needs(figured.results),
        conclusions=figured.conclusions,
        problems=figured.problems,
        picture_problems=figured.picture_problems,
        remark=figured.remark,
    )


def _content(figured: Figured) -> SiteContent:
    try:
        return site_content(figured.results, figured.pictures, shipped_folder("site_template"))
    except OSError as error:
        raise ReportgenError(
            f"the pages could not be written to files in {tempfile.gettempdir()}: "
            f"{error.strerror or error}; check that there is room, and that you may write there"
        ) from error
