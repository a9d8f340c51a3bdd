"""What `check` and `build` say of a place of which the author says nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.cli.building import build_report
from reportgen.cli.checking import check_campaign
from reportgen.cli.place_told import unstated_place
from reportgen.cli.reports import CheckReport
from reportgen.read.folder import read_campaign
from tests.campaigns.made import LINE, publish, row, track, write

SAID = "Nothing is said of publish.place"


def campaign(folder: Path, stated: str) -> Path:
    rows = tuple(row(9 * n, n, 40 * n) for n in range(1, 12))
    write(folder, "Told", rows=rows, gpx=track(*LINE))
    publish(folder, stated)
    return folder


def checked(folder: Path, stated: str) -> CheckReport:
    return check_campaign(campaign(folder, stated), lambda _: None)


@pytest.mark.parametrize(("stated", "is_told"), [("units: metric", True), ("place: moved", False)])
def test_an_unstated_place_is_spoken_of_and_a_stated_one_is_not(
    tmp_path: Path, stated: str, is_told: bool
) -> None:
    """A tool that moves everything in silence would surprise whoever wanted a map."""
    folder = campaign(tmp_path / "c", stated)
    report = build_report(folder, tmp_path / "site", lambda _: None, strict=False)
    text = "\n".join(check_campaign(folder, lambda _: None).lines)

    assert report.remark == unstated_place(read_campaign(folder))
    assert (SAID in report.remark, SAID in text) == (is_told, is_told)
    assert ("place: exact" in report.remark) is is_told


@pytest.mark.parametrize("place", ["exact", "moved", "coarse"])
def test_check_says_what_the_site_tells_and_what_attacks_make_of_it(
    tmp_path: Path, place: str
) -> None:
    """Metres where there are any, and in words that there is nothing to work from where not."""
    lines = checked(tmp_path / "c", f"place: {place}").lines
    text = "\n".join(lines[lines.index(f"Place of Pier (publish.place: {place})") :])

    assert ("11 of receptions" in text) is (place != "coarse")
    assert ("by distances: found" in text) is (place != "coarse")
    assert ("by levels alone: no estimate" in text) is (place == "coarse")


def test_a_station_without_a_place_has_none_to_find(tmp_path: Path) -> None:
    folder = campaign(tmp_path / "c", "place: exact")
    path = folder / "campaign.yaml"
    lines = [line for line in path.read_text("utf-8").splitlines() if "    position:" not in line]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")

    assert any("none to find" in line for line in check_campaign(folder, lambda _: None).lines)
