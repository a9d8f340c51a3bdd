from __future__ import annotations

import json
from pathlib import Path

import pytest

from reportgen.errors import SiteError
from reportgen.site.placing import MARKER, building_folder, checked_target, put_in_place


def built(folder: Path, text: str) -> Path:
    folder.mkdir(parents=True)
    (folder / "index.html").write_text(text, encoding="utf-8")
    return folder


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_site_is_marked_and_moved_to_a_free_place(tmp_path: Path) -> None:
    put_in_place(built(tmp_path / "new", "new"), tmp_path / "site")

    assert names(tmp_path) == ["site"]
    assert names(tmp_path / "site") == [MARKER, "index.html"]
    assert json.loads((tmp_path / "site" / MARKER).read_text(encoding="utf-8"))["tool"] == (
        "reportgen"
    )


def test_a_site_of_ours_is_replaced_and_its_files_are_gone(tmp_path: Path) -> None:
    """A page that no longer exists must not linger in the new report."""
    old = built(tmp_path / "site", "old")
    (old / "gone.html").write_text("gone", encoding="utf-8")
    marked(old, "gone.html", "index.html")

    put_in_place(built(tmp_path / "new", "new"), old)

    assert names(tmp_path) == ["site"]
    assert names(old) == [MARKER, "index.html"]
    assert (old / "index.html").read_text(encoding="utf-8") == "new"


def marked(folder: Path, *files: str) -> None:
    (folder / MARKER).write_text(json.dumps({"files": files}), encoding="utf-8")


@pytest.mark.parametrize("marker", ['{"files": ["index.html"]}', "{}", "not JSON", "[]"])
def test_a_file_that_somebody_put_into_a_site_keeps_it_from_being_replaced(
    tmp_path: Path, marker: str
) -> None:
    """A report's folder is a place where people leave things; none may vanish."""
    site = built(tmp_path / "site", "old")
    (site / MARKER).write_text(marker, encoding="utf-8")
    (site / "notes.txt").write_text("mine", encoding="utf-8")

    with pytest.raises(SiteError, match=r"notes\.txt"):
        checked_target(site)

    assert (site / "notes.txt").read_text(encoding="utf-8") == "mine"


def test_an_empty_folder_is_as_good_as_none(tmp_path: Path) -> None:
    (tmp_path / "site").mkdir()

    put_in_place(built(tmp_path / "new", "new"), checked_target(tmp_path / "site"))

    assert names(tmp_path) == ["site"]


def test_somebodys_folder_is_never_touched(tmp_path: Path) -> None:
    """MkDocs empties its output folder without asking: this is what stands before that."""
    (tmp_path / "thesis").mkdir()
    (tmp_path / "thesis" / "chapter.txt").write_text("years of work", encoding="utf-8")

    with pytest.raises(SiteError, match="not empty and was not made by this program"):
        checked_target(tmp_path / "thesis")
    with pytest.raises(SiteError, match="not empty"):
        put_in_place(built(tmp_path / "new", "new"), tmp_path / "thesis")

    assert names(tmp_path / "thesis") == ["chapter.txt"]


def test_a_file_is_no_place_for_a_site(tmp_path: Path) -> None:
    (tmp_path / "site").write_text("a file", encoding="utf-8")

    with pytest.raises(SiteError, match="is a file"):
        checked_target(tmp_path / "site")


@pytest.mark.parametrize("place", [".", "site", "photos/site"])
def test_a_site_may_not_lie_in_the_campaign_folder(tmp_path: Path, place: str) -> None:
    """The next build would read its own output as photos and logs."""
    campaign = tmp_path / "campaign"
    campaign.mkdir()

    with pytest.raises(SiteError, match="lies in the campaign folder"):
        checked_target(campaign / place, forbidden_inside=campaign)


def test_a_site_may_not_lie_around_the_campaign_folder(tmp_path: Path) -> None:
    campaign = tmp_path / "all" / "campaign"
    campaign.mkdir(parents=True)
    (tmp_path / "all" / MARKER).write_text("{}", encoding="utf-8")

    with pytest.raises(SiteError, match="holds the campaign folder"):
        checked_target(tmp_path / "all", forbidden_inside=campaign)


def test_a_link_into_the_campaign_folder_is_seen_through(tmp_path: Path) -> None:
    campaign = tmp_path / "campaign"
    campaign.mkdir()
    (tmp_path / "elsewhere").symlink_to(campaign, target_is_directory=True)

    with pytest.raises(SiteError, match="lies in the campaign folder"):
        checked_target(tmp_path / "elsewhere" / "site", forbidden_inside=campaign)


def test_a_folder_beside_the_campaign_with_a_like_name_is_allowed(tmp_path: Path) -> None:
    campaign = tmp_path / "campaign"
    campaign.mkdir()

    target = checked_target(tmp_path / "campaign-site", forbidden_inside=campaign)

    assert target == (tmp_path / "campaign-site").resolve()


def test_the_old_site_comes_back_if_the_new_one_cannot_be_moved(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The worst moment to be interrupted: the old site is away, the new one not there yet."""
    old = built(tmp_path / "site", "old")
    marked(old, "index.html")
    new = built(tmp_path / "new", "new")
    rename = Path.rename

    def interrupted(self: Path, target: Path) -> Path:
        if self == new:
            raise KeyboardInterrupt
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", interrupted)
    with pytest.raises(KeyboardInterrupt):
        put_in_place(new, old)

    assert (old / "index.html").read_text(encoding="utf-8") == "old"
    assert names(tmp_path) == ["new", "site"]


def test_the_building_folder_is_hidden_beside_the_target_and_gone_afterwards(
    tmp_path: Path,
) -> None:
    with building_folder(tmp_path / "site") as folder:
        assert folder.parent == tmp_path
        assert folder.name.startswith(".site.building-")
        (folder / "half").write_text("half", encoding="utf-8")

    assert names(tmp_path) == []


def test_an_interrupted_build_leaves_no_folder_behind(tmp_path: Path) -> None:
    """Neither the building folder, nor the folders made above it."""
    with pytest.raises(KeyboardInterrupt), building_folder(tmp_path / "a" / "b" / "site"):
        raise KeyboardInterrupt

    assert names(tmp_path) == []


def test_folders_above_the_target_are_made_and_kept_if_all_goes_well(tmp_path: Path) -> None:
    with building_folder(tmp_path / "a" / "site") as folder:
        put_in_place(built(folder / "site", "new"), tmp_path / "a" / "site")

    assert names(tmp_path / "a") == ["site"]
