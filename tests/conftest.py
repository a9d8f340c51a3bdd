"""What several test modules need: the folders beside the checkout, and strictness in CI."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from hypothesis import settings

ROOT = Path(__file__).resolve().parent.parent
SHARED = ROOT.parent / "shared"
# Pictures and fits are kept for all tests of a run together, found by what they are made of; tests
# of builds that do everything anew say so themselves.
if "PYTEST_XDIST_WORKER" not in os.environ:
    _kept = tempfile.TemporaryDirectory(prefix="kept-")
    os.environ["REPORTGEN_KEPT"] = _kept.name
IN_CI = os.environ.get("CI", "").lower() == "true"

# A busy machine is no finding.
settings.register_profile("busy", deadline=None)
settings.load_profile("busy")


@pytest.fixture(scope="session")
def shared_folder() -> Path:
    """Return the folder of real inputs and reference values beside the checkout."""
    if not SHARED.is_dir():
        reason = "the shared folder is not beside this checkout"
        if IN_CI:
            pytest.fail(f"{reason}: in CI it must be there")
        pytest.skip(reason)
    return SHARED


@pytest.fixture(scope="session")
def real_inputs(shared_folder: Path) -> Path:
    """Return the folder of files that nobody on this project made."""
    return shared_folder / "real-inputs"


@pytest.fixture(scope="session")
def example_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the first page of the example campaign's site, built by the command line."""
    target = tmp_path_factory.mktemp("example") / "site"
    command = [sys.executable, "-m", "reportgen.cli", "build", "example_campaign"]
    run = subprocess.run(
        [*command, "--out", str(target)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        timeout=180,
    )
    assert run.returncode == 0, run.stderr
    return target / "index.html"
