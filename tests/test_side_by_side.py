"""The same texts, whatever the number of cores; and no copy outlives its original."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from reportgen.side_by_side import LEAST
from tests.conftest import ROOT

PROGRAM = """
import os, sys, threading
from reportgen.side_by_side import each
if "thread" in sys.argv:
    wait = threading.Event()
    threading.Thread(target=wait.wait, daemon=True).start()
if "fault" in sys.argv:
    each(lambda n: str(1 // (n - 2)), list(range(9)))
here = os.getpid()
texts = each(lambda n: f"{n * n} {os.getpid() == here}", list(range(int(sys.argv[1]))))
print("|".join(texts))
"""


def ran(*arguments: object, program: str = PROGRAM) -> tuple[list[str], str]:
    """Return what the program printed, apart, and what it complained of."""
    run = subprocess.run(
        [sys.executable, "-c", program, *map(str, arguments)],
        cwd=ROOT, capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    return run.stdout.strip().split("|"), run.stderr


def test_the_texts_come_in_their_order() -> None:
    texts, _ = ran(20)

    assert [text.split()[0] for text in texts] == [str(n * n) for n in range(20)]


PIECES = """
import resource, sys, threading
from reportgen.side_by_side import each_text
if "thread" in sys.argv:
    wait = threading.Event()
    threading.Thread(target=wait.wait, daemon=True).start()
resource.setrlimit(resource.RLIMIT_NOFILE, (64, 64))
works = [lambda n=n: (f"{n}ü" for _ in range(n * 500)) for n in range(99)]
texts = each_text(works)
print("|".join(str(text == f"{n}ü".encode() * n * 500) for n, text in enumerate(texts)))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="has no limit to set")
@pytest.mark.parametrize("alone", [(), ("thread",)], ids=["copies", "one after the other"])
def test_many_texts_come_whole_and_in_their_order(alone: tuple[str, ...]) -> None:
    """Where a process may hardly open a file."""
    texts, complaint = ran(*alone, program=PIECES)

    assert (texts, complaint) == (["True"] * 99, "")


TWO_CORES = pytest.mark.skipif(
    sys.platform != "linux" or len(os.sched_getaffinity(0)) < 2, reason="needs two cores of Linux"
)


@TWO_CORES
def test_many_are_made_elsewhere_and_few_here_or_beside_a_thread() -> None:
    """A copy of a process with threads could wait for ever for what one of them held."""
    assert {text.split()[1] for text in ran(20)[0]} == {"False"}
    assert {text.split()[1] for text in ran(LEAST - 1)[0]} == {"True"}
    assert {text.split()[1] for text in ran(20, "thread")[0]} == {"True"}


def test_what_goes_wrong_elsewhere_goes_wrong_here() -> None:
    assert "ZeroDivisionError" in ran(9, "fault")[1]


ENDED = """
import os, signal, sys
from reportgen.side_by_side import each, helpers
end = lambda *_: os.kill(os.getpid(), signal.SIGKILL)
if "helpers" in sys.argv:
    with helpers() as pool:
        print(pool.submit(os._exit, 9).result())
each(end, list(range(9)))
"""


@TWO_CORES
@pytest.mark.parametrize("who", ["each", "helpers"])
def test_a_copy_that_the_system_ends_is_told_as_what_it_is(who: str) -> None:
    """Where memory is short; a fault of ours it is not."""
    complaint = ran(who, program=ENDED)[1].splitlines()[-1]

    assert complaint.startswith("reportgen.errors.ReportgenError: the system ended a process")
    assert "close other programs and run this again" in complaint


HELPED = """
import os, sys, threading, time
from reportgen.side_by_side import helpers
if "thread" in sys.argv:
    threading.Thread(target=threading.Event().wait, daemon=True).start()
with helpers() as pool:
    print(pool.submit(os.getpid).result() == os.getpid(), flush=True)
    if "stay" in sys.argv:
        print(*{pool.submit(os.getpid).result() for _ in range(8)}, flush=True)
        pool.submit(time.sleep, 600)
        time.sleep(600)
"""


def helped(*arguments: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", HELPED, *arguments]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)


@TWO_CORES
def test_helpers_are_copies_and_beside_a_thread_threads() -> None:
    assert helped().communicate(timeout=60)[0].strip() == "False"
    assert helped("thread").communicate(timeout=60)[0].strip() == "True"


def is_running(process: Path) -> bool:
    """Whether a process still runs: one that nobody has asked after yet is listed, but over."""
    try:
        state = (process / "stat").read_text("utf-8").rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state not in ("Z", "X")


@TWO_CORES
def test_copies_end_with_an_original_that_is_killed() -> None:
    with helped("stay") as run:
        assert run.stdout is not None
        run.stdout.readline()
        copies = [Path("/proc") / number for number in run.stdout.readline().split()]
        assert copies
        assert all(map(is_running, copies))
        run.send_signal(signal.SIGKILL)
        run.wait()
    by = time.monotonic() + 20
    while any(map(is_running, copies)) and time.monotonic() < by:
        time.sleep(0.1)
    assert not any(map(is_running, copies))
