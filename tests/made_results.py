"""Results of campaigns whose costly fits are kept for all tests of a run."""

from __future__ import annotations

from functools import cache

from reportgen.cli.kept import Kept, kept_folder
from reportgen.match.join import Joined, join
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import Results, assemble
from tests.conftest import ROOT

EXAMPLE = ROOT / "example_campaign"


def assembled(joined: Joined) -> Results:
    """Return the results of a joined campaign."""
    return assemble(joined, Kept(kept_folder()).memo)


@cache
def example_results() -> Results:
    """Return those of the example, made once in each process of tests."""
    return assembled(join(read_campaign(EXAMPLE)))
