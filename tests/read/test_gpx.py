"""GPX tracks: points with their lines, and what is wrong with them."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.errors import CampaignError, Severity
from reportgen.model.columns import TRACK_POINTS
from reportgen.read import gpx_elements
from tests.read.log_files import codes, only_problem, read_gpx, set_aside

TRACK = """\
<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1">
<trk><trkseg>
<trkpt lat="38.70" lon="-9.20"><ele>12.5</ele><time>2026-03-03T10:00:00Z</time></trkpt>
<trkpt
  lat="38.71"
  lon="-9.21"><time>2026-03-03T10:00:10.2073437Z</time></trkpt>
</trkseg></trk></gpx>
"""


def track(*points: str) -> str:
    """Return a track whose points begin on line 1, one a line."""
    body = "\n".join(f"<trkpt {point}</trkpt>" for point in points)
    return f'<gpx version="1.1"><trk><trkseg>{body}</trkseg></trk></gpx>'


def at(clock: str) -> str:
    return f'lat="38.7" lon="-9.2"><time>2026-03-03T{clock}</time>'


def test_points_come_with_their_lines(tmp_path: Path) -> None:
    """A point's line is that of its opening bracket, even where its attributes follow below."""
    reading = read_gpx(tmp_path, TRACK)

    table = reading.table
    assert table.columns.tolist() == TRACK_POINTS.names
    assert table["line"].tolist() == [4, 5]
    assert table["latitude_deg"].tolist() == [38.70, 38.71]
    assert table["longitude_deg"].tolist() == [-9.20, -9.21]
    assert table["height_msl_m"].tolist()[0] == 12.5
    assert table["height_msl_m"].isna().tolist() == [False, True]
    assert [time.isoformat() for time in table["time_utc"]] == [
        "2026-03-03T10:00:00+00:00",
        "2026-03-03T10:00:10.207343+00:00",
    ]
    assert set(table["walk"]) == {"loop"}
    assert (reading.account.unit, reading.account.used) == ("track points", 2)
    assert reading.problems == ()


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_marks_line_ends_and_encodings_do_not_matter(
    tmp_path: Path, ending: str, encoding: str
) -> None:
    text = TRACK.replace('creator="t"', 'creator="Größe"').replace("\n", ending)
    declared = text.replace("UTF-8", "utf-8" if encoding == "utf-8-sig" else encoding)

    assert read_gpx(tmp_path, declared.encode(encoding)).table["line"].tolist() == [4, 5]


def test_lines_stay_right_far_into_a_file(tmp_path: Path) -> None:
    """The parser is fed in pieces of 64 kB; lines must be counted across them."""
    points = [at(f"{10 + i // 3600}:{i // 60 % 60:02d}:{i % 60:02d}Z") for i in range(5000)]

    assert read_gpx(tmp_path, track(*points)).table["line"].tolist() == list(range(1, 5001))


@pytest.mark.parametrize(
    "opening",
    [
        '<gpx version="1.0" xmlns="http://www.topografix.com/GPX/1/0">',
        "<gpx>",
        '<g:gpx xmlns:g="http://www.topografix.com/GPX/1/1">',
    ],
    ids=["1.0", "none", "prefix"],
)
def test_older_and_careless_files_are_read(tmp_path: Path, opening: str) -> None:
    prefix = "g:" if "g:gpx" in opening else ""
    text = track(at("10:00:00Z")).partition(">")[2]
    for name in ("trk>", "trkseg>", "trkpt", "time>", "gpx>"):
        text = text.replace(f"<{name}", f"<{prefix}{name}").replace(
            f"</{name}", f"</{prefix}{name}"
        )
    reading = read_gpx(tmp_path, opening + text)

    assert reading.table["time_utc"].notna().tolist() == [True]


def test_segments_are_numbered_through_the_file(tmp_path: Path) -> None:
    """Empty ones keep their number: a gap between segments is a gap in the walk."""
    segment = f"<trkseg><trkpt {at('10:00:00Z')}</trkpt></trkseg>"
    text = f"<gpx><trk>{segment}<trkseg/>{segment}</trk><trk>{segment}</trk></gpx>"

    assert read_gpx(tmp_path, text).table["segment"].tolist() == [0, 2, 3]


