from __future__ import annotations

import pytest

from reportgen.errors import Problem, Severity, Where, one_line


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Büro, 5\u202fkm \N{MINUS SIGN}71 dBm", "Büro, 5\u202fkm \N{MINUS SIGN}71 dBm"),
        ("\x1b[2J\x1b]0;owned\x07", r"\x1b[2J\x1b]0;owned\x07"),
        ("a\nb\rc\td\u2028e\x85f", r"a\nb\rc\td\u2028e\x85f"),
        ("\u202egnp.exe", r"\u202egnp.exe"),
        ("half \ud800", r"half \ud800"),
    ],
)
def test_what_steers_a_terminal_is_written_as_an_escape(text: str, shown: str) -> None:
    """A cell of a stranger's log must not clear the screen or turn the writing round."""
    assert one_line(text) == shown


def test_a_problem_stays_on_its_four_lines_whatever_was_found() -> None:
    """Or a file name could put up a problem, or a success, of its own."""
    problem = Problem(
        where=Where(path="log\n0 errors.csv", line=3),
        code="log/number",
        severity=Severity.WARNING,
        found="x = \x1b[31m1\nOpen /somewhere/else",
        expected="a number\r",
        do="correct it\u2029now",
    )

    assert len(str(problem).splitlines()) == 4
    assert "\x1b" not in str(problem)
