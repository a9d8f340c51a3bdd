"""Whatever stands in a file, its reader accounts for every row, or says what is wrong."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from reportgen.model.columns import RECORDS, TRACK_POINTS
from reportgen.read.description_schema import LogFormatPart
from reportgen.read.gpx import read_track
from reportgen.read.log_records import read_walk_log
from reportgen.read.reading import CampaignFile
from tests.read.log_files import context
from tests.read.promises import HEADINGS, JSON_FORMATS, TABLE_FORMATS, reads_or_explains

MODERATE = settings(
    max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)

times = st.one_of(
    st.datetimes().map(str),
    st.sampled_from(["2026-03-03T10:00:00Z", "2026-03-29 01:30:00", "03.03.2026 10:00:00", "1e30"]),
    st.integers(-(10**20), 10**20).map(str),
)
cells = st.one_of(
    st.sampled_from(
        ["A1", "B2", "gw", "", " ", '"', "\u221271 dBm", "0", "DR3", "SF7BW125", "NaN"]
    ),
    st.floats().map(str),
    st.text(max_size=8),
    times,
)
rows = st.lists(cells, min_size=1, max_size=len(HEADINGS) + 1)


@st.composite
def tables(draw: st.DrawFn) -> bytes:
    """Draw something that looks like a text table, with anything in its cells."""
    mark = draw(st.sampled_from([",", ";", "\t", "|", " "]))
    lines = [mark.join(row) for row in draw(st.lists(rows, max_size=6))]
    start = draw(st.sampled_from([[mark.join(HEADINGS)], []]))
    text = draw(st.sampled_from(["\n", "\r\n", "\r"])).join([*start, *lines])
    return text.encode(draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16"])), "replace")


values = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), cells),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(cells, inner, max_size=3),
    max_leaves=4,
)
receptions = st.dictionaries(st.sampled_from(HEADINGS), values, max_size=8)
json_records = st.fixed_dictionaries(
    {}, optional={"time": times, "node": cells, "rx": st.lists(receptions | values) | values}
)


@st.composite
def json_lines(draw: st.DrawFn) -> bytes:
    """Draw records, sometimes cut off at the end."""
    lines = [json.dumps(record) for record in draw(st.lists(json_records | values, max_size=5))]
    text = "\n".join(lines)
    return text[: draw(st.integers(0, len(text)))].encode("utf-8", "replace")


names = st.sampled_from(["gpx", "trk", "trkseg", "trkpt", "ele", "time", "wpt", "x:time"])
attributes = st.sampled_from(
    [
        "",
        ' lat="1" lon="2"',
        ' lat="x" lon="2"',
        ' lat="0" lon="0"',
        ' lat="91" lon="2"',
        ' lat="1" lat="2"',
    ]
)
inside = st.one_of(times, st.sampled_from(["", "12.5", "NaN", "&lt;", "&a;", "<"]))


@st.composite
def tracks(draw: st.DrawFn) -> bytes:
    """Draw something that looks like GPX, nested in any order."""
    point = "".join(
        f"<{name}{attribute}>{text}</{name}>"
        for name, attribute, text in draw(
            st.lists(st.tuples(names, attributes, inside), max_size=4)
        )
    )
    body = f'<trk><trkseg><trkpt lat="1" lon="2">{point}</trkpt>{point}</trkseg></trk>{point}'
    opening = draw(st.sampled_from(["<gpx>", "<!DOCTYPE gpx><gpx>", "\ufeff<gpx>", "<kml>", ""]))
    return f"{opening}{body}</gpx>".encode("utf-8", "replace")


def check_log(path: Path, content: bytes, settings_of_log: LogFormatPart) -> None:
    path.write_bytes(content)
    file = CampaignFile(path=path, name=path.name)
    reads_or_explains(lambda: read_walk_log(file, settings_of_log, context()), RECORDS)


def check_track(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    file = CampaignFile(path=path, name=path.name)
    reads_or_explains(lambda: read_track(file, "loop"), TRACK_POINTS)


FORMATS = (*TABLE_FORMATS, *JSON_FORMATS)


@pytest.mark.parametrize("index", range(len(FORMATS)))
@MODERATE
@given(content=st.binary(max_size=300))
def test_any_bytes_as_a_log(tmp_path: Path, index: int, content: bytes) -> None:
    check_log(tmp_path / "any.log", content, FORMATS[index])


@pytest.mark.parametrize("index", range(5))
@MODERATE
@given(content=tables())
def test_anything_in_a_text_table(tmp_path: Path, index: int, content: bytes) -> None:
    check_log(tmp_path / "any.csv", content, FORMATS[index])


@pytest.mark.parametrize("index", [5, 6])
@MODERATE
@given(content=json_lines())
def test_anything_in_json_lines(tmp_path: Path, index: int, content: bytes) -> None:
    check_log(tmp_path / "any.jsonl", content, FORMATS[index])


@MODERATE
@given(content=st.binary(max_size=300))
def test_any_bytes_as_a_track(tmp_path: Path, content: bytes) -> None:
    check_track(tmp_path / "any.gpx", content)


@MODERATE
@given(content=tracks())
def test_anything_in_a_track(tmp_path: Path, content: bytes) -> None:
    check_track(tmp_path / "any.gpx", content)
