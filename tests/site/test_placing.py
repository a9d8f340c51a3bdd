from __future__ import annotations

import errno
import json
import sys
from pathlib import Path

import pytest

from reportgen.errors import SiteError
from reportgen.site import placing
from reportgen.site.building_folder import OLD, OWNER, READY, building_folder
from reportgen.site.marker import MARKER
from reportgen.site.placing import checked_target, put_in_place


def built(folder: Path, text: str) -> Path:
    folder.mkdir(parents=True)
    (folder / "index.html").write_text(text, encoding="utf-8")
    return folder


def put(target: Path, text: str) -> list[Path]:
    """Build a site of one page at the target; return where files of others were kept."""
    kept: list[Path] = []
    with building_folder(target, kept=kept.append) as folder:
        put_in_place(built(folder / "site", text), target)
    return kept


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def text_of(site: Path) -> str:
    return (site / "index.html").read_text(encoding="utf-8")


@pytest.fixture(params=["exchange", "two renames"])
def system(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """A system that exchanges folders, and one that can only rename them."""
    if request.param == "two renames":
        monkeypatch.setattr(placing, "exchanged", lambda *_: False)
    elif sys.platform != "linux":
        pytest.skip("only Linux lets two folders change places")
    return str(request.param)


def test_a_site_is_marked_and_moved_to_a_free_place(tmp_path: Path) -> None:
    put(tmp_path / "site", "new")

    assert names(tmp_path) == ["site"]
    assert names(tmp_path / "site") == [MARKER, "index.html"]
    assert json.loads((tmp_path / "site" / MARKER).read_text(encoding="utf-8"))["tool"] == (
        "reportgen"
    )


@pytest.mark.usefixtures("system")
def test_a_site_of_ours_is_replaced_and_its_files_are_gone(tmp_path: Path) -> None:
    """A page that no longer exists must not linger in the new report."""
    old = built(tmp_path / "site", "old")
    (old / "walks").mkdir()
    (old / "walks" / "gone.html").write_text("gone", encoding="utf-8")
    marked(old, "walks/gone.html", "index.html")

    assert put(old, "new") == []

    assert names(tmp_path) == ["site"]
    assert names(old) == [MARKER, "index.html"]
    assert text_of(old) == "new"


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

    put(checked_target(tmp_path / "site"), "new")

    assert names(tmp_path) == ["site"]


def test_somebodys_folder_is_never_touched(tmp_path: Path) -> None:
    """MkDocs empties its output folder without asking: this is what stands before that."""
    (tmp_path / "thesis").mkdir()
    (tmp_path / "thesis" / "chapter.txt").write_text("years of work", encoding="utf-8")

    with pytest.raises(SiteError, match="not empty and was not made by this program"):
        checked_target(tmp_path / "thesis")
    with pytest.raises(SiteError, match="not empty"):
        put(tmp_path / "thesis", "new")

    assert names(tmp_path) == ["thesis"]
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


def test_the_older_site_comes_back_if_the_new_one_cannot_be_moved(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The worst moment to be interrupted: the old site is away, the new one not there yet."""
    old = built(tmp_path / "site", "old")
    marked(old, "index.html")
    rename = Path.rename

    def interrupted(self: Path, target: Path) -> Path:
        if self.name == READY:
            raise KeyboardInterrupt
        return rename(self, target)

    monkeypatch.setattr(placing, "exchanged", lambda *_: False)
    monkeypatch.setattr(Path, "rename", interrupted)
    with pytest.raises(KeyboardInterrupt):
        put(old, "new")

    assert text_of(old) == "old"
    assert names(tmp_path) == ["site"]


def test_an_older_site_that_a_killed_build_had_taken_away_comes_back(tmp_path: Path) -> None:
    """Killed between the two renames: the next build puts it back before anything else."""
    left = tmp_path / ".site.building"
    for name, text in ((OLD, "old"), (READY, "new")):
        marked(built(left / name, text), "index.html")
    (left / OWNER).touch()

    with pytest.raises(KeyboardInterrupt), building_folder(tmp_path / "site"):
        raise KeyboardInterrupt

    assert text_of(tmp_path / "site") == "old"
    assert names(tmp_path) == ["site"]


def test_what_a_killed_build_left_is_cleared_by_the_next(tmp_path: Path) -> None:
    left = tmp_path / ".site.building"
    built(left / "site" / "walks", "half")
    built(left / "docs", "half")
    (left / OWNER).touch()

    put(tmp_path / "site", "new")

    assert names(tmp_path) == ["site"]


def test_an_empty_building_folder_is_taken_for_one_of_a_build_killed_at_once(
    tmp_path: Path,
) -> None:
    (tmp_path / ".site.building").mkdir()

    put(tmp_path / "site", "new")

    assert names(tmp_path) == ["site"]


def test_somebodys_folder_of_that_name_is_never_touched(tmp_path: Path) -> None:
    (tmp_path / ".site.building").mkdir()
    (tmp_path / ".site.building" / "plans.txt").write_text("mine", encoding="utf-8")

    with pytest.raises(SiteError, match=r"\.site\.building was not made by this program"):
        put(tmp_path / "site", "new")

    assert names(tmp_path) == [".site.building"]
    assert names(tmp_path / ".site.building") == ["plans.txt"]


def test_a_link_of_that_name_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / ".site.building").symlink_to(tmp_path / "mine", target_is_directory=True)

    with pytest.raises(SiteError, match="was not made by this program"):
        put(tmp_path / "site", "new")

    assert names(tmp_path) == [".site.building", "mine"]


def test_a_second_build_of_a_site_is_told_of_the_first_and_takes_nothing_from_it(
    tmp_path: Path,
) -> None:
    with building_folder(tmp_path / "site") as folder:
        built(folder / "site", "first")
        with pytest.raises(SiteError, match="another build of this site is under way"):
            put(tmp_path / "site", "second")
        put_in_place(folder / "site", tmp_path / "site")

    assert text_of(tmp_path / "site") == "first"
    assert names(tmp_path) == ["site"]


def test_without_locks_a_folder_that_may_be_in_use_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Some file systems of networks know no locks; a living build can't be told there."""
    fcntl = pytest.importorskip("fcntl", reason="another way of locking")

    def unknown(*_: object) -> None:
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(fcntl, "flock", unknown)
    put(tmp_path / "site", "first")
    (tmp_path / ".site.building").mkdir()
    (tmp_path / ".site.building" / OWNER).touch()

    with pytest.raises(SiteError, match="if none is, delete that folder"):
        put(tmp_path / "site", "second")

    assert text_of(tmp_path / "site") == "first"


@pytest.mark.usefixtures("system")
def test_what_somebody_puts_into_a_site_at_the_last_moment_is_kept_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between the last look and the change there is a moment; a file saved in it survives."""
    put(tmp_path / "site", "old")
    site = tmp_path / "site"
    (tmp_path / "site.kept-1").mkdir()
    check = placing.checked_target

    def looked_at(target: Path) -> Path:
        place = check(target)
        (site / "notes").mkdir()
        (site / "notes" / "mine.txt").write_text("mine", encoding="utf-8")
        return place

    monkeypatch.setattr(placing, "checked_target", looked_at)
    kept = put(site, "new")

    assert kept == [tmp_path / "site.kept-2"]
    assert names(tmp_path) == ["site", "site.kept-1", "site.kept-2"]
    assert names(kept[0]) == ["notes"]
    assert (kept[0] / "notes" / "mine.txt").read_text(encoding="utf-8") == "mine"
    assert text_of(site) == "new"


def test_a_folder_that_somebody_made_in_a_site_keeps_it_too(tmp_path: Path) -> None:
    put(tmp_path / "site", "old")
    (tmp_path / "site" / "empty").mkdir()

    with pytest.raises(SiteError, match="empty/"):
        checked_target(tmp_path / "site")


def test_a_link_in_a_site_is_somebody_elses_and_never_followed(tmp_path: Path) -> None:
    put(tmp_path / "site", "old")
    built(tmp_path / "thesis", "years of work")
    (tmp_path / "site" / "thesis").symlink_to(tmp_path / "thesis", target_is_directory=True)

    with pytest.raises(SiteError, match="thesis"):
        checked_target(tmp_path / "site")

    assert text_of(tmp_path / "thesis") == "years of work"


def test_a_list_that_names_files_elsewhere_deletes_none_of_them(tmp_path: Path) -> None:
    """The list is a file like any other: somebody may have written it."""
    site = built(tmp_path / "site", "old")
    built(tmp_path / "thesis", "years of work")
    marked(site, "index.html", "../thesis/index.html", str(tmp_path / "thesis" / "index.html"))

    put(site, "new")

    assert text_of(tmp_path / "thesis") == "years of work"
    assert text_of(site) == "new"


@pytest.mark.usefixtures("system")
def test_behind_a_link_the_folder_is_replaced_and_the_link_stays(tmp_path: Path) -> None:
    (tmp_path / "disk").mkdir()
    put(tmp_path / "disk" / "report", "old")
    (tmp_path / "site").symlink_to(tmp_path / "disk" / "report", target_is_directory=True)

    put(checked_target(tmp_path / "site"), "new")

    assert (tmp_path / "site").is_symlink()
    assert text_of(tmp_path / "site") == "new"
    assert names(tmp_path / "disk") == ["report"]


def test_a_name_as_long_as_names_can_be_is_no_hindrance(tmp_path: Path) -> None:
    target = tmp_path / ("s" * 255)
    with building_folder(target) as folder:
        assert len(folder.name) < 60
        put_in_place(built(folder / "site", "new"), target)

    assert names(tmp_path) == ["s" * 255]


def test_the_building_folder_is_hidden_beside_the_target_and_gone_afterwards(
    tmp_path: Path,
) -> None:
    with building_folder(tmp_path / "site") as folder:
        assert folder == tmp_path / ".site.building"
        built(folder / "site", "half")

    assert names(tmp_path) == []


def test_an_interrupted_build_leaves_no_folder_behind(tmp_path: Path) -> None:
    """Neither the building folder, nor the folders made above it."""
    with pytest.raises(KeyboardInterrupt), building_folder(tmp_path / "a" / "b" / "site"):
        raise KeyboardInterrupt

    assert names(tmp_path) == []


def test_folders_above_the_target_are_made_and_kept_if_all_goes_well(tmp_path: Path) -> None:
    put(tmp_path / "a" / "site", "new")

    assert names(tmp_path / "a") == ["site"]