def test_names_inside_of_extensions_are_not_the_points(tmp_path: Path) -> None:
    """Devices write times and heights of their own there."""
    inner = (
        "<extensions><time>1999-01-01T00:00:00Z</time><ele>1</ele>"
        '<trkpt lat="1" lon="1"/></extensions><x:ele>2</x:ele>'
    )
    text = track(f'lat="38.7" lon="-9.2"><ele>7</ele>{inner}').replace(
        "<gpx ", '<gpx xmlns:x="urn:x" '
    )
    table = read_gpx(tmp_path, text).table

    assert table["height_msl_m"].tolist() == [7.0]
    assert table["time_utc"].isna().tolist() == [True]


@pytest.mark.parametrize(
    "attributes",
    [
        'lat="undefined" lon="undefined">',
        'lat="91" lon="0">',
        'lat="45" lon="-180.1">',
        'lat="NaN" lon="4">',
        'lat="45,5" lon="4">',
        'lat="45">',
        'lat="45 S" lon="4">',
        ">",
        'lat="0.000" lon="0">',
    ],
)
def test_point_without_usable_position_is_a_fault(tmp_path: Path, attributes: str) -> None:
    reading = read_gpx(tmp_path, track(at("10:00:00Z"), attributes, at("10:00:10Z")))

    assert set_aside(reading) == {"gpx/no-position": (2,)}
    assert (reading.account.read, reading.account.used) == (3, 2)
    assert reading.account.fault_count == 1


@pytest.mark.parametrize("height", ["high", "NaN", "1e9"])
def test_height_that_cannot_be_leaves_the_point_without(tmp_path: Path, height: str) -> None:
    reading = read_gpx(tmp_path, track(f'lat="1" lon="1"><ele>{height}</ele>'))

    assert reading.table["height_msl_m"].isna().tolist() == [True]
    assert [(problem.code, problem.severity) for problem in reading.problems] == [
        ("gpx/height", Severity.NOTE)
    ]


def test_unreadable_time_leaves_the_point_without(tmp_path: Path) -> None:
    reading = read_gpx(tmp_path, track(at("10:00:00Z"), at("25:00:00Z")))

    assert reading.table["time_utc"].isna().tolist() == [False, True]
    assert [str(problem.where) for problem in reading.problems] == ["walk.gpx:2"]
    assert codes(reading) == ["gpx/time-unreadable"]


def test_time_without_zone_is_utc_with_a_note(tmp_path: Path) -> None:
    """GPX 1.1 (schema, type wptType): times are UTC. Files that forget the Z mean it, mostly."""
    reading = read_gpx(tmp_path, track(at("10:00:00"), at("10:00:10")))

    assert str(reading.table["time_utc"][0]) == "2026-03-03 10:00:00+00:00"
    (problem,) = reading.problems
    assert (problem.code, problem.severity, problem.count) == (
        "gpx/time-without-zone",
        Severity.NOTE,
        2,
    )


def test_time_with_offset_is_turned_into_utc(tmp_path: Path) -> None:
    assert str(read_gpx(tmp_path, track(at("10:00:00+02:00"))).table["time_utc"][0]) == (
        "2026-03-03 08:00:00+00:00"
    )


def test_times_that_stand_still_are_useless(tmp_path: Path) -> None:
    """They would place every photo anywhere on the line."""
    reading = read_gpx(tmp_path, track(at("10:00:00Z"), at("10:00:00Z"), at("10:00:00Z")))

    assert reading.table["time_utc"].isna().all()
    (problem,) = reading.problems
    assert (problem.code, problem.severity, problem.count) == (
        "gpx/times-useless",
        Severity.WARNING,
        3,
    )


@pytest.mark.parametrize("year", ["1901", "1980", "2199", "9999"])
def test_times_of_a_clock_never_set_are_useless(tmp_path: Path, year: str) -> None:
    odd = at("23:59:59-12:00").replace("2026-03-03", f"{year}-12-31")
    reading = read_gpx(tmp_path, track(at("10:00:00Z"), odd))

    assert reading.table["time_utc"].isna().tolist() == [False, True]
    assert codes(reading) == ["gpx/times-useless"]


def test_one_pair_of_equal_times_is_no_fault(tmp_path: Path) -> None:
    reading = read_gpx(tmp_path, track(at("10:00:00Z"), at("10:00:00Z"), at("10:00:01Z")))

    assert (reading.account.used, reading.problems) == (3, ())


