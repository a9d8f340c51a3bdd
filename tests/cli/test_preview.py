"""The preview as a command: what it watches, what it keeps, and how it ends."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from reportgen.cli.preview import keep_previewing, settled, state_of
from reportgen.site.preview_server import PreviewServer
from tests.campaigns.made import single_row
from tests.conftest import ROOT

WAIT_S = 90


class Running:
    """A preview in a process of its own."""

    def __init__(self, process: subprocess.Popen[str], told: Path) -> None:
        self.process, self.told = process, told
        self.until(lambda: "Preview at" in self.text())
        found = re.search(r"http://127\.0\.0\.1:\d+/", self.text())
        assert found
        self.address = found.group(0)

    def text(self) -> str:
        return self.told.read_text("utf-8")

    def page(self) -> str:
        with urllib.request.urlopen(self.address, timeout=30) as answer:
            return str(answer.read().decode("utf-8"))

    def state(self) -> str:
        with urllib.request.urlopen(f"{self.address}_preview/state.json", timeout=30) as answer:
            return str(answer.read().decode("utf-8"))

    def until(self, is_so: Callable[[], bool]) -> None:
        deadline = time.monotonic() + WAIT_S
        while not is_so():
            assert self.process.poll() is None, self.text()
            assert time.monotonic() < deadline, self.text()
            time.sleep(0.1)


@contextmanager
def previewing(campaign: Path, work: Path) -> Iterator[Running]:
    """Preview a campaign, with its private folder under `work`."""
    work.mkdir()
    told = work.with_name("told.txt")
    command = [sys.executable, "-m", "reportgen", "preview", str(campaign), "--no-browser"]
    with (
        told.open("w", encoding="utf-8") as stream,
        subprocess.Popen(
            [*command, "--port", "8750"],
            cwd=ROOT,
            env={**os.environ, "TMPDIR": str(work), "PYTHONUNBUFFERED": "1"},
            stdout=stream,
            stderr=stream,
            text=True,
        ) as process,
    ):
        try:
            yield Running(process, told)
        finally:
            if process.poll() is None:
                process.send_signal(signal.SIGINT)
                process.wait(timeout=WAIT_S)


def edited(campaign: Path, old: str, new: str) -> None:
    path = campaign / "campaign.yaml"
    path.write_text(path.read_text("utf-8").replace(old, new), "utf-8")


@pytest.mark.slow
def test_a_preview_follows_the_campaign_keeps_the_last_good_site_and_cleans_up(
    tmp_path: Path,
) -> None:
    """A change is shown; a broken one is told and the site before it stays; Ctrl-C ends it."""
    campaign = single_row(tmp_path / "campaign")
    with previewing(campaign, tmp_path / "private") as running:
        assert "<title>Single</title>" in running.page()
        edited(campaign, "title: Single", "title: Another")
        running.until(lambda: "<title>Another</title>" in running.page())

        edited(campaign, "frequency_mhz", "freqency_mhz")
        running.until(lambda: "did you mean frequency_mhz?" in running.state())
        assert "<title>Another</title>" in running.page()
        assert "campaign.yaml:3:9  error  description/unknown-key" in running.text()

        edited(campaign, "freqency_mhz", "frequency_mhz")
        running.until(lambda: '{"build": 3, "message": ""}' in running.state())
        running.process.send_signal(signal.SIGINT)
        assert running.process.wait(timeout=WAIT_S) == 130

    assert "interrupted" in running.text()
    assert "Traceback" not in running.text()
    assert list((tmp_path / "private").iterdir()) == []
    assert sorted(path.name for path in tmp_path.iterdir()) == ["campaign", "private", "told.txt"]
    assert sorted(path.name for path in campaign.iterdir()) == ["campaign.yaml", "log.csv"]


@pytest.mark.parametrize(
    ("message", "shown"),
    [
        ("one\ntwo", "one\ntwo"),
        ("a line\n" * 300, "a line\n" * 214 + "… the rest is in the terminal"),
        ("x" * 2000, "x" * 1500 + "\n… the rest is in the terminal"),
    ],
)
def test_an_open_page_shows_the_first_of_many_problems(
    tmp_path: Path, message: str, shown: str
) -> None:
    found = []

    def look(server: PreviewServer) -> None:
        found.append(server.preview.message)
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        keep_previewing(tmp_path, lambda _: message, first_port=8760, ready=look)
    assert found == [shown]


@pytest.mark.slow
def test_a_campaign_that_is_broken_from_the_beginning_waits_to_be_mended(tmp_path: Path) -> None:
    campaign = single_row(tmp_path / "campaign")
    edited(campaign, "frequency_mhz", "freqency_mhz")
    with previewing(campaign, tmp_path / "private") as running:
        assert "freqency_mhz" in running.state()
        edited(campaign, "freqency_mhz", "frequency_mhz")
        running.until(lambda: '"build": 1' in running.state())

        assert "<title>Single</title>" in running.page()
        running.process.send_signal(signal.SIGTERM)
        assert running.process.wait(timeout=WAIT_S) == 130

    assert list((tmp_path / "private").iterdir()) == []


def test_without_a_folder_there_is_nothing_to_preview(tmp_path: Path) -> None:
    found = subprocess.run(
        [sys.executable, "-m", "reportgen", "preview", str(tmp_path / "gone")],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )

    assert found.returncode == 1
    assert "is no folder" in found.stderr


def test_what_is_new_gone_or_changed_makes_another_state(tmp_path: Path) -> None:
    (tmp_path / "logs").mkdir()
    log = tmp_path / "logs" / "a.csv"
    log.write_text("a", "utf-8")
    states = [state_of(tmp_path)]
    log.write_text("ab", "utf-8")
    states.append(state_of(tmp_path))
    os.utime(log, (1, 1))
    states.append(state_of(tmp_path))
    (tmp_path / "b.csv").touch()
    states.append(state_of(tmp_path))
    log.unlink()
    states.append(state_of(tmp_path))

    assert all(states[i] != states[j] for i in range(5) for j in range(i))


def test_hidden_files_are_an_editors_own(tmp_path: Path) -> None:
    before = state_of(tmp_path)
    (tmp_path / ".campaign.yaml.swp").touch()
    (tmp_path / ".git").mkdir()
    (tmp_path / ".git" / "index").touch()

    assert state_of(tmp_path) == before


def test_a_file_that_is_being_saved_is_waited_for_but_not_for_ever(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    log = tmp_path / "a.csv"
    log.touch()
    waits = []

    def written_to(_: float) -> None:
        waits.append(1)
        if len(waits) < 4:
            log.write_text("x" * len(waits), "utf-8")

    monkeypatch.setattr("reportgen.cli.preview.time.sleep", written_to)

    assert settled(tmp_path)[str(log)][0] == 3
    assert len(waits) == 4

    monkeypatch.setattr("reportgen.cli.preview.SETTLED_BY_S", 0.0)
    assert len(settled(tmp_path)) == 1
    assert len(waits) == 4
