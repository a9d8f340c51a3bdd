"""A second build takes from the first what cannot have changed, and nothing else."""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from reportgen.cli import campaign_state as state_of_folder
from reportgen.cli import chain, kept
from reportgen.cli.building import build_report
from reportgen.cli.campaign_state import campaign_state
from reportgen.cli.made import Made, packed, unpacked
from reportgen.errors import CampaignError
from reportgen.pages.shipped import shipped_folder
from tests.campaigns.made import row, track, write

RATIO = '{{ figure("walk.loop.station.pier.delivery_ratio") }}'
TEXT = f"Heard: {RATIO} of the frames.\n"


@pytest.fixture
def made_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Keep things in a folder of the test's own, and count how often a site is made from all."""
    counted: list[int] = []
    whole = chain.made_content

    def made(*arguments: object) -> Made:
        counted.append(1)
        return whole(*arguments)  # type: ignore[arg-type]

    monkeypatch.setenv(kept.FOLDER, str(tmp_path / "kept"))
    monkeypatch.setattr(chain, "made_content", made)
    return counted


def campaign(tmp_path: Path) -> Path:
    rows = tuple(row(10 * n, n, 13.0 * n) for n in range(40) if n % 5)
    folder = write(tmp_path / "c", "Kept", rows=rows, gpx=track((0.0, 0.0), (400.0, 520.0)))
    (folder / "conclusions.md").write_text(TEXT, encoding="utf-8")
    return folder


def built(folder: Path, site: Path) -> dict[str, bytes]:
    build_report(folder, site, lambda _: None, strict=False)
    return {
        path.relative_to(site).as_posix(): path.read_bytes()
        for path in site.rglob("*")
        if path.is_file()
    }


def test_a_sentence_is_mended_without_making_the_rest_and_the_site_is_the_same(
    tmp_path: Path, made_anew: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The text calls a figure, and its checksum stands on the page of data and in a download."""
    folder = campaign(tmp_path)
    built(folder, tmp_path / "site")
    (folder / "conclusions.md").write_text(f"{TEXT}\nAnd {RATIO} once more.\n", encoding="utf-8")
    quick = built(folder, tmp_path / "site")
    assert len(made_anew) == 1

    monkeypatch.setenv(kept.FOLDER, "")
    assert built(folder, tmp_path / "anew") == quick
    assert b"once more" in quick["conclusions.html"]
    assert b"once more" in quick["summary.html"]


def test_an_error_in_the_text_is_found_all_the_same(tmp_path: Path, made_anew: list[int]) -> None:
    folder = campaign(tmp_path)
    built(folder, tmp_path / "site")
    (folder / "conclusions.md").write_text('{{ figure("no.such") }}', encoding="utf-8")

    with pytest.raises(CampaignError, match=r"no\.such"):
        built(folder, tmp_path / "site")
    assert len(made_anew) == 1


def _edit(name: str, old: str, new: str) -> Callable[[Path], None]:
    def edit(folder: Path) -> None:
        text = (folder / name).read_text(encoding="utf-8")
        assert old in text
        (folder / name).write_text(text.replace(old, new, 1), encoding="utf-8")

    return edit


@pytest.mark.parametrize(
    "change",
    [
        _edit("campaign.yaml", "Kept", "Kept again"),
        _edit("log.csv", ",-95,", ",-94,"),
        lambda folder: (folder / "walk.gpx").rename(folder / "walk2.gpx"),
        lambda folder: (folder / "stray.csv").write_bytes(b"x"),
        lambda folder: (folder / "conclusions.md").write_bytes(b"  \n"),
        lambda folder: (folder / "stray.csv").symlink_to(folder / "log.csv"),
    ],
    ids=["description", "log", "renamed", "added", "text emptied", "link"],
)
def test_whatever_else_changes_everything_is_made_anew(
    tmp_path: Path, made_anew: list[int], change: Callable[[Path], None]
) -> None:
    folder = campaign(tmp_path)
    built(folder, tmp_path / "site")
    change(folder)
    with contextlib.suppress(CampaignError):
        built(folder, tmp_path / "site")

    assert len(made_anew) == 2


def test_another_look_makes_another_site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Who restyles the templates builds to see it."""
    folder, look = campaign(tmp_path), tmp_path / "look"
    shutil.copytree(shipped_folder("site_template"), look)
    monkeypatch.setattr(state_of_folder, "shipped_folder", lambda _: look)
    before = campaign_state(folder)
    (look / "assets" / "report.css").write_bytes(b"body { color: red }")

    assert before is not None
    assert campaign_state(folder) != before


def test_a_large_file_goes_by_what_its_disk_says_of_it(tmp_path: Path) -> None:
    """Two hundred photos are not read to learn that none of them changed."""
    folder = campaign(tmp_path)
    (folder / "large.bin").write_bytes(b"a" * 70_000)
    before = campaign_state(folder)
    (folder / "large.bin").write_bytes(b"b" * 70_000)

    assert before is not None
    assert campaign_state(folder) != before


@pytest.mark.parametrize(
    "line", ["conclusions: >-\n  other.md\n", "conclusions: ../c.md\n", '"conclusions": a.md\n']
)
def test_a_text_named_in_an_unusual_way_is_read_by_those_who_know(
    tmp_path: Path, line: str
) -> None:
    folder = campaign(tmp_path)
    with (folder / "campaign.yaml").open("a", encoding="utf-8") as description:
        description.write(line)

    assert campaign_state(folder) is None


def test_a_made_site_comes_back_from_bytes_as_it_was(tmp_path: Path) -> None:
    made = chain.made_content(campaign(tmp_path), kept.Kept(None), lambda _: None)

    again = unpacked(b"".join(packed(made)))
    assert again.content == made.content
    assert again.problems == made.problems
    assert list(again.needs.figures) == list(made.needs.figures)
    assert again.needs.photo_keys == made.needs.photo_keys
