"""Builds a site: what can be taken from the last time is, before anything large is loaded."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

from reportgen.cli.campaign_state import CampaignState, campaign_state
from reportgen.cli.kept import Kept, kept_folder
from reportgen.cli.made import Made, packed, unpacked
from reportgen.cli.reports import BuildReport, Step
from reportgen.errors import CampaignError, Problem, Severity, Where
from reportgen.pages.author_part import has_author_text, with_author_text
from reportgen.pages.page import SiteContent
from reportgen.pages.shipped import shipped_folder
from reportgen.read.conclusions import read_conclusions
from reportgen.read.reading import CampaignFile
from reportgen.site.build import build_site

CHECKSUM = "checksum-of-the-author-s-text"
"""Stands for it in what is kept."""
MOST_KEPT_BYTES = 400_000_000
"""A larger site is made anew each time, rather than fill the folder of what is kept."""

PROBLEM_CODES = (
    ("site/files-kept", "Somebody put files into a site while it was being replaced."),
)


def build_report(folder: Path, target: Path, step: Step, *, strict: bool) -> BuildReport:
    """Read a campaign and put its site at `target`."""
    kept = Kept(kept_folder())
    made = _made(folder, kept, step)
    if strict and any(problem.severity is not Severity.NOTE for problem in made.problems):
        return BuildReport(index=None, problems=made.problems)
    content = with_author_text(
        made.content, made.conclusions, made.needs, shipped_folder("site_template")
    )
    step("building the site")
    left: list[Path] = []
    index = build_site(content, target, forbidden_inside=folder, kept=left.append)
    kept.prune()
    return BuildReport(
        index=index,
        problems=(*made.problems, *made.picture_problems, *map(_kept_problem, left)),
        remark=made.remark,
    )


def _made(folder: Path, kept: Kept, step: Step) -> Made:
    """Return a site without the author's text: as kept, where nothing else changed."""
    state = None if kept.folder is None else campaign_state(folder)
    if state is not None:
        found = kept.get(state.key)
        again = None if found is None else _again(found, state.conclusions)
        if again is not None:
            return again
    from reportgen.cli.chain import made_content  # noqa: PLC0415 - not needed for what is kept

    made = made_content(folder, kept, step)
    if state is not None and state == campaign_state(folder):
        _keep(made, state, kept)
    return made


def _keep(made: Made, state: CampaignState, kept: Kept) -> None:
    if sum(len(asset.content) for asset in made.content.assets) > MOST_KEPT_BYTES:
        return
    checksum = _sha256(state.conclusions)
    # Where the file was edited since it was read, the site tells of another one.
    if any(checksum in page.markdown for page in made.content.pages):
        as_kept = replace(made, content=_with_checksum(made.content, checksum, CHECKSUM))
        kept.put(state.key, *packed(as_kept))


def _again(found: bytes, conclusions: Path) -> Made | None:
    """Return what was kept with the author's text of now; None where that can't be read."""
    try:
        made = unpacked(found)
        text = read_conclusions(CampaignFile(path=conclusions, name=conclusions.name))
        checksum = _sha256(conclusions)
    except (ValueError, KeyError, TypeError, OSError, CampaignError):
        return None
    # Without any text the page shows drafts, which is another page.
    if has_author_text(text) != has_author_text(made.conclusions):
        return None
    content = _with_checksum(made.content, CHECKSUM, checksum)
    return replace(made, content=content, conclusions=text)


def _sha256(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()


def _with_checksum(content: SiteContent, old: str, new: str) -> SiteContent:
    """Return a site that tells the checksum of the author's text as it is now."""
    return replace(
        content,
        pages=tuple(
            replace(page, markdown=page.markdown.replace(old, new)) for page in content.pages
        ),
        assets=tuple(
            replace(asset, content=asset.content.replace(old.encode(), new.encode()))
            if asset.path.endswith((".json", ".html"))
            else asset
            for asset in content.assets
        ),
    )


def _kept_problem(place: Path) -> Problem:
    return Problem(
        where=Where(path=str(place)),
        code="site/files-kept",
        severity=Severity.WARNING,
        found="files that somebody put into the older site while it was being replaced",
        expected="a site folder that holds the site alone",
        do="look what they are; they are nowhere else any more",
    )
