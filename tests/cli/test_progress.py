"""What is being done is said on a terminal, and nowhere else."""

from __future__ import annotations

import io
import threading

import pytest

from reportgen.cli.progress import progress


class Terminal(io.StringIO):
    """A stream that somebody looks at."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def _terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "21")


def shown(stream: io.StringIO, *texts: str) -> list[str]:
    with progress(stream) as step:
        for text in texts:
            step(text)
    return stream.getvalue().split("\r")


@pytest.mark.usefixtures("_terminal")
def test_one_line_replaces_the_other_and_nothing_stays() -> None:
    lines = shown(Terminal(), "reading a long name of a file", "matching")

    assert lines == ["", "reading a long name ", "matching".ljust(20), " " * 20, ""]


@pytest.mark.usefixtures("_terminal")
def test_names_can_not_steer_the_terminal() -> None:
    assert "\x1b" not in "".join(shown(Terminal(), "\x1b[2Jx"))


@pytest.mark.usefixtures("_terminal")
def test_no_thread_draws_it() -> None:
    """A process with threads can't be copied for work side by side."""
    before = threading.active_count()
    with progress(Terminal()) as step:
        step("reading")
        assert threading.active_count() == before


def test_where_nobody_looks_nothing_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    assert shown(io.StringIO(), "reading") == [""]
    monkeypatch.setenv("TERM", "dumb")
    assert shown(Terminal(), "reading") == [""]