def test_time_running_backwards_is_a_warning_at_its_point(tmp_path: Path) -> None:
    reading = read_gpx(tmp_path, track(at("10:00:10Z"), at("10:00:05Z"), at("10:00:20Z")))

    (problem,) = reading.problems
    assert (problem.code, problem.severity, problem.where.line) == (
        "gpx/time-backwards",
        Severity.WARNING,
        2,
    )
    assert problem.found == "10:00:05 after 10:00:10"


def test_waypoints_and_routes_are_counted_but_not_read(tmp_path: Path) -> None:
    """A planned route is not where anybody walked."""
    other = '<wpt lat="1" lon="1"/><rte><rtept lat="1" lon="1"/><rtept lat="2" lon="1"/></rte>'
    reading = read_gpx(tmp_path, track(at("10:00:00Z")).replace("<trk>", other + "<trk>"))

    assert reading.account.read == 1
    (problem,) = reading.problems
    assert (problem.code, problem.severity) == ("gpx/not-track-points", Severity.NOTE)
    assert problem.found == "3 waypoints or route points"


@pytest.mark.parametrize("text", ["<gpx/>", "<gpx><trk><trkseg/></trk></gpx>", "<gpx><trk/></gpx>"])
def test_file_without_track_points_is_a_warning(tmp_path: Path, text: str) -> None:
    reading = read_gpx(tmp_path, text)

    assert (reading.account.read, codes(reading)) == (0, ["gpx/no-track-points"])


@pytest.mark.parametrize("text", ["", "\n \n"])
def test_empty_file_is_a_warning(tmp_path: Path, text: str) -> None:
    reading = read_gpx(tmp_path, text)

    assert (reading.account.read, codes(reading)) == (0, ["file/empty"])


def test_file_cut_off_is_an_error_at_its_last_line(tmp_path: Path) -> None:
    """Half a walk read as a whole one would make the rest look like silence."""
    with pytest.raises(CampaignError) as caught:
        read_gpx(tmp_path, TRACK[: TRACK.index("</trkseg>")])

    problem = only_problem(caught.value)
    assert (problem.code, problem.severity) == ("gpx/not-well-formed", Severity.ERROR)
    assert problem.where.line == 8
    assert "no element found" in problem.found


@pytest.mark.parametrize(
    "text",
    ["{}", "<gpx>\0</gpx>", "<gpx><trk></gpx>", '<?xml version="1.0" encoding="x-no"?><gpx/>'],
)
def test_file_that_is_no_xml_is_an_error(tmp_path: Path, text: str) -> None:
    with pytest.raises(CampaignError) as caught:
        read_gpx(tmp_path, text)

    assert only_problem(caught.value).code == "gpx/not-well-formed"


def test_other_xml_is_an_error_that_names_what_it_is(tmp_path: Path) -> None:
    with pytest.raises(CampaignError) as caught:
        read_gpx(tmp_path, "<kml><trkpt/></kml>")

    problem = only_problem(caught.value)
    assert (problem.code, problem.expected) == ("gpx/not-gpx", "gpx")
    assert problem.found == "a file whose outermost element is kml"


@pytest.mark.parametrize(
    "declaration",
    [
        "<!DOCTYPE gpx>",
        '<!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>',
        '<!DOCTYPE gpx SYSTEM "file:///etc/hostname">',
    ],
    ids=["plain", "entities", "external"],
)
def test_document_types_are_refused(tmp_path: Path, declaration: str) -> None:
    """Entities can blow up in memory or read other files; GPX has no use for them."""
    with pytest.raises(CampaignError) as caught:
        read_gpx(tmp_path, f"{declaration}\n{track(at('10:00:00Z'))}")

    problem = only_problem(caught.value)
    assert (problem.code, problem.where.line) == ("gpx/dtd", 1)


def test_nesting_that_no_gpx_has_stops_the_reading(tmp_path: Path) -> None:
    """A small file could hold millions of levels."""
    with pytest.raises(CampaignError) as caught:
        read_gpx(tmp_path, "<gpx>" + "<a>" * 200)

    assert only_problem(caught.value).code == "gpx/too-deep"


def test_more_points_than_any_walk_has_stop_the_reading(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nine bytes make an empty point: a file within the limit could fill the memory."""
    monkeypatch.setattr(gpx_elements, "MOST_POINTS", 3)
    with pytest.raises(CampaignError) as caught:
        read_gpx(tmp_path, "<gpx><trk><trkseg>" + "<trkpt/>" * 5 + "</trkseg></trk></gpx>")

    assert only_problem(caught.value).code == "gpx/too-many-points"
