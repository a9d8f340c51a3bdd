"""A bicycle survey recorded by others: our figures against those worked out independently.

Source of every expected value: README.md and expected.json of the folder of real inputs, worked
out there with another program (geodesics after Karney 2013, linear interpolation in time).
"""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest

from reportgen.compute.distance_law import independent_frames_law
from reportgen.match.join import join
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import Results, assemble
from reportgen.results.law import FLOOR_SHARE

pytestmark = pytest.mark.shared

RIDES = ("ride-24-july", "ride-5-july")


def value(results: Results, name: str) -> float:
    number = results.figures[name].number
    assert number is not None, name
    return number


@pytest.mark.parametrize(
    ("ride", "file", "read", "used"),
    [("ride-24-july", "velo24-data", 402, 329), ("ride-5-july", "velo5-data", 399, 344)],
)
def test_rows_of_other_devices_are_set_aside_by_request(
    lyon: Results, ride: str, file: str, read: int, used: int
) -> None:
    """Fixed devices share the log; only the bicycle's rows are this walk's."""
    path = f"input.walk.{ride}.{file}"

    assert value(lyon, f"{path}.read") == read
    assert value(lyon, f"{path}.used") == used
    assert value(lyon, f"{path}.set_aside_by_request") == read - used
    assert value(lyon, f"{path}.set_aside_faults") == 0


@pytest.mark.parametrize(
    ("ride", "rate", "rows", "first", "last", "sent"),
    [
        ("ride-24-july", "dr0", 101, 190, 332, 143),
        ("ride-24-july", "dr8", 128, 179, 333, 155),
        ("ride-24-july", "dr9", 100, 179, 333, 155),
        ("ride-5-july", "dr0", 95, 188, 357, 170),
        ("ride-5-july", "dr8", 139, 186, 356, 171),
        ("ride-5-july", "dr9", 110, 187, 357, 171),
    ],
)
def test_frames_are_counted_by_data_rate(
    lyon: Results, ride: str, rate: str, rows: int, first: int, last: int, sent: int
) -> None:
    """One number is sent once per data rate, so each rate has its own delivery ratio."""
    path = f"walk.{ride}.station.roof.data_rate.{rate}"

    assert value(lyon, f"{path}.frames_heard") == rows
    assert value(lyon, f"{path}.counters_distinct") == rows
    assert value(lyon, f"{path}.counter_first") == first
    assert value(lyon, f"{path}.counter_last") == last
    assert value(lyon, f"{path}.frames_sent") == sent
    assert value(lyon, f"{path}.delivery_ratio") == pytest.approx(rows / sent, abs=5e-5)


@pytest.mark.parametrize(
    ("ride", "rate", "column", "worst", "median", "best"),
    [
        ("ride-24-july", "dr0", "rssi_dbm", -118, -116, -64),
        ("ride-24-july", "dr8", "rssi_dbm", -138, -125, -62),
        ("ride-24-july", "dr0", "snr_db", -25, -11, 15),
        ("ride-5-july", "dr0", "rssi_dbm", -118, -107, -62),
        ("ride-5-july", "dr8", "rssi_dbm", -140, -123, -65),
    ],
)
def test_levels_are_those_of_the_log(
    lyon: Results, ride: str, rate: str, column: str, worst: float, median: float, best: float
) -> None:
    path = f"walk.{ride}.station.roof.data_rate.{rate}.{column}"

    assert value(lyon, f"{path}_worst") == worst
    assert value(lyon, f"{path}_median") == median
    assert value(lyon, f"{path}_best") == best


@pytest.mark.parametrize("rate", ["dr8", "dr9"])
def test_a_written_zero_that_means_not_measured_is_no_level(lyon: Results, rate: str) -> None:
    name = f"walk.ride-24-july.station.roof.data_rate.{rate}.snr_db_median"

    assert lyon.figures[name].absent_reason == "no-level"


