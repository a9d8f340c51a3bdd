"""The site says what kind of problem was met without the text that quotes a file."""

from __future__ import annotations

from reportgen.pages.shipped import shipped_folder
from reportgen.pages.words import read_words
from tests.structure.test_problem_codes import listed_codes

STOPS = ("yaml/", "begin/", "path/", "conclusions/", "site/")
"""Kinds after which there is no site, or which are known only when it stands."""


def test_every_code_that_a_site_may_show_has_its_words() -> None:
    """Without them a reader would see a bare code. Faults of the description stop the work."""
    words = read_words(shipped_folder("site_template"))
    unworded = {
        code
        for code in listed_codes()
        if not code.startswith((*STOPS, "description/"))
        and not words.has(f"problems.{code.replace('/', '.')}")
    }

    assert unworded == set()
