"""What is kept between builds is found again whole, or counts as not there."""

from __future__ import annotations

import math
import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from reportgen.cli import kept as module
from reportgen.cli.kept import ENDING, Kept, kept_folder, key_of
from reportgen.cli.kept_pictures import packed, unpacked
from reportgen.model.photo import Picture


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """Something costly."""

    value: float
    reaches: tuple[float, ...]
    reason: str


def test_what_is_put_is_got_and_nothing_else(tmp_path: Path) -> None:
    kept = Kept(tmp_path / "kept")
    kept.put("a", b"o", b"", b"ne")

    assert kept.get("a") == b"one"
    assert kept.get("b") is None
    assert Kept(None).get("a") is None


@pytest.mark.parametrize("damage", [b"", b"short", b"x" * 40])
def test_a_damaged_file_counts_as_not_there(tmp_path: Path, damage: bytes) -> None:
    kept = Kept(tmp_path)
    kept.put("a", b"one")
    (tmp_path / f"a{ENDING}").write_bytes(damage)

    assert kept.get("a") is None


def test_a_folder_that_can_t_be_written_costs_time_and_nothing_else(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_bytes(b"mine")
    kept = Kept(blocked)
    kept.put("a", b"one")
    kept.prune()

    assert kept.get("a") is None
    assert blocked.read_bytes() == b"mine"


def test_builds_at_once_never_see_half_of_a_file(tmp_path: Path) -> None:
    kept = Kept(tmp_path)
    contents = [bytes([number]) * 200_000 for number in range(8)]

    def put_and_get(content: bytes) -> bytes | None:
        kept.put("a", content)
        return kept.get("a")

    with ThreadPoolExecutor(8) as pool:
        seen = list(pool.map(put_and_get, contents * 5))

    assert all(content in contents for content in seen)
    assert [path.name for path in tmp_path.iterdir()] == [f"a{ENDING}"]


def test_what_was_not_used_for_longest_goes_first_and_strangers_stay(tmp_path: Path) -> None:
    kept = Kept(tmp_path)
    (tmp_path / "notes.txt").write_bytes(b"x" * 1000)
    for number, name in enumerate(("old", "middle", "new")):
        kept.put(name, b"x" * 100)
        os.utime(tmp_path / f"{name}{ENDING}", (1000 + number, 1000 + number))
    kept.get("old")

    kept.prune(most_bytes=300)

    assert sorted(path.stem for path in tmp_path.iterdir()) == ["new", "notes", "old"]


def test_costly_work_is_done_once_for_the_same_arguments(tmp_path: Path) -> None:
    """Not a number must come back as it was: a fit without an interval has some."""
    kept, done = Kept(tmp_path), []

    def work() -> Fit:
        done.append(1)
        return Fit(value=math.nan, reaches=(1.5, math.inf), reason="too few")

    first = kept.memo(Fit, {"x": np.array([1.0, np.nan])}, work)
    again = kept.memo(Fit, {"x": np.array([1.0, np.nan])}, work)
    assert len(done) == 1
    assert (again.reaches, again.reason) == (first.reaches, first.reason)
    assert math.isnan(again.value)

    kept.memo(Fit, {"x": np.array([1.0, 2.0])}, work)
    kept.memo(Fit, {"y": np.array([1.0, np.nan])}, work)
    assert len(done) == 3


def test_another_program_finds_nothing_of_this_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """A formula that was mended must not be answered by its predecessor."""
    here = key_of(("a", 1))
    monkeypatch.setattr(module, "fingerprint", lambda: "another")

    assert key_of(("a", 1)) != here


def test_parts_of_a_key_do_not_run_into_one_another() -> None:
    keys = {
        key_of(parts)
        for parts in (("ab", "c"), ("a", "bc"), (b"ab", "c"), (np.arange(3),), (np.arange(3.0),))
    }

    assert len(keys) == 5


def test_pictures_come_back_as_they_were() -> None:
    pictures = tuple(
        Picture(name=f"p-{n}.jpg", width_px=n, height_px=2 * n, content=b"\n\0" * n) for n in (1, 5)
    )

    assert unpacked(packed(pictures)) == pictures
    assert unpacked(None) == ()


@pytest.mark.parametrize(
    ("surroundings", "expected"),
    [
        ({"REPORTGEN_KEPT": "/x"}, Path("/x")),
        ({"REPORTGEN_KEPT": ""}, None),
        ({"XDG_CACHE_HOME": "/c"}, Path("/c/reportgen")),
        ({"XDG_CACHE_HOME": "here", "HOME": "/h"}, Path("/h/.cache/reportgen")),
    ],
)
def test_where_things_are_kept(
    monkeypatch: pytest.MonkeyPatch, surroundings: dict[str, str], expected: Path | None
) -> None:
    """XDG Base Directory Specification 0.8: a relative path is not valid and is ignored."""
    for name in ("REPORTGEN_KEPT", "XDG_CACHE_HOME"):
        monkeypatch.delenv(name, raising=False)
    for name, value in surroundings.items():
        monkeypatch.setenv(name, value)

    assert kept_folder() == expected
