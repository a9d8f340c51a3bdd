"""The command that says what a site would be made of and tell."""

from __future__ import annotations

from pathlib import Path

from reportgen.cli.described import described_campaign
from reportgen.cli.pictures import picture_problems
from reportgen.cli.place_told import place_lines
from reportgen.cli.reports import CheckReport, Step
from reportgen.cli.revealed import revealed_lines
from reportgen.cli.understood import understood_lines
from reportgen.match.join import join
from reportgen.pages.author_part import checked_author_text
from reportgen.pages.book import author_needs, data_files
from reportgen.pages.shipped import shipped_folder
from reportgen.results.assemble import assemble
from reportgen.results.published import published
from reportgen.results.reveals import reveals


def check_campaign(folder: Path, step: Step) -> CheckReport:
    """Read a campaign and say what was understood; write nothing."""
    campaign = described_campaign(folder, step)
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
