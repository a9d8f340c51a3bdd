"""Runs the chain from campaign folder to site; what it needs is loaded as it goes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from reportgen.cli.described import described_campaign
from reportgen.cli.kept import Kept
from reportgen.cli.made import Made
from reportgen.cli.pictures import pictures_in_making
from reportgen.cli.reports import Step

if TYPE_CHECKING:
    from reportgen.cli.figured import Figured


def made_content(folder: Path, kept: Kept, step: Step) -> Made:
    """Return a campaign's site, the author's text not yet in it."""
    figured = _figured(folder, kept, step)
    from reportgen.cli.figured import made_of  # noqa: PLC0415 - as below

    step("writing pages")
    return made_of(figured)


def _figured(folder: Path, kept: Kept, step: Step) -> Figured:
    campaign = described_campaign(folder, step)
    # Copies of this process make pictures while it loads what computes, and computes.
    with pictures_in_making(folder, campaign, kept) as making:
        from reportgen.cli.figured import figured  # noqa: PLC0415 - takes a second or two

        return figured(campaign, making, kept, step)