@pytest.mark.parametrize(
    ("ride", "rate", "away_m", "bearing_deg", "time", "rssi_dbm"),
    [
        ("ride-24-july", "dr0", 4590.9, 163.4, "2024-07-24T06:11:29Z", -117),
        ("ride-24-july", "dr8", 5110.5, 167.9, "2024-07-24T06:09:45Z", -131),
        ("ride-5-july", "dr0", 5041.0, 167.3, "2024-07-05T07:02:15Z", -116),
        ("ride-5-july", "dr8", 5121.2, 168.0, "2024-07-05T07:01:52Z", -134),
    ],
)
def test_farthest_reception_has_the_independent_distance_bearing_and_time(
    lyon: Results, ride: str, rate: str, away_m: float, bearing_deg: float, time: str,
    rssi_dbm: float,
) -> None:  # fmt: skip
    """Positions come only from the track, two hours of local time taken off."""
    path = f"walk.{ride}.station.roof.data_rate.{rate}.farthest_heard"

    assert value(lyon, f"{path}_m") == pytest.approx(away_m, abs=0.05)
    assert value(lyon, f"{path}_bearing_deg") == pytest.approx(bearing_deg, abs=0.05)
    assert lyon.figures[f"{path}_time"].value == time
    assert value(lyon, f"{path}_rssi_dbm") == rssi_dbm


@pytest.mark.parametrize(
    ("ride", "points", "length_m", "farthest_m"),
    [("ride-24-july", 821, 13_922.9, 10_268.0), ("ride-5-july", 963, 15_227.3, 10_270.7)],
)
def test_track_has_the_independent_length_and_reach(
    lyon: Results, ride: str, points: int, length_m: float, farthest_m: float
) -> None:
    walk = next(walk for walk in lyon.walks if walk.walk.key == ride)

    assert len(walk.track) == points
    assert value(lyon, f"walk.{ride}.track_length_m") == pytest.approx(length_m, abs=0.05)
    assert value(lyon, f"walk.{ride}.farthest_walked_m") == pytest.approx(farthest_m, abs=0.05)


def test_spreading_factor_comes_from_the_regional_plan(lyon: Results) -> None:
    """DR0 is SF12 in EU868; LR-FHSS has no spreading factor."""
    receptions = lyon.joined.receptions

    assert set(receptions.loc[receptions["data_rate"] == "DR0", "spreading_factor"]) == {12}
    assert receptions.loc[receptions["data_rate"] == "DR8", "spreading_factor"].isna().all()


def test_a_log_read_in_the_wrong_zone_is_said_to_miss_the_track(
    lyon_folder: Path, tmp_path: Path
) -> None:
    """Read as UTC, every row lies after the track's end: no place may be made up for it."""
    folder = tmp_path / "campaign"
    shutil.copytree(lyon_folder, folder)
    description = folder / "campaign.yaml"
    text = description.read_text(encoding="utf-8")
    description.write_text(text.replace("Europe/Paris", "UTC"), encoding="utf-8")

    joined = join(read_campaign(folder))

    problems = [p for p in joined.problems if p.code == "match/log-outside-track"]
    assert joined.receptions["latitude_deg"].isna().all()
    assert [p.count for p in problems] == [329, 344]
    assert "329 of 329 rows outside the track's time, by 1 h 3" in problems[0].found
    assert "time zone" in problems[0].do


def test_headline_is_absent_with_a_reason_rather_than_zero(
    lyon_folder: Path, tmp_path: Path
) -> None:
    """Without places there is no distance; that is a reason, not 0 m."""
    folder = tmp_path / "campaign"
    shutil.copytree(lyon_folder, folder)
    description = folder / "campaign.yaml"
    text = description.read_text(encoding="utf-8")
    description.write_text(text.replace("Europe/Paris", "UTC"), encoding="utf-8")

    results = assemble(join(read_campaign(folder)))

    assert results.figures["campaign.farthest_heard_m"].absent_reason == "no-place"


