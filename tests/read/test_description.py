"""The description: all faults at once, each with its line, and the conversion to the model."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.errors import CampaignError, Problem, Severity
from reportgen.model.walk import Factor
from reportgen.read.campaign_parts import nodes_of, publishing_of, radio_of, stations_of, walks_of
from reportgen.read.description import read_description
from reportgen.read.description_checks import check_description
from tests.read.description_text import DESCRIPTION, described


def errors_of(folder: Path) -> list[Problem]:
    with pytest.raises(CampaignError) as caught:
        read_description(folder)
    return list(caught.value.problems)


def remarks_of(folder: Path) -> list[Problem]:
    description, locate = read_description(folder)
    return list(check_description(description, locate))


def test_a_sound_description_has_no_problems(tmp_path: Path) -> None:
    assert remarks_of(described(tmp_path)) == []


def test_a_folder_without_description_points_to_begin(tmp_path: Path) -> None:
    (problem,) = errors_of(tmp_path)

    assert problem.code == "description/missing"
    assert "reportgen begin" in problem.do


@pytest.mark.parametrize("text", ["", "# nothing yet\n", "- a\n- b\n", "just words\n"])
def test_a_description_without_keys_is_an_error(tmp_path: Path, text: str) -> None:
    (tmp_path / "campaign.yaml").write_text(text, encoding="utf-8")

    assert [problem.code for problem in errors_of(tmp_path)] == ["description/empty"]


def test_all_faults_of_keys_and_values_arrive_at_once(tmp_path: Path) -> None:
    """One error per run is a day of guessing."""
    folder = described(
        tmp_path,
        title="titel: x",
        position="    position: {latitude_deg: 91, longitude_deg: east}",
        own="    own: yes",
        one="  One: {name: 3, ids: [0012]}",
    )

    found = [(str(p.where), p.code, p.found, p.do) for p in errors_of(folder)]

    assert found == [
        (
            "campaign.yaml:1:1",
            "description/missing-key",
            "no key title",
            "add the key title",
        ),
        (
            "campaign.yaml:1:1",
            "description/unknown-key",
            "the key titel",
            "did you mean title?",
        ),
        (
            "campaign.yaml:7:10",
            "description/value",
            "stations.quay.own = yes",
            "write true or false, without quotes",
        ),
        (
            "campaign.yaml:9:30",
            "description/value",
            "stations.quay.position.latitude_deg = 91",
            "correct the value",
        ),
        (
            "campaign.yaml:9:49",
            "description/value",
            "stations.quay.position.longitude_deg = east",
            "write a bare number, without unit and without quotes",
        ),
        (
            "campaign.yaml:11:3",
            "description/key-name",
            "the name 'One' in nodes",
            "rename it here and wherever it is named",
        ),
        (
            "campaign.yaml:11:15",
            "description/value",
            "nodes.One.name = 3",
            'put it in quotes: "3"',
        ),
        (
            "campaign.yaml:11:24",
            "description/value",
            "nodes.One.ids[1] = 0012",
            'put it in quotes: "0012"',
        ),
    ]


def test_a_value_that_may_be_text_or_keys_is_judged_by_what_was_written(tmp_path: Path) -> None:
    """A misspelt key within a log must not be answered by "should be text"."""
    folder = described(tmp_path, logs="    logs: [{fil: a.csv}, 5]")

    assert [(p.code, p.do) for p in errors_of(folder)] == [
        ("description/missing-key", "add the key file"),
        ("description/unknown-key", "did you mean file?"),
        ("description/value", 'put it in quotes: "5"'),
    ]


def test_an_empty_part_says_fill_in_or_delete(tmp_path: Path) -> None:
    folder = described(tmp_path, radio="radio:", title="title:")

    assert [(p.where.line, p.do) for p in errors_of(folder)] == [
        (1, "fill it in"),
        (3, "fill it in, or delete the line"),
    ]


def test_a_misspelt_choice_suggests_the_nearest(tmp_path: Path) -> None:
    folder = described(tmp_path, fields="    fields: {time: t, rsi_dbm: rssi}\n    kind: cvs")

    assert [p.do for p in errors_of(folder)] == ["did you mean rssi_dbm?", "did you mean csv?"]


@pytest.mark.parametrize(
    ("changes", "code", "line", "said"),
    [
        ({"own": "    own: false"}, "no-own-station", 4, "own: true"),
        ({"time_zone": "time_zone: Europe/Lisboa"}, "time-zone", 2, "mean Europe/Lisbon?"),
        ({"time_zone": "time_zone: Lisbon"}, "time-zone", 2, "mean Europe/Lisbon?"),
        ({"nodes: [one]": "    nodes: [won]"}, "unknown-node", 18, "mean one?"),
        (
            {"logs": "    logs: [{file: a, format: tabel}]"},
            "unknown-format",
            19,
            "mean table?",
        ),
        ({"table": "  other: {fields: {}}\n  table:"}, "format-left-out", 20, "describe"),
        ({"one": "  one: {name: One, ids: [gw-1]}"}, "same-id", 11, "correct one"),
        ({"radio": "radio: {spreading_factors: [7, 13]}"}, "spreading-factor", 3, "correct"),
        ({"table": "  table:\n    encoding: utf-9"}, "encoding", 14, "leave the key out"),
        ({"logs": "    start: 2026-03-03"}, "time", 19, "in this way"),
        ({"logs": "    start: 2026-02-30 10:00"}, "time", 19, "in this way"),
        ({"logs": "    start: 2026-03-29 01:30"}, "time", 19, "add the offset"),
        ({"logs": "    start: 2026-10-25 01:30"}, "time", 19, "add the offset"),
        (
            {"logs": "    start: 2026-03-03 11:00\n    end: 2026-03-03 10:00"},
            "time",
            20,
            "correct one",
        ),
        (
            {"walks": "photos: {files: {a.jpg: {walk: rige}}}\nwalks:"},
            "unknown-walk",
            15,
            "mean ridge?",
        ),
        (
            {"walks": "photos: {cameras: [{camera: A}, {camera: A}]}\nwalks:"},
            "same-camera",
            15,
            "remove",
        ),
    ],
)
def test_contradictions_are_errors_with_their_line(
    tmp_path: Path, changes: dict[str, str], code: str, line: int, said: str
) -> None:
    (problem,) = errors_of(described(tmp_path, **changes))

    assert (problem.code, problem.where.line) == (f"description/{code}", line)
    assert said in problem.do


def test_a_field_mapped_twice_is_reported_at_its_format(tmp_path: Path) -> None:
    folder = described(tmp_path, fields="    fields: {time: {column: 1, columns: [1, 2]}}")

    (problem,) = errors_of(folder)

    assert problem.where.line == 14
    assert "time" in str(problem)


@pytest.mark.parametrize(
    ("changes", "code", "severity"),
    [
        ({"position": ""}, "no-position", Severity.WARNING),
        ({"logs": "    logs: []"}, "no-walks", Severity.WARNING),
        (
            {"ids: [gw": "    ids: [gw-1]\n    feeder: {loss_per_100m_db: 5}"},
            "feeder",
            Severity.WARNING,
        ),
        (
            {"ids: [gw": "    ids: [gw-1]\n    feeder: {loss_per_100m_db: 5, loss_db: 1}"},
            "feeder",
            Severity.NOTE,
        ),
    ],
)
def test_doubts_do_not_stop_the_reading(
    tmp_path: Path, changes: dict[str, str], code: str, severity: Severity
) -> None:
    found = remarks_of(described(tmp_path, **changes))

    assert [(p.code, p.severity) for p in found] == [(f"description/{code}", severity)]


def test_nodes_of_one_walk_need_identifiers_to_be_told_apart(tmp_path: Path) -> None:
    folder = described(
        tmp_path,
        one="  one: {name: One}\n  two: {name: Two, ids: [n-2]}",
        **{"nodes: [one": "    nodes: [one, two]"},
    )

    (problem,) = remarks_of(folder)

    assert problem.code == "description/node-without-id"
    assert problem.where.line == 11


def test_pictures_are_jpegs_unless_another_format_is_asked_for(tmp_path: Path) -> None:
    described(tmp_path)
    assert publishing_of(read_description(tmp_path)[0]).pictures == "jpeg"

    described(tmp_path, DESCRIPTION + "publish: {pictures: webp}\n")
    assert publishing_of(read_description(tmp_path)[0]).pictures == "webp"


def test_a_picture_format_that_can_not_be_written_here_is_an_error(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Better said at its line than by a site whose pictures are of another kind."""
    monkeypatch.setattr("PIL.features.check", {"avif": False}.get)

    (problem,) = errors_of(described(tmp_path, DESCRIPTION + "publish: {pictures: avif}\n"))

    assert (str(problem.where), problem.code) == (
        "campaign.yaml:20:11",
        "description/picture-format",
    )
    assert "avif, which the installed Pillow can't write" in problem.found


