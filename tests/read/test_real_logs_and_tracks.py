"""Files that nobody on this project made, against figures worked out independently.

The expected values are those of the README and of expected.json beside the files, which were not
made with this package.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import NamedTuple
from zoneinfo import ZoneInfo

import pandas as pd
import pytest

from reportgen.errors import Severity
from reportgen.read.gpx import read_track
from reportgen.read.log_records import read_walk_log
from reportgen.read.reading import CampaignFile, LogContext, Reading
from tests.read.log_files import codes, log_format

pytestmark = pytest.mark.shared

TRACKS = (
    "gpx/Mojstrovka_bogus-1901-times.gpx",
    "gpx/around-visnjan-with-car.gpx",
    "gpx/bad-coordinates.gpx",
    "gpx/cerknicko-without-times.gpx",
    "gpx/empty.gpx",
    "gpx/empty_name_tag.gpx",
    "gpx/garmin-activity.gpx",
    "gpx/gpx1.0_with_all_fields.gpx",
    "gpx/peru-single-point_south-west.gpx",
    "gpx/run.gpx",
    "gpx/skytraq-realdata_teleport.gpx",
    "gpx/timeback.gpx",
    "gpx/track-with-empty-segment.gpx",
    "gpx/track-with-less-sec-time.gpx",
    "gpx/unicode_with_bom.gpx",
    "lora/lyon-bike/bike_24_July.gpx",
    "lora/lyon-bike/bike_5th_july.gpx",
    "walks/pyrenees/track.gpx",
)
USELESS_TIMES = {"gpx/Mojstrovka_bogus-1901-times.gpx"}
NO_USABLE_POINTS = {"gpx/bad-coordinates.gpx"}


class Expected(NamedTuple):
    """What expected.json says of one track."""

    points: list[int]
    timed: int
    heights: int
    first: str | None
    last: str | None
    box: list[float] | None
    backwards: int
    others: int


def expected(real_inputs: Path, name: str) -> Expected:
    said = json.loads((real_inputs / "expected.json").read_text(encoding="utf-8"))["gpx"][name]
    return Expected(
        points=said["seg"],
        timed=said["timed"],
        heights=said["ele"],
        first=said["minT"],
        last=said["maxT"],
        box=said["bbox"],
        backwards=said["back"],
        others=said["wpt"] + said["rtept"],
    )


def real_file(real_inputs: Path, name: str) -> CampaignFile:
    return CampaignFile(path=real_inputs / name, name=name)


def counted(reading: Reading, code: str) -> int:
    return sum(problem.count for problem in reading.problems if problem.code == code)


def test_every_track_of_the_folder_is_checked(real_inputs: Path) -> None:
    """A file added there must not go untested."""
    said = json.loads((real_inputs / "expected.json").read_text(encoding="utf-8"))["gpx"]

    assert sorted(TRACKS) == sorted(said)
    assert {f"gpx/{path.name}" for path in (real_inputs / "gpx").iterdir()} <= set(TRACKS)


@pytest.mark.parametrize("name", TRACKS)
def test_points_per_segment(real_inputs: Path, name: str) -> None:
    said = expected(real_inputs, name)
    reading = read_track(real_file(real_inputs, name), "w")
    found = reading.table["segment"].value_counts().to_dict()
    usable = [0] * len(said.points) if name in NO_USABLE_POINTS else said.points

    assert reading.account.read == sum(said.points)
    assert [found.get(segment, 0) for segment in range(len(said.points))] == usable


@pytest.mark.parametrize("name", TRACKS)
def test_times_and_heights(real_inputs: Path, name: str) -> None:
    said = expected(real_inputs, name)
    reading = read_track(real_file(real_inputs, name), "w")
    table = reading.table

    assert table["height_msl_m"].notna().sum() == said.heights
    if name in USELESS_TIMES:
        assert table["time_utc"].notna().sum() == 0
        assert counted(reading, "gpx/times-useless") == said.timed
        return
    assert table["time_utc"].notna().sum() == said.timed
    assert counted(reading, "gpx/times-useless") == 0
    assert counted(reading, "gpx/time-backwards") == said.backwards
    if said.timed:
        assert table["time_utc"].min() == pd.Timestamp(said.first)
        assert table["time_utc"].max() == pd.Timestamp(said.last)


@pytest.mark.parametrize("name", TRACKS)
def test_bounding_box(real_inputs: Path, name: str) -> None:
    """expected.json holds south, west, north, east to all digits of the files."""
    said = expected(real_inputs, name)
    table = read_track(real_file(real_inputs, name), "w").table
    if said.box is None:
        assert table.empty
        return
    place = table[["latitude_deg", "longitude_deg"]]

    assert [*place.min(), *place.max()] == pytest.approx(said.box, abs=5e-8)


@pytest.mark.parametrize("name", TRACKS)
def test_lines_lead_to_the_points(real_inputs: Path, name: str) -> None:
    """Whoever follows a line number must land on the point's opening bracket."""
    lines = (real_inputs / name).read_bytes().split(b"\n")
    reading = read_track(real_file(real_inputs, name), "w")
    faulty = [line for item in reading.account.set_aside for line in item.lines]

    named = [*reading.table["line"], *faulty]
    assert all(b"<trkpt" in lines[int(line) - 1] for line in named)
    assert len(named) == sum(expected(real_inputs, name).points)


