"""The same texts, whatever the number of cores."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from reportgen.pages.side_by_side import LEAST
from tests.conftest import ROOT

PROGRAM = """
import os, sys, threading
from reportgen.pages.side_by_side import each
if "thread" in sys.argv:
    wait = threading.Event()
    threading.Thread(target=wait.wait, daemon=True).start()
if "fault" in sys.argv:
    each(lambda n: str(1 // (n - 2)), list(range(9)))
here = os.getpid()
texts = each(lambda n: f"{n * n} {os.getpid() == here}", list(range(int(sys.argv[1]))))
print("|".join(texts))
"""


def ran(*arguments: object) -> tuple[list[str], str]:
    """Return what the program printed, apart, and what it complained of."""
    run = subprocess.run(
        [sys.executable, "-c", PROGRAM, *map(str, arguments)],
        cwd=ROOT, capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    return run.stdout.strip().split("|"), run.stderr


def test_the_texts_come_in_their_order() -> None:
    texts, _ = ran(20)

    assert [text.split()[0] for text in texts] == [str(n * n) for n in range(20)]


@pytest.mark.skipif(
    sys.platform != "linux" or len(os.sched_getaffinity(0)) < 2, reason="needs two cores of Linux"
)
def test_many_are_made_elsewhere_and_few_here_or_beside_a_thread() -> None:
    """A copy of a process with threads could wait for ever for what one of them held."""
    assert {text.split()[1] for text in ran(20)[0]} == {"False"}
    assert {text.split()[1] for text in ran(LEAST - 1)[0]} == {"True"}
    assert {text.split()[1] for text in ran(20, "thread")[0]} == {"True"}


def test_what_goes_wrong_elsewhere_goes_wrong_here() -> None:
    assert "ZeroDivisionError" in ran(9, "fault")[1]
