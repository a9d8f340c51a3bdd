"""Reach by direction as a drawing: unwalked ground stays blank, lost ground is hatched."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from reportgen.pages.charts.polar import PolarSector, polar_view
from tests.pages.chart_samples import WORDS


def drawing(*sectors: PolarSector) -> str:
    return str(polar_view("k", "Reach <by> direction", "All of it", sectors, WORDS).drawing)


def sector(**changes: float | bool) -> PolarSector:
    usual: dict[str, float | bool] = {
        "middle_deg": 0.0, "walked_m": 1000.0, "heard_m": 600.0, "lost_from_m": 0.0,
        "is_open": False,
    }  # fmt: skip
    return PolarSector(**(usual | changes))  # type: ignore[arg-type]


def test_drawing_is_sound_and_says_what_it_is() -> None:
    root = ET.fromstring(drawing(sector()))

    assert [child.text for child in root][:2] == ["Reach <by> direction", "All of it"]


def test_a_direction_nobody_walked_stays_blank() -> None:
    text = drawing(sector(walked_m=0.0, heard_m=0.0), sector(middle_deg=90.0))

    assert text.count("polar-heard") == 1
    assert text.count("polar-walked") == 1


def test_lost_ground_is_hatched_from_where_it_begins() -> None:
    """Heard to 600 m, nobody between there and 800 m, blind from 800 m on."""
    text = drawing(sector(lost_from_m=800.0))

    assert text.count('class="polar-lost"') == 1
    assert "polar-walked" not in text


def test_a_reach_without_known_end_has_an_open_edge() -> None:
    text = drawing(sector(walked_m=610.0, is_open=True))

    assert text.count("polar-open") == 1
    assert "polar-lost" not in text


def test_nothing_walked_at_all_still_draws() -> None:
    assert "polar-station" in drawing()
