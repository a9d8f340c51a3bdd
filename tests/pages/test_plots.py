"""What the charts of a walk are made of, from a campaign folder on."""

from __future__ import annotations

from pathlib import Path

from reportgen.pages.maps import campaign_map
from reportgen.pages.marks import heard_parts, level_scale
from reportgen.pages.plots import over_time
from reportgen.pages.walk_page import walk_when
from tests.campaigns.made import row, write
from tests.pages.made_context import context_of


def test_one_level_that_is_not_known_takes_no_colour_from_the_others(tmp_path: Path) -> None:
    """A receiver that skips an SNR now and then must not turn the whole map grey."""
    rows = [row(10 * n, n, 100 + 10 * n) for n in range(20)]
    rows[5] = rows[5].replace(",5,7,", ",,7,")
    context = context_of(write(tmp_path / "c", "One SNR missing", rows=tuple(rows)))

    plain, coloured = heard_parts(context, context.results.joined.receptions)

    assert (len(plain.rows), plain.level) == (1, None)
    assert coloured.level is not None
    assert len(coloured.rows) == len(coloured.level) == 19
    assert set(coloured.level) == {12.5}


def test_levels_all_at_or_below_the_limit_still_have_a_scale(tmp_path: Path) -> None:
    """A spreading factor's limit is soft: frames come through a little below it."""
    rows = tuple(row(10 * n, n, 100 + 10 * n).replace(",5,7,", ",-10,7,") for n in range(20))
    context = context_of(write(tmp_path / "c", "Below the limit", rows=rows))

    scale = level_scale(context).scale

    assert (scale.low, scale.high) == (0.0, 10.0)
    assert campaign_map(context).has_scale


def test_a_walk_over_midnight_says_both_days(tmp_path: Path) -> None:
    """From 09:00 to 08:56 of the next day would read as a walk that ended before it began."""
    rows = tuple(row(3590 * n, n, 100 + 10 * n) for n in range(25))
    context = context_of(write(tmp_path / "c", "Two days", rows=rows))
    (result,) = context.results.walks

    chart = over_time(context, result)

    assert (
        walk_when(context, result)
        == "3 March 2026, 09:00, to 4 March 2026, 08:56 (Atlantic/Azores)"
    )
    assert "from 3 March 2026, 09:00 to 4 March 2026, 08:56; median" in chart.summary
    assert chart.tables[0].rows[-1][0].endswith("to 4 March 2026, 09:00")
    assert r"%H:%M\n%m-%d" in chart.data


def test_a_walk_of_one_day_says_it_once(tmp_path: Path) -> None:
    rows = tuple(row(10 * n, n, 100 + 10 * n) for n in range(25))
    context = context_of(write(tmp_path / "c", "One day", rows=rows))
    (result,) = context.results.walks

    chart = over_time(context, result)

    assert walk_when(context, result) == "3 March 2026, 09:00 to 09:04 (Atlantic/Azores)"
    assert "from 09:00 to 09:04; median" in chart.summary
    assert r"%H:%M\n%m-%d" not in chart.data
