"""Reads a campaign whose site can be written in the language it asks for."""

from __future__ import annotations

from pathlib import Path

from reportgen.cli.reports import Step
from reportgen.errors import CampaignError, Problem, Severity, Where
from reportgen.model.campaign import Campaign
from reportgen.pages.shipped import shipped_folder
from reportgen.pages.words import languages
from reportgen.read.folder import read_campaign

PROBLEM_CODES = (
    ("description/language", "The site can't be written in the language asked for."),
)  # fmt: skip


def described_campaign(folder: Path, step: Step) -> Campaign:
    """Return what a campaign folder holds.

    Raises
    ------
    CampaignError
        If it can't be used.
    """
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
