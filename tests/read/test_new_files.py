from __future__ import annotations

import errno
from collections.abc import Iterator
from pathlib import Path

import pytest

from reportgen.errors import CampaignError
from reportgen.read.new_files import write_new_files
from reportgen.read.starter import copy_campaign, write_starter


def everything(folder: Path) -> dict[str, bytes | None]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() if path.is_file() else None
        for path in folder.rglob("*")
    }


def test_folders_on_the_way_are_made(tmp_path: Path) -> None:
    written = write_new_files(tmp_path / "a" / "b", [("c/d.txt", b"d"), ("e.txt", b"e")])

    assert written == (tmp_path / "a/b/c/d.txt", tmp_path / "a/b/e.txt")
    assert (tmp_path / "a" / "b" / "c" / "d.txt").read_bytes() == b"d"


def test_a_file_that_came_to_be_in_the_meantime_is_kept_and_nothing_else_is(
    tmp_path: Path,
) -> None:
    """Between a look and the writing somebody saves a file: theirs is the one that stays."""

    def files() -> Iterator[tuple[str, bytes]]:
        yield "first.txt", b"ours"
        (tmp_path / "second.txt").write_bytes(b"theirs")
        yield "second.txt", b"ours"

    with pytest.raises(FileExistsError):
        write_new_files(tmp_path, files())

    assert everything(tmp_path) == {"second.txt": b"theirs"}


def test_a_link_that_leads_nowhere_is_not_written_through(tmp_path: Path) -> None:
    (tmp_path / "there.txt").symlink_to(tmp_path / "elsewhere.txt")

    with pytest.raises(FileExistsError):
        write_new_files(tmp_path, [("there.txt", b"ours")])

    assert not (tmp_path / "elsewhere.txt").exists()


def test_whoever_is_stopped_on_the_way_leaves_no_half_campaign(tmp_path: Path) -> None:
    def files() -> Iterator[tuple[str, bytes]]:
        yield "sub/first.txt", b"ours"
        (tmp_path / "new" / "mine.txt").write_bytes(b"theirs")
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_new_files(tmp_path / "new", files())

    assert everything(tmp_path) == {"new": None, "new/mine.txt": b"theirs"}


def test_a_full_disk_is_told_and_leaves_no_starter(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The third file does not fit any more."""
    opened, real = [], Path.open

    def full(self: Path, mode: str = "r", *arguments: object, **more: object) -> object:
        if mode == "xb":
            opened.append(self)
            if len(opened) == 3:
                raise OSError(errno.ENOSPC, "No space left on device", str(self))
        return real(self, mode, *arguments, **more)  # type: ignore[call-overload]

    monkeypatch.setattr(Path, "open", full)
    with pytest.raises(CampaignError, match="No space left on device"):
        write_starter(tmp_path / "new")

    assert len(opened) == 3
    assert everything(tmp_path) == {}


def test_a_copy_of_a_campaign_never_goes_into_a_folder_with_files(tmp_path: Path) -> None:
    (tmp_path / "example").mkdir()
    (tmp_path / "example" / "campaign.yaml").write_bytes(b"title: Example")
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "campaign.yaml").write_bytes(b"title: Mine")

    with pytest.raises(CampaignError, match="a folder with files in it"):
        copy_campaign(tmp_path / "example", tmp_path / "mine")
    written = copy_campaign(tmp_path / "example", tmp_path / "copy")

    assert (tmp_path / "mine" / "campaign.yaml").read_bytes() == b"title: Mine"
    assert [path.read_bytes() for path in written] == [b"title: Example"]
