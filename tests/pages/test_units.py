"""Lengths in the units that the author chose, everywhere."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.cli.building import build_report
from reportgen.pages.charts.ticks import ring_radii_m, scale_bar_m
from reportgen.pages.formats import NARROW as N
from reportgen.pages.units import METRIC, MILE_M, Units
from tests.campaigns.made import LINE, publish, row, track, write
from tests.campaigns.test_built_sites import text_of

IMPERIAL, BOTH = Units("imperial"), Units("both")


@pytest.mark.parametrize(
    ("length_m", "text"),
    [
        (0.04, f"0.0{N}m"),
        (3.44, f"3.4{N}m"),
        (9.96, f"10{N}m"),
        (412.4, f"412{N}m"),
        (1213.6, f"1{N}214{N}m"),
        (12_345, f"12.3{N}km"),
    ],
)
def test_lengths_have_the_digits_that_a_position_bears(length_m: float, text: str) -> None:
    assert METRIC.length(length_m) == text


@pytest.mark.parametrize(
    ("length_m", "text"),
    [
        (304.8, f"1{N}000{N}ft"),
        (1.2, f"3.9{N}ft"),
        (804.0, f"2{N}638{N}ft"),
        (804.672, f"0.50{N}mi"),
        (1609.344, f"1.00{N}mi"),
        (3000.0, f"1.86{N}mi"),
        (20_000.0, f"12.4{N}mi"),
    ],
)
def test_feet_and_miles_are_international(length_m: float, text: str) -> None:
    """1 ft = 0.3048 m and 1 mi = 1 609.344 m exactly (NIST SP 811 (2008), appendix B.8)."""
    assert IMPERIAL.length(length_m) == text


def test_both_units_stand_side_by_side() -> None:
    assert BOTH.length(412.4) == f"412{N}m (1{N}353{N}ft)"
    assert BOTH.other(412.4) == ""
    assert METRIC.other(304.8) == f"1{N}000{N}ft"
    assert IMPERIAL.other(412.4) == f"412{N}m"


@pytest.mark.parametrize(("length_m", "text"), [(0.02, "0.1"), (0.101, "0.2"), (3.0, "3.0")])
def test_a_distance_to_keep_is_rounded_up(length_m: float, text: str) -> None:
    assert METRIC.caution(length_m) == f"{text}{N}m"


def test_a_distance_to_keep_is_rounded_up_in_feet_as_well() -> None:
    """3.0 m are 9.84 ft: 9.9, never 9.8."""
    assert IMPERIAL.caution(3.0) == f"9.9{N}ft"


def test_a_loss_per_100_feet_is_less_than_one_per_100_metres() -> None:
    """50 dB per 100 m times 0.3048, by hand."""
    assert IMPERIAL.loss_per_length(50.0) == f"15.2{N}dB/100\u00a0ft"


@pytest.mark.parametrize("farthest_m", [3.0, 47.0, 999.0, 1700.0, 4800.0, 33_000.0])
def test_rings_in_feet_or_miles_are_round_and_lie_on_the_ground(farthest_m: float) -> None:
    radii = ring_radii_m(farthest_m, IMPERIAL)

    assert 3 <= len(radii) <= 7
    assert radii[-1] <= max(farthest_m, 10.0)
    for radius_m in radii:
        number = IMPERIAL.round_length(radius_m).rsplit(N, 1)[0].replace(N, "")
        assert len(number.strip("0.").replace(".", "")) <= 2, number


def test_a_scale_bar_in_feet_is_round() -> None:
    assert scale_bar_m(1000.0, IMPERIAL) == pytest.approx(500 * 0.3048)
    assert scale_bar_m(10 * MILE_M, IMPERIAL) == pytest.approx(2 * MILE_M)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("units", "there", "gone"),
    [
        ("imperial", ["2 112 ft", "[ft]", "1 000 ft"], ["644 m", "200 m"]),
        ("both", ["644 m (2 112 ft)", "[m; "], []),
        ("metric", ["644 m", "[m]"], [" ft"]),
    ],
)
def test_one_key_changes_every_page_and_chart(
    tmp_path: Path, units: str, there: list[str], gone: list[str]
) -> None:
    """A walk straight out to 644 m: figures, axis, rings and tables follow the key."""
    rows = tuple(row(10.0 * n, n, 7 + 13.0 * n) for n in range(50) if n % 5)
    folder = write(tmp_path / "c", "Units", rows=rows, gpx=track(*LINE))
    publish(folder, f"place: exact, units: {units}")

    build_report(folder, tmp_path / "site", lambda _: None, strict=False)
    path = tmp_path / "site" / "walks" / "loop.html"
    page, drawn = text_of(path), path.read_text("utf-8").replace(N, " ")

    for text in there:
        assert text in page or text in drawn, text
    for text in gone:
        assert text not in page, text