def test_units_become_si_and_defaults_stay_unknown(tmp_path: Path) -> None:
    """868.1 MHz times a million is not a whole number of hertz in floating point."""
    description, locate = read_description(described(tmp_path))

    radio = radio_of(description.radio)
    (station,) = stations_of(description)
    (node,) = nodes_of(description)
    (walk,) = walks_of(description, locate)

    assert (radio.frequency_hz, radio.bandwidth_hz) == (868_100_000.0, 125_000.0)
    assert (radio.interval_s, radio.counter_scope) == (None, "node")
    assert (station.is_own, station.ids, station.feeder) == (True, ("gw-1",), None)
    assert station.antenna_height_agl_m is None
    assert (node.key, node.ids, node.transmit_power_dbm) == ("one", ("n-1",), None)
    assert (walk.logs, walk.tracks, walk.start_utc) == (("ridge.csv",), (), None)


def test_of_two_statements_of_a_feeders_loss_that_of_the_whole_line_is_kept(
    tmp_path: Path,
) -> None:
    feeder = "    own: true\n    feeder: {loss_per_100m_db: 50, length_m: 10, loss_db: 1}"
    description, _ = read_description(described(tmp_path, own=feeder))

    (station,) = stations_of(description)

    assert station.feeder is not None
    assert (station.feeder.loss_db, station.feeder.loss_per_100m_db) == (1.0, None)