@pytest.mark.parametrize("name", TRACKS)
def test_other_points_and_empty_tracks_are_mentioned(real_inputs: Path, name: str) -> None:
    said = expected(real_inputs, name)
    reading = read_track(real_file(real_inputs, name), "w")
    notes = [problem for problem in reading.problems if problem.code == "gpx/not-track-points"]

    assert [problem.found for problem in notes] == (
        [f"{said.others} waypoints or route points"] if said.others else []
    )
    assert ("gpx/no-track-points" in codes(reading)) == reading.table.empty


BICYCLES = {"velo24": "5b24ff2", "velo5": "4b24ff2"}
LYON_FIELDS = {
    "node": 1,
    "data_rate": 2,
    "time": 3,
    "counter": {"column": 4, "pattern": "^([0-9]+)"},
    "frequency_mhz": 5,
    "rssi_dbm": 6,
    "snr_db": {
        "column": 8,
        "not_measured": [0],
        "not_measured_when": {"data_rate": ["DR8", "DR9"]},
    },
    "station": {"value": "roof"},
}


def lyon(real_inputs: Path, ride: str) -> Reading:
    name = f"lora/lyon-bike/{ride}.data"
    context = LogContext(
        walk="ride",
        node_of_id={BICYCLES[ride].upper(): "bicycle"},
        only_node="bicycle",
        time_zone=ZoneInfo("Europe/Paris"),
        regional_plan="EU868",
    )
    settings = log_format(LYON_FIELDS, header=False, time_format="%Y-%m-%d %H:%M:%S")
    return read_walk_log(real_file(real_inputs, name), settings, context)


@pytest.mark.parametrize(("ride", "rows", "used"), [("velo24", 402, 329), ("velo5", 399, 344)])
def test_rows_of_the_bicycle_are_used_and_others_left_out(
    real_inputs: Path, ride: str, rows: int, used: int
) -> None:
    """README §2.1, first lines of the table."""
    reading = lyon(real_inputs, ride)

    assert (reading.account.read, reading.account.used) == (rows, used)
    assert {item.code for item in reading.account.set_aside} == {"log/another-device"}
    assert reading.account.fault_count == 0


@pytest.mark.parametrize(
    ("ride", "first", "last"),
    [
        ("velo24", "2024-07-24T08:09:45+02:00", "2024-07-24T08:32:59+02:00"),
        ("velo5", "2024-07-05T09:01:52+02:00", "2024-07-05T09:27:43+02:00"),
    ],
)
def test_local_times_become_utc(real_inputs: Path, ride: str, first: str, last: str) -> None:
    """README §2.1: first and last row, local time, UTC+2. Both are within the used rows' span."""
    times = lyon(real_inputs, ride).table["time_utc"]

    assert times.min() >= pd.Timestamp(first)
    assert times.max() <= pd.Timestamp(last)
    assert times.min() - pd.Timestamp(first) < pd.Timedelta("1min")
    assert pd.Timestamp(last) - times.max() < pd.Timedelta("1min")


@pytest.mark.parametrize(
    ("ride", "rate", "rows", "low", "high"),
    [
        ("velo24", "DR0", 101, 190, 332),
        ("velo24", "DR8", 128, 179, 333),
        ("velo24", "DR9", 100, 179, 333),
        ("velo5", "DR0", 95, 188, 357),
        ("velo5", "DR8", 139, 186, 356),
        ("velo5", "DR9", 110, 187, 357),
    ],
)
def test_rows_and_counters_per_data_rate(
    real_inputs: Path, ride: str, rate: str, rows: int, low: int, high: int
) -> None:
    """README §2.1: rows, counters from the beginning of the payload, all distinct."""
    table = lyon(real_inputs, ride).table
    counters = table.loc[table["data_rate"] == rate, "counter"]

    assert len(counters) == counters.nunique() == rows
    assert (counters.min(), counters.max()) == (low, high)


