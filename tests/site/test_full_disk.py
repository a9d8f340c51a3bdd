"""A real file system that is full, read-only, or mounted at the place of the site."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NoReturn

import pytest

from reportgen.errors import SiteError
from reportgen.site.placing import checked_target
from tests.campaigns.made import single_row
from tests.conftest import IN_CI, ROOT

pytestmark = pytest.mark.slow

SIZE = 48 << 20
MEGABYTE = 1 << 20


def _go_without(reason: str) -> NoReturn:
    if IN_CI:
        pytest.fail(f"{reason}: in CI it must be possible")
    pytest.skip(reason)


def mount(*arguments: str) -> None:
    try:
        subprocess.run(["mount", *arguments], check=True, capture_output=True, timeout=30)
    except (OSError, subprocess.SubprocessError) as error:
        _go_without(f"a small file system can't be mounted ({error})")


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of its own, in memory."""
    if sys.platform != "linux":
        pytest.skip("mounting a small file system is done on Linux only")
    place = tmp_path / "disk"
    place.mkdir()
    mount("-t", "tmpfs", "-o", f"size={SIZE}", "tmpfs", str(place))
    try:
        yield place
    finally:
        subprocess.run(["umount", "-l", str(place)], check=True, timeout=30)


def run(*arguments: str | Path, temp: Path) -> subprocess.CompletedProcess[str]:
    """Run the command line with its temporary files on the disk, too."""
    return subprocess.run(
        [sys.executable, "-m", "reportgen", *map(str, arguments)],
        cwd=ROOT,
        env={**os.environ, "TMPDIR": str(temp), "REPORTGEN_KEPT": ""},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        timeout=180,
    )


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != "ballast"
    }


def leave(disk: Path, free_bytes: int) -> None:
    """Fill the disk but for so much."""
    ballast = disk / "ballast"
    ballast.unlink(missing_ok=True)
    state = os.statvfs(disk)
    with ballast.open("wb") as stream:
        os.posix_fallocate(stream.fileno(), 0, state.f_bavail * state.f_frsize - free_bytes)


def test_a_full_disk_ends_with_1_and_the_old_site_is_whole(disk: Path, tmp_path: Path) -> None:
    """Full from the beginning, while the pages are written, while the site is built."""
    folder = single_row(tmp_path / "campaign")
    site = disk / "site"
    assert run("build", folder, "--out", site, temp=disk).returncode == 0
    before = contents(disk)
    size = sum(map(len, before.values()))

    for free_bytes in (4096, MEGABYTE // 4, size // 2, size + MEGABYTE // 4):
        leave(disk, free_bytes)
        found = run("build", folder, "--out", site, temp=disk)

        assert found.returncode == 1, (free_bytes, found.stderr)
        assert "No space left on device" in found.stderr
        assert "check that there is room" in found.stderr
        assert "Traceback" not in found.stderr
        assert contents(disk) == before
        assert sorted(path.name for path in disk.iterdir()) == ["ballast", "site"]

    (disk / "ballast").unlink()
    assert run("build", folder, "--out", site, temp=disk).returncode == 0
    assert contents(disk) == before


def test_a_folder_begun_on_a_full_disk_is_left_as_it_was(disk: Path) -> None:
    (disk / "walk").mkdir()
    leave(disk, 16384)

    for place, option in ((disk / "walk", ()), (disk / "copy", ("--from-example",))):
        found = run("begin", place, *option, temp=disk)

        assert found.returncode == 1, found.stderr
        assert "No space left on device" in found.stderr
        assert sorted(path.name for path in disk.rglob("*")) == ["ballast", "walk"]


def test_a_read_only_disk_is_named_and_left(disk: Path, tmp_path: Path) -> None:
    folder = single_row(disk / "campaign")
    mount("-o", "remount,ro", str(disk))

    refused = run("build", folder, "--out", disk / "site", temp=tmp_path)
    built = run("build", folder, "--out", tmp_path / "site", temp=tmp_path)

    assert refused.returncode == 1
    assert "Read-only file system" in refused.stderr
    assert str(disk / ".site.building") in refused.stderr
    assert built.returncode == 0, built.stderr
    assert sorted(path.name for path in disk.iterdir()) == ["campaign"]


def test_a_site_is_not_put_where_a_disk_is_mounted(disk: Path) -> None:
    """It could not be renamed; in the folder of the disk it can."""
    with pytest.raises(SiteError, match=r"file system is mounted.*name a folder inside it"):
        checked_target(disk)

    assert checked_target(disk / "site") == disk / "site"
