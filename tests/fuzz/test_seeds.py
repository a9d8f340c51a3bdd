"""Every seed, and so every input that once broke a reader, is read again by each run."""

from __future__ import annotations

import subprocess
import sys
import time
from importlib.util import find_spec
from pathlib import Path

import pytest

from tests.conftest import ROOT
from tests.fuzz.kinds import KINDS, SEEDS
from tests.fuzz.run import SLOW_S

ALL_SEEDS = [(kind.name, name) for kind in KINDS.values() for name in kind.seeds()]


@pytest.mark.parametrize(("kind", "name"), ALL_SEEDS)
def test_a_seed_is_read_or_explained_in_time(kind: str, name: str, tmp_path: Path) -> None:
    content = KINDS[kind].seeds()[name]
    start = time.process_time()

    KINDS[kind].check()(content, tmp_path)

    assert time.process_time() - start < SLOW_S


def test_every_kind_has_seeds_and_every_folder_of_seeds_its_kind() -> None:
    """Seeds that no kind reads would be tests that never run."""
    assert {path.name for path in SEEDS.iterdir()} <= set(KINDS)
    assert {kind for kind, _ in ALL_SEEDS} == set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_a_few_seconds_of_fuzzing_find_nothing(kind: str, tmp_path: Path) -> None:
    """The long runs are a developer's; this keeps the fuzzer itself working."""
    if find_spec("atheris") is None:
        pytest.skip("the fuzzer is not installed: pip install -e '.[fuzz]'")
    command = [sys.executable, "-m", "tests.fuzz.run", kind, "--seconds", "3"]

    run = subprocess.run(
        [*command, "--work", str(tmp_path)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        errors="replace",
        check=False,
        timeout=180,
    )

    assert run.returncode == 0, run.stdout + run.stderr[-2000:]
    assert f"{kind}: 0 findings" in run.stdout
