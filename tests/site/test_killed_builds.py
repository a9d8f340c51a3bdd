"""A build that is killed or fails at any moment leaves the old site or the new one, whole.

REPORTGEN_KILLS says how many real builds are killed at random moments, 10 if it says nothing;
REPORTGEN_KILLS_SEED chooses other moments.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.campaigns.made import single_row
from tests.conftest import ROOT
from tests.site.stopped_placing import DONE, DONE_ALL_THE_SAME, FAILED, STOPPED

KILLS = int(os.environ.get("REPORTGEN_KILLS", "10"))
SEED = int(os.environ.get("REPORTGEN_KILLS_SEED", "2026"))
WHOLE_BUILD_EVERY = 10
LATE_SHARE = 0.8
"""Share of the kills that fall into the time in which something is written."""

Tree = dict[str, bytes]


def tree(folder: Path) -> Tree:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def placed(target: Path, text: str, system: str, how: str = "exit", number: int = 0) -> int:
    """Run the small build in a process of its own; return its exit code."""
    command = [sys.executable, "-m", "tests.site.stopped_placing"]
    run = subprocess.run(
        [*command, str(target), text, system, how, str(number)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert "Traceback" not in run.stderr, run.stderr
    return run.returncode


@pytest.mark.parametrize("how", ["exit", "raise"])
@pytest.mark.parametrize("system", ["exchange", "renames"])
def test_stopped_before_any_change_it_makes_a_build_loses_nothing(
    tmp_path: Path, system: str, how: str
) -> None:
    """One change after the other is the last; the next build puts in order what is left."""
    target = tmp_path / "site"
    assert placed(target, "new", system) == 0
    new = tree(target)
    assert placed(target, "old", system) == 0
    old = tree(target)
    gone, number = 0, 1
    while (code := placed(target, "new", system, how, number)) != DONE:
        assert code in ((STOPPED,) if how == "exit" else (FAILED, DONE_ALL_THE_SAME))
        if target.exists():
            assert tree(target) in ((new,) if code == DONE_ALL_THE_SAME else (old, new)), number
        else:
            gone += 1
            assert tree(tmp_path / ".site.building" / "old") == old, number
        # The next build may be stopped as well, in the midst of its clearing up.
        placed(target, "new", system, how, 3)
        assert placed(target, "old", system) == DONE
        assert names(tmp_path) == ["site"], number
        assert tree(target) == old, number
        number += 1

    assert number > 20
    # Only where folders can't change places is there a moment without a site, if one is killed.
    assert gone == (1 if (system, how) == ("renames", "exit") else 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """How long a build takes, and how long of that its building folder is there."""

    whole_s: float
    late_s: float


def build(campaign: Path, target: Path) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "reportgen", "build", str(campaign), "--out", str(target)]
    return subprocess.Popen(
        command,
        cwd=ROOT,
        env={**os.environ, "REPORTGEN_KEPT": ""},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )


def whole_build(campaign: Path, target: Path) -> Timing:
    """Build to the end and see when the building folder came to be."""
    started, seen = time.monotonic(), 0.0
    with build(campaign, target) as run:
        while run.poll() is None:
            if not seen and (target.parent / ".site.building").exists():
                seen = time.monotonic()
            time.sleep(0.005)
        assert run.stderr is not None
        assert run.returncode == 0, run.stderr.read()
    ended = time.monotonic()
    return Timing(whole_s=ended - started, late_s=ended - (seen or ended))


def killed_build(campaign: Path, target: Path, timing: Timing, moments: random.Random) -> bool:
    """Kill a build at a moment; say whether it was still running."""
    with build(campaign, target) as run:
        if moments.random() < LATE_SHARE:
            while run.poll() is None and not (target.parent / ".site.building").exists():
                time.sleep(0.002)
            time.sleep(moments.uniform(0, timing.late_s * 1.1))
        else:
            time.sleep(moments.uniform(0, timing.whole_s))
        run.send_signal(signal.SIGKILL)
    return run.returncode == -signal.SIGKILL


def which(target: Path, sites: list[Tree], killed: int) -> int:
    """Return which of the sites stands there; say after how many kills it is neither."""
    found = tree(target)
    if found not in sites:
        pytest.fail(f"neither site is whole after kill {killed} of seed {SEED}")
    return sites.index(found)


@pytest.mark.slow
def test_builds_killed_at_random_leave_the_old_site_or_the_new_one(tmp_path: Path) -> None:
    """Two campaigns take turns at one target, so that every build has something to replace."""
    campaigns = [single_row(tmp_path / "one"), single_row(tmp_path / "two")]
    text = (campaigns[1] / "campaign.yaml").read_text("utf-8")
    (campaigns[1] / "campaign.yaml").write_text(text.replace("Single", "Another"), "utf-8")
    inputs = [tree(campaign) for campaign in campaigns]
    target = tmp_path / "sites" / "site"
    timing = Timing(whole_s=0, late_s=0)
    sites: list[Tree] = []
    for campaign in reversed(campaigns):
        timing = whole_build(campaign, target)
        sites.insert(0, tree(target))
    moments = random.Random(SEED)
    killed = 0
    while killed < KILLS:
        now = which(target, sites, killed)
        if not killed_build(campaigns[1 - now], target, timing, moments):
            continue
        killed += 1
        now = which(target, sites, killed)
        if killed % WHOLE_BUILD_EVERY == 0:
            timing = whole_build(campaigns[1 - now], target)
            assert which(target, sites, killed) == 1 - now
            assert names(target.parent) == ["site"]

    assert [tree(campaign) for campaign in campaigns] == inputs
