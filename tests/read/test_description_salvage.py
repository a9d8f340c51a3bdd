"""Faults of the description do not hide those of the files that it names."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.errors import CampaignError
from reportgen.read.description import read_usable_description
from reportgen.read.folder import read_campaign
from tests.read.description_text import DESCRIPTION, LOG, described


def refusal(folder: Path) -> dict[str, str]:
    with pytest.raises(CampaignError) as caught:
        read_campaign(folder)
    return {problem.code: str(problem.where) for problem in caught.value.problems}


def test_description_files_rows_and_photos_are_told_of_in_one_run(tmp_path: Path) -> None:
    """Somebody who mends one fault a run, and there are five, gives up."""
    folder = described(
        tmp_path,
        radio="radio: {freqency_mhz: 868.1, spreading_factors: [7]}",
        own="    own: perhaps",
        walks="photos: {files: {gone.jpg: {caption: x}}, folder: pictures}\nwalks:",
        logs="    logs: [ridge.csv, gone.csv]\n    tracks: [bad.gpx]",
    )
    (folder / "ridge.csv").write_text(LOG + "never,n-1,gw-1,-82\n", encoding="utf-8")
    (folder / "bad.gpx").write_text("<gpx><trk>", encoding="utf-8")

    assert refusal(folder) == {
        "description/unknown-key": "campaign.yaml:3:9",
        "description/value": "campaign.yaml:7:10",
        "log/no-time": "ridge.csv:4",
        "path/missing": "campaign.yaml:20:23",
        "gpx/not-well-formed": "bad.gpx:1",
        "photo/no-folder": "campaign.yaml:15:43",
        "photo/no-such-file": "campaign.yaml:15:18",
    }


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"title": "titel: x"}, "description/missing-key"),
        ({"time_zone": "time_zone: Lisbon"}, "description/time-zone"),
        ({"time_zone": "time_zone: 3"}, "description/value"),
        ({"nodes:": "nodes: {}\nnodes2:"}, "description/unknown-key"),
        ({"nodes: [one]": "    nodes: [won]"}, "description/unknown-node"),
        ({"fields": "    fields: {time: time, node: node}\n    kind: tsv"}, "description/value"),
        ({"table": "  table:\n    encoding: no-such"}, "description/encoding"),
        ({"table": "  table:\n    time_zone: no-such"}, "description/time-zone"),
        ({"fields": "    fields: {time: {}, node: node}"}, "log/field-source"),
        ({"nodes: [one]": "    nodes: [one]\n    start: yesterday"}, "description/time"),
        ({"quay": "  The Quay:"}, "description/key-name"),
    ],
)
def test_a_missing_log_is_told_of_whatever_else_is_wrong(
    changes: dict[str, str], code: str, tmp_path: Path
) -> None:
    """The same place twice would send the person to a line that is mended already."""
    folder = described(tmp_path, **changes)
    (folder / "ridge.csv").unlink()

    with pytest.raises(CampaignError) as caught:
        read_campaign(folder)

    found = [problem.code for problem in caught.value.problems]
    assert {code, "path/missing"} <= set(found)
    assert len(found) == len(set(caught.value.problems))


def test_what_follows_from_a_part_left_out_is_not_complained_of(tmp_path: Path) -> None:
    """The node is there; that it could not be understood has been said."""
    folder = described(tmp_path, one="  one: {name: [One], ids: [n-1]}")

    assert list(refusal(folder)) == ["description/value"]


def test_a_bad_item_costs_its_list_and_places_stay_right(tmp_path: Path) -> None:
    """Were one item taken out, the next would be told of with another's line."""
    text = DESCRIPTION.replace("walks:", "overlays: [{title: x}, {file: gone.geojson}]\nwalks:")
    folder = described(tmp_path, text)

    assert refusal(folder) == {"description/missing-key": "campaign.yaml:15:12"}


def test_a_description_of_nothing_usable_still_names_all_its_faults(tmp_path: Path) -> None:
    (tmp_path / "campaign.yaml").write_text("a: 1\nb: 2\n", encoding="utf-8")

    reading = read_usable_description(tmp_path)

    assert [problem.code for problem in reading.errors].count("description/unknown-key") == 2
    assert [problem.code for problem in reading.errors].count("description/missing-key") == 4
