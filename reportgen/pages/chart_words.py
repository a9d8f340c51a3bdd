"""The few words that charts and maps print of their own."""

from __future__ import annotations

from reportgen.pages.charts.description import ChartWords
from reportgen.pages.context import Context


def chart_words(context: Context) -> ChartWords:
    """Return them from the catalogue."""
    say = context.words.say
    return ChartWords(
        explore=say("chart.explore"),
        numbers=say("chart.numbers"),
        north=say("chart.north"),
        kilometre=say("chart.kilometre"),
        metre=say("chart.metre"),
        own_station=say("key.station"),
        other_station=say("key.other_station"),
        photo=say("key.photo"),
        track=say("key.track"),
    )