@pytest.mark.parametrize(
    ("ride", "rate", "rows", "exponent", "at_1_m_dbm"),
    [
        ("ride-24-july", "DR0", 95, 1.876, -52.66),
        ("ride-24-july", "DR8", 121, 3.302, -13.83),
        ("ride-5-july", "DR0", 76, 1.651, -57.29),
        ("ride-5-july", "DR8", 122, 3.297, -14.80),
    ],
)
def test_line_through_heard_levels_is_the_independent_one(
    lyon: Results, ride: str, rate: str, rows: int, exponent: float, at_1_m_dbm: float
) -> None:
    """Least squares of RSSI beyond 100 m, as worked out apart from this project."""
    table = lyon.joined.receptions
    mine = table[
        (table["walk"] == ride)
        & (table["data_rate"] == rate)
        & (table["distance_m"] >= 100.0)
        & table["rssi_dbm"].notna()
    ]
    law = independent_frames_law(
        distance_m=mine["distance_m"], level_dbm=mine["rssi_dbm"],
        limit_dbm=np.full(len(mine), -200.0),
    )  # fmt: skip

    assert len(mine) == rows
    assert law.naive_exponent.value == pytest.approx(exponent, abs=0.0005)
    at_100_m_dbm = law.level_at_reference_dbm.value
    assert at_100_m_dbm + 20 * law.exponent.value == pytest.approx(at_1_m_dbm, abs=0.02)


def test_levels_of_the_slow_rate_are_said_to_lie_on_the_receivers_floor(lyon: Results) -> None:
    """RSSI of DR0 stops at -118 dBm: a line through it is no physical law.

    The line through RSSI has 1.876; the signal alone, by RSSI and SNR, falls faster.
    """
    assert value(lyon, "walk.ride-24-july.law.floor_ratio") > FLOOR_SHARE
    assert value(lyon, "walk.ride-24-july.law.exponent") > 2.5


def test_without_snr_no_law_is_made_of_the_floor(lyon: Results) -> None:
    assert lyon.figures["walk.ride-5-july.law.exponent"].absent_reason == "on-floor"


RINGS = {
    "ride-24-july": "21/21 13/13 10/11 12/12 12/14 10/14 11/16 1/22 8/17 3/3",
    "ride-5-july": "36/36 15/15 11/13 8/11 8/13 9/15 3/14 0/23 4/17 0/12 1/1",
}


@pytest.mark.parametrize("ride", RINGS)
def test_delivery_by_ring_is_the_independent_one(lyon: Results, ride: str) -> None:
    """DR0 by 500 m ring; there a missed frame has the distance between its neighbours' ones."""
    frames = lyon.joined.frames
    mine = frames[(frames["walk"] == ride) & (frames["data_rate"] == "DR0")].sort_values("counter")
    heard = (mine["sent_known"] == "recorded").to_numpy()
    counter = mine["counter"].to_numpy(dtype=float)
    away_m = np.interp(counter, counter[heard], mine["distance_m"].to_numpy()[heard])
    ring = (away_m // 500).astype(int)

    found = [f"{heard[ring == k].sum()}/{(ring == k).sum()}" for k in range(ring.max() + 1)]

    assert found == RINGS[ride].split()


@pytest.mark.parametrize("ride", RINGS)
def test_rings_of_the_site_hold_every_frame_heard_where_it_was(lyon: Results, ride: str) -> None:
    """The site places misses on the track by time, not by distance: some lie a ring over."""
    path = f"walk.{ride}.station.roof.data_rate.dr0.ring"
    heard, sent = [], []
    for low in range(0, 500 * len(RINGS[ride].split()), 500):
        heard.append(value(lyon, f"{path}.{low}-{low + 500}.frames_heard"))
        sent.append(value(lyon, f"{path}.{low}-{low + 500}.frames_sent"))
    expected = [part.split("/") for part in RINGS[ride].split()]

    assert heard == [int(part[0]) for part in expected]
    assert sum(sent) == sum(int(part[1]) for part in expected)
    assert max(abs(a - int(b[1])) for a, b in zip(sent, expected, strict=True)) <= 4


def test_rings_carry_an_interval(lyon: Results) -> None:
    name = "walk.ride-24-july.station.roof.data_rate.dr0.ring.2500-3000.delivery_ratio"
    figure = lyon.figures[name]

    assert figure.low is not None
    assert figure.high is not None
    assert figure.low < 10 / 14 < figure.high
