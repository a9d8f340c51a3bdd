"""The few words that charts and maps print of their own."""

from __future__ import annotations

from reportgen.pages.charts.description import ChartWords
from reportgen.pages.context import Context
from reportgen.pages.formats import number_text
from reportgen.pages.words import ENGLISH


def chart_words(context: Context) -> ChartWords:
    """Return them from the catalogue."""
    say = context.words.say
    return ChartWords(
        explore=say("chart.explore"),
        numbers=say("chart.numbers"),
        north=say("chart.north"),
        own_station=say("key.station"),
        other_station=say("key.other_station"),
        photo=say("key.photo"),
        keys=say("chart.keys"),
        photo_unaimed=say("key.photo_unaimed"),
        track=say("key.track"),
        units=context.units,
        buttons=() if context.words.say("language") == ENGLISH else _buttons(context),
        limit=say("key.limit"),
        no_data=say("chart.no_data"),
        tiles_ask=lambda host: say("chart.tiles_ask", host=host),
        tiles_note=lambda host: say("chart.tiles_note", host=host),
        picture=lambda title: say("chart.picture", title=title),
        rough=lambda length: say("chart.rough", length=length),
        thinned=lambda drawn, total: say(
            "chart.thinned", drawn=number_text(drawn), total=number_text(total)
        ),
    )


BUTTONS = (
    ("Zoom", "zoom"), ("Pan", "pan"), ("Zoom in", "zoom_in"), ("Zoom out", "zoom_out"),
    ("Reset axes", "reset"),
)  # fmt: skip
"""What the chart library calls its buttons, and the keys of what the site calls them."""


def _buttons(context: Context) -> tuple[tuple[str, str], ...]:
    return tuple((name, context.words.say(f"chart.button_{key}")) for name, key in BUTTONS)
