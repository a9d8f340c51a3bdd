"""The command line as a person meets it: exit codes, where things are printed, what is written."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from reportgen.cli.main import app as main_app
from tests.campaigns.made import single_row, standing_only, write

pytestmark = pytest.mark.slow


def run(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "reportgen", *map(str, arguments)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        timeout=180,
    )


def listing(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_build_ends_by_naming_the_page_to_open(tmp_path: Path) -> None:
    folder = standing_only(tmp_path / "campaign")
    before = listing(folder)

    found = run("build", folder, "--out", tmp_path / "site")

    assert found.returncode == 0, found.stderr
    assert found.stdout.strip() == f"Open {tmp_path / 'site' / 'index.html'}"
    assert (tmp_path / "site" / "index.html").is_file()
    assert listing(folder) == before


def test_check_prints_what_was_understood_and_writes_nothing(tmp_path: Path) -> None:
    folder = standing_only(tmp_path / "campaign")
    before = listing(tmp_path)

    found = run("check", folder)

    assert found.returncode == 0, found.stderr
    assert "rows: 30 read = 30 used + 0 set aside" in found.stdout
    assert "pier: 30 frames heard of 39 sent" in found.stdout
    assert "Atlantic/Azores" in found.stdout
    assert listing(tmp_path) == before


def test_an_error_in_the_description_is_named_with_its_line_and_ends_with_1(
    tmp_path: Path,
) -> None:
    folder = single_row(tmp_path / "campaign")
    description = folder / "campaign.yaml"
    text = description.read_text("utf-8").replace("frequency_mhz", "freqency_mhz")
    description.write_text(text, "utf-8")

    found = run("check", folder)

    assert found.returncode == 1
    assert "campaign.yaml:3:" in found.stderr
    assert "frequency_mhz" in found.stderr
    assert "Traceback" not in found.stderr


def test_a_warning_ends_with_1_only_when_strict(tmp_path: Path) -> None:
    folder = write(tmp_path / "campaign", "Empty log", rows=())

    assert run("check", folder).returncode == 0
    assert run("check", folder, "--strict").returncode == 1
    strict = run("build", folder, "--out", tmp_path / "site", "--strict")
    assert strict.returncode == 1
    assert not (tmp_path / "site").exists()


def test_wrong_usage_ends_with_2() -> None:
    assert run("build").returncode == 2
    assert run("no-such-command", ".").returncode == 2


@pytest.mark.parametrize("command", ["build", "check", "preview", "begin"])
def test_help_says_what_a_command_does(command: str) -> None:
    found = run(command, "--help")

    assert found.returncode == 0
    said = {
        "build": "one step",
        "check": "write nothing",
        "preview": "whenever the campaign changes",
        "begin": "never over a file",
    }
    assert said[command] in " ".join(found.stdout.split())


def test_a_folder_that_is_not_ours_is_never_emptied(tmp_path: Path) -> None:
    folder = single_row(tmp_path / "campaign")
    out = tmp_path / "precious"
    out.mkdir()
    (out / "thesis.txt").write_text("years of work", "utf-8")

    found = run("build", folder, "--out", out)

    assert found.returncode == 1
    assert listing(out) == {"thesis.txt": b"years of work"}
    assert "Traceback" not in found.stderr


def test_a_site_is_not_built_into_its_campaign(tmp_path: Path) -> None:
    folder = single_row(tmp_path / "campaign")
    before = listing(folder)

    found = run("build", folder, "--out", folder / "site")

    assert found.returncode == 1
    assert listing(folder) == before


def test_unknown_figures_in_the_conclusions_stop_the_build(tmp_path: Path) -> None:
    folder = single_row(tmp_path / "campaign")
    (folder / "conclusions.md").write_text(
        'Reach:\n{{ figure("campaign.farthest_herd_m") }}\n', "utf-8"
    )

    found = run("build", folder, "--out", tmp_path / "site")

    assert found.returncode == 1
    assert "conclusions.md:2" in found.stderr
    assert "campaign.farthest_heard_m" in found.stderr


def test_begin_never_writes_over_a_file(tmp_path: Path) -> None:
    folder = single_row(tmp_path / "campaign")
    before = listing(folder)

    found = run("begin", folder)

    assert found.returncode == 1
    assert listing(folder) == before


def test_begin_starts_a_folder_of_logs(tmp_path: Path) -> None:
    folder = single_row(tmp_path / "campaign")
    (folder / "campaign.yaml").unlink()

    found = run("begin", folder)

    assert found.returncode == 0, found.stderr
    assert (folder / "campaign.yaml").read_text("utf-8").count("FILL IN") > 0
    schema = json.loads((folder / "campaign.schema.json").read_text("utf-8"))
    assert schema["title"]
    assert (folder / "conclusions.md").is_file()


def interrupted(command: list[str], folder: Path) -> tuple[int, str]:
    """Run a build, interrupt it once its work is under way, and return its end and what it told."""
    # Whoever started the tests in the background may have them ignore interrupts.
    with subprocess.Popen(
        command,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509 - no threads
    ) as started:
        # The building folder beside the target shows that the work is under way.
        deadline = time.monotonic() + 60
        while not list(folder.glob(".site.building")) and time.monotonic() < deadline:
            time.sleep(0.01)
        started.send_signal(signal.SIGINT)
        _, told = started.communicate(timeout=60)
    return started.returncode, told


def test_an_interrupt_ends_with_130_and_leaves_the_old_site(tmp_path: Path) -> None:
    folder = standing_only(tmp_path / "campaign")
    site = tmp_path / "site"
    assert run("build", folder, "--out", site).returncode == 0
    before = listing(tmp_path)
    command = [sys.executable, "-m", "reportgen", "build", str(folder), "--out", str(site)]

    # On a machine under load the build may be over before anybody looks: then once more.
    for _ in range(5):
        code, told = interrupted(command, tmp_path)
        if code != 0:
            break

    assert code == 130, (code, told)
    assert "interrupted" in told
    assert "Traceback" not in told
    assert listing(tmp_path) == before


def test_a_fault_of_our_own_is_told_in_two_lines(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """No input may end in a traceback, not even through a mistake of ours."""

    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("the impossible")

    monkeypatch.setattr("reportgen.cli.described.read_campaign", broken)
    with pytest.raises(SystemExit) as ended:
        main_app(["check", str(single_row(tmp_path / "campaign"))])

    assert ended.value.code == 1
    assert "a fault of reportgen itself: RuntimeError: the impossible" in capsys.readouterr().err
