"""The page of the setup: what the analyser said, both budgets, and no hidden assumption."""

from __future__ import annotations

from pathlib import Path

from reportgen.pages.analyser_part import AnalyserView, analyser_view
from reportgen.pages.budget_part import assumptions_grid
from reportgen.pages.context import Context
from reportgen.pages.render import renderer
from reportgen.pages.safety_page import safety_view
from reportgen.pages.setup_page import setup_view
from reportgen.pages.shipped import shipped_folder
from reportgen.pages.views import Grid
from reportgen.pages.words import read_words
from tests.results.link_campaign import STATION, results_of

ROW = (1000.0, -90.0, 0.0)


def context_of(folder: Path, station: str = STATION, **changes: str) -> Context:
    template = shipped_folder("site_template")
    words = read_words(template)
    return Context(
        results=results_of(folder, ROW, station=station, **changes),  # type: ignore[arg-type]
        words=words,
        renderer=renderer(template, words),
        published={},
        author_html=None,
    )


def analyser(folder: Path, vswr: str) -> AnalyserView:
    context = context_of(folder, STATION + f"    vswr: {{{vswr}}}\n")
    view = analyser_view(context, context.campaign.own_stations[0])
    assert view is not None
    return view


def column(grid: Grid, number: int) -> list[str]:
    return [
        row[number].figure.text if row[number].figure else row[number].text  # type: ignore[union-attr]
        for row in grid.rows
    ]


def test_a_low_reading_behind_a_lossy_line_is_told_with_what_it_hides(tmp_path: Path) -> None:
    """1.5 through 2.5 dB: 2.10 at the antenna; the open line would read 3.57."""
    view = analyser(tmp_path, "value: 1.5, measured_at: radio")

    assert "2.10" in view.verdict
    assert "3.57" in view.verdict
    assert "below 2 counts as good" in view.verdict
    assert not view.has_warnings


def test_a_reading_that_cannot_be_names_both_numbers(tmp_path: Path) -> None:
    """4.0 through 2.5 dB can't be: the open line reads 3.57."""
    view = analyser(tmp_path, "value: 4.0, measured_at: radio")

    assert "4.00" in view.verdict
    assert "3.57" in view.verdict
    assert "can't be so" in view.verdict


def test_a_reading_at_another_frequency_warns(tmp_path: Path) -> None:
    view = analyser(tmp_path, "value: 1.5, measured_at: radio, frequency_mhz: 915")

    assert len(view.warnings) == 1
    assert "915" in view.warnings[0]
    assert "868" in view.warnings[0]


def test_every_assumed_figure_stands_in_the_list_of_assumptions(tmp_path: Path) -> None:
    context = context_of(tmp_path)
    assumed = [figure for figure in context.results.figures if figure.method == "assumed"]

    grid = assumptions_grid(context)

    assert len(grid.rows) == len(assumed) > 5
    assert "radio.rssi_error_db" in column(grid, 3)
    assert "stations.pier.vswr" in column(grid, 3)


def test_what_the_author_states_is_no_assumption(tmp_path: Path) -> None:
    context = context_of(tmp_path, radio="frequency_mhz: 868, bandwidth_khz: 125, rssi_error_db: 2")

    assert "radio.rssi_error_db" not in column(assumptions_grid(context), 3)


def test_each_direction_has_a_chart_and_says_whether_it_was_exercised(tmp_path: Path) -> None:
    view = setup_view(context_of(tmp_path))

    (budget,) = view.budgets
    assert [chart.key for chart in budget.charts] == [
        "budget-uplink-pier-buoy",
        "budget-downlink-pier-buoy",
    ]
    assert budget.exercised[0].startswith("Uplink: 1 frame ")
    assert "nothing was learnt of the station's own output" in budget.exercised[1]


def test_an_unknown_gain_draws_no_chart_of_a_guess(tmp_path: Path) -> None:
    station = STATION.replace("    antenna: {gain_dbi: 5}\n", "")

    (budget,) = setup_view(context_of(tmp_path, station)).budgets

    assert not budget.has_charts
    assert "open a number" in budget.missing


def test_caution_distances_stand_with_the_strictest_limit_first(tmp_path: Path) -> None:
    view = safety_view(context_of(tmp_path))

    grid = view.antennas[0].distances
    assert column(grid, 0) == ["ICNIRP 2020", "47 CFR 1.1310", "ICNIRP 2020", "47 CFR 1.1310"]
    assert column(grid, 1)[:2] == ["general public"] * 2
    assert "in the near field" in column(grid, 3)
