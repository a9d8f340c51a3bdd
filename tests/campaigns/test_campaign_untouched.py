"""Reading leaves no trace: no file of a campaign is written, made, or given another date."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import ROOT

pytestmark = pytest.mark.slow

State = dict[str, tuple[int, int, int, str]]


def state(folder: Path) -> State:
    """Return kind and rights, size, date and digest of the folder and everything in it."""
    found: State = {}
    for path in (folder, *sorted(folder.rglob("*"))):
        info = path.stat()
        digest = hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else ""
        found[str(path)] = (info.st_mode, info.st_size, info.st_mtime_ns, digest)
    return found


def closed_to_writing(folder: Path) -> Path:
    """Copy the example and take away the right to write, which binds everybody but root."""
    shutil.copytree(ROOT / "example_campaign", folder)
    for path in (*folder.rglob("*"), folder):
        path.chmod(0o555 if path.is_dir() else 0o444)
    return folder


def run(*arguments: str, cwd: Path) -> None:
    found = subprocess.run(
        [sys.executable, "-m", "reportgen", *arguments],
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        timeout=300,
    )
    assert found.returncode == 0, found.stderr


def test_check_and_build_leave_a_campaign_as_it_was(tmp_path: Path) -> None:
    """Started from inside the folder too, where careless programs leave their own files."""
    campaign = closed_to_writing(tmp_path / "campaign")
    try:
        before = state(campaign)

        run("check", ".", cwd=campaign)
        run("build", ".", cwd=campaign)

        assert state(campaign) == before
        assert sorted(path.name for path in tmp_path.iterdir()) == ["campaign", "campaign-site"]
    finally:
        for path in (campaign, *campaign.rglob("*")):
            path.chmod(0o755)