@pytest.mark.parametrize(
    ("ride", "rate", "column", "low", "middle", "high"),
    [
        ("velo24", "DR0", "rssi_dbm", -118, -116, -64),
        ("velo24", "DR8", "rssi_dbm", -138, -125, -62),
        ("velo5", "DR0", "rssi_dbm", -118, -107, -62),
        ("velo5", "DR8", "rssi_dbm", -140, -123, -65),
        ("velo24", "DR0", "snr_db", -25, -11, 15),
    ],
)
def test_levels_per_data_rate(
    real_inputs: Path, ride: str, rate: str, column: str, low: int, middle: int, high: int
) -> None:
    """README §2.1: minimum, median, maximum, whole decibels."""
    table = lyon(real_inputs, ride).table
    levels = table.loc[table["data_rate"] == rate, column]

    assert (levels.min(), levels.median(), levels.max()) == (low, middle, high)


def test_snr_that_was_not_measured_is_not_zero(real_inputs: Path) -> None:
    """README §2.1: for DR8 and DR9 (LR-FHSS) a written 0 means "not measured"."""
    table = lyon(real_inputs, "velo24").table
    is_fhss = table["data_rate"].isin(["DR8", "DR9"])

    assert table.loc[is_fhss, "snr_db"].isna().all()
    assert table.loc[~is_fhss, "snr_db"].notna().all()


def test_shorter_log_of_the_same_format_is_read_with_a_warning(real_inputs: Path) -> None:
    """README §2.1: the log of 5 July ends after the RSSI."""
    reading = lyon(real_inputs, "velo5")

    assert [(problem.code, problem.severity) for problem in reading.problems] == [
        ("csv/column-never-there", Severity.WARNING)
    ]
    assert reading.table["snr_db"].isna().all()


def test_data_rate_zero_is_spreading_factor_twelve(real_inputs: Path) -> None:
    """README §2.1: DR0 is LoRa SF12 at 125 kHz; DR8 has no spreading factor."""
    table = lyon(real_inputs, "velo24").table.set_index("data_rate")

    assert set(table.loc["DR0", "spreading_factor"]) == {12}
    assert set(table.loc["DR0", "bandwidth_hz"]) == {125e3}
    assert table.loc["DR8", "spreading_factor"].isna().all()


@pytest.mark.parametrize(
    ("node", "rows", "mean", "deviation", "mean_snr"),
    [
        ("01", 2029, -55.877, 1.126, 9.129),
        ("04", 2028, -77.367, 1.846, 8.658),
        ("08", 1879, -83.226, 3.712, 8.205),
    ],
)
def test_hourly_series_of_fixed_nodes(
    real_inputs: Path, node: str, rows: int, mean: float, deviation: float, mean_snr: float
) -> None:
    """README §2.2: 2029 rows by semicolons and epoch seconds; values printed to 0.001 dB."""
    name = "lora/goldoni/combined_hourly_data.csv"
    fields = {
        "time": "timestamp",
        "rssi_dbm": f"RSSI_{node}",
        "snr_db": f"SNR_{node}",
        "station": {"value": "gateway-01"},
    }
    context = LogContext(
        walk="w", node_of_id={}, only_node="fixed", time_zone=ZoneInfo("Europe/Rome")
    )
    reading = read_walk_log(
        real_file(real_inputs, name), log_format(fields, time_format="epoch_s"), context
    )

    table = reading.table
    assert (reading.account.read, reading.account.used) == (2029, 2029)
    assert table["time_utc"].min() == pd.Timestamp("2020-11-16T10:00:00Z")
    assert table["time_utc"].max() == pd.Timestamp("2021-02-09T13:00:00Z")
    assert table["rssi_dbm"].notna().sum() == rows
    assert table["rssi_dbm"].mean() == pytest.approx(mean, abs=5e-4)
    assert table["rssi_dbm"].std() == pytest.approx(deviation, abs=5e-4)
    assert table["snr_db"].mean() == pytest.approx(mean_snr, abs=5e-4)
