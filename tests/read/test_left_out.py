"""Files that the author leaves out are not opened, not published, and still counted."""

from __future__ import annotations

from pathlib import Path

from reportgen.match.join import join
from reportgen.read.folder import read_campaign
from tests.campaigns.made import LINE, publish, row, track, write
from tests.read.made_photos import photo


def folder_of(tmp_path: Path, stated: str) -> Path:
    rows = tuple(row(10 * n, n, 13.0 * n) for n in range(20))
    folder = write(tmp_path / "campaign", "Left out", rows=rows, gpx=track(*LINE))
    (folder / "photos").mkdir()
    for name in ("a.jpg", "b.jpg", "c.jpg"):
        photo(folder / "photos", name=name)
    with (folder / "campaign.yaml").open("a", encoding="utf-8") as description:
        description.write("photos: {files: {c.jpg: {exclude: true}}}\n")
    publish(folder, stated)
    return folder


def test_logs_tracks_and_photos_are_left_out_and_counted(tmp_path: Path) -> None:
    folder = folder_of(tmp_path, "leave_out: [./walk.gpx, photos/a.jpg, b.jpg]")
    (folder / "walk.gpx").write_bytes(b"not a track at all")

    campaign = read_campaign(folder)

    assert campaign.track_points.empty
    assert campaign.photos == ()
    assert [path for path, _ in campaign.input_checksums] == ["campaign.yaml", "log.csv"]
    counted = {
        account.path: (account.read, account.used, account.set_aside_count, account.fault_count)
        for account in campaign.accounts
    }
    assert counted == {
        "log.csv": (20, 20, 0, 0),
        "walk.gpx": (1, 0, 1, 0),
        "photos/a.jpg": (1, 0, 1, 0),
        "photos/b.jpg": (1, 0, 1, 0),
        "photos/c.jpg": (1, 0, 1, 0),
    }
    assert not {"folder/unused-file", "publish/no-such-file"} & {p.code for p in campaign.problems}


def test_a_log_left_out_is_matched_nowhere(tmp_path: Path) -> None:
    joined = join(read_campaign(folder_of(tmp_path, "leave_out: [log.csv]")))

    assert joined.frames.empty
    assert joined.receptions.empty


def test_a_name_that_stands_for_nothing_is_said(tmp_path: Path) -> None:
    """Misspelt, the file would be published while its author thinks it is not."""
    campaign = read_campaign(folder_of(tmp_path, "leave_out: [logs.csv]"))

    problem = next(p for p in campaign.problems if p.code == "publish/no-such-file")
    assert "logs.csv" in problem.found
    assert str(problem.where).startswith("campaign.yaml:4:")