def test_factors_are_text_and_off_is_a_word(tmp_path: Path) -> None:
    """YAML 1.1 would make false of off, and two walks would seem to differ."""
    factors = "    factors: {adaptive rate: off, beacon: true, pace: 1.5, factor: 7.0, n: 7}"
    folder = described(tmp_path, logs=factors)

    (walk,) = walks_of(*read_description(folder))

    assert walk.factors == (
        Factor(name="adaptive rate", value="off"),
        Factor(name="beacon", value="on"),
        Factor(name="pace", value="1.5"),
        Factor(name="factor", value="7"),
        Factor(name="n", value="7"),
    )


def test_limits_of_a_walk_are_read_in_the_campaigns_zone(tmp_path: Path) -> None:
    """Lisbon is one hour ahead of UTC in July; an offset of its own wins."""
    limits = "    start: 2026-07-01 10:00\n    end: 2026-07-01T13:30:15+03:00"
    description, locate = read_description(described(tmp_path, logs=limits))

    (walk,) = walks_of(description, locate)

    assert str(walk.start_utc) == "2026-07-01 09:00:00+00:00"
    assert str(walk.end_utc) == "2026-07-01 10:30:15+00:00"


def test_the_shared_description_of_the_tests_is_what_the_lines_above_count(
    tmp_path: Path,
) -> None:
    """The line numbers asserted here hang on it."""
    assert DESCRIPTION.splitlines()[13].strip().startswith("fields")
    assert (described(tmp_path) / "campaign.yaml").read_text(encoding="utf-8") == DESCRIPTION
