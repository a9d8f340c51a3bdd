"""What charts and maps for the chart library have in common: settings, colours, points, text."""

from __future__ import annotations

import json
import math
import re
from collections import Counter
from collections.abc import Callable, Iterable
from itertools import chain

from reportgen.pages.charts.description import ChartWords, Mark, PointSeries, Scale
from reportgen.pages.charts.scale import STOPS

Json = dict[str, object]
Switch = dict[str, object]
"""Under which choices a trace shows, and its markers where those depend on the ground."""

PALETTE = {
    "card": "#ffffff",
    "paper": "#fbfaf6",
    "ink": "#1b232a",
    "soft": "#55616b",
    "hairline": "#d9d5ca",
    "deep": "#0c4a5e",
    "station": "#b8400e",
    "on-station": "#fffffe",
    "ground-sea": "#f3f5f3",
    "ground-land": "#efeadd",
}
"""Stand-ins by name: the page puts its own colours in their place, and again when it turns dark."""
CLEAR = "rgba(0,0,0,0)"

# The upload button is on by default in the library; the address is blanked so that none can be.
CONFIG: Json = {
    "displayModeBar": True,
    "displaylogo": False,
    "modeBarButtons": [
        ["zoom2d", "pan2d"],
        ["zoomIn2d", "zoomOut2d", "resetScale2d"],
    ],
    "plotlyServerURL": "",
    "responsive": True,
    "scrollZoom": False,
    "showSendToCloud": False,
}
_MARKERS: dict[Mark, Json] = {
    Mark.HEARD: {
        "symbol": "circle", "size": 9, "color": PALETTE["deep"],
        "line": {"color": PALETTE["ink"], "width": 0.8},
    },
    Mark.MISSED: {
        "symbol": "circle", "size": 8, "color": PALETTE["card"],
        "line": {"color": PALETTE["ink"], "width": 1.3},
    },
    Mark.MISSED_PLACED: {
        "symbol": "circle", "size": 8, "color": PALETTE["card"],
        "line": {"color": PALETTE["ink"], "width": 1.3},
    },
    Mark.OTHER_STATION: {
        "symbol": "triangle-up", "size": 9, "color": PALETTE["card"],
        "line": {"color": PALETTE["deep"], "width": 1.4},
    },
}  # fmt: skip
_BETWEEN = re.compile("([0-9]+|\x1e)")
"""What parts hover texts into phrases: numbers, and the end of a text."""
_FIRST_TOKEN = 0xE000
_MOST_PHRASES = 2000
_WORTH = 60
"""Letters that a phrase has to save before it is written once."""
_MARKUP = re.compile(r"[&<>\"']")
_CONTROLS = re.compile("[\x00-\x09\x0b-\x1f\x7f\ud800-\udfff\ue000-\uf8ff]")
"""Controls, halves of letters, and letters of private use, which stand for phrases."""


def shown(text: str) -> str:
    """Return a text that the library's small markup shows letter by letter, lines kept.

    The library reads character references by number; of names it knows a few only.
    """
    numbered = _MARKUP.sub(lambda found: f"&#{ord(found.group())};", _CONTROLS.sub(" ", text))
    return numbered.replace("\n", "<br>")


def rounded(values: Iterable[float], span: float) -> list[float]:
    """Return numbers to a thousandth of what the drawing shows, or a tenth: what an eye can see."""
    decimals = max(1, 3 - math.floor(math.log10(span)))
    return [round(value, decimals) + 0.0 for value in values]


def points_trace(
    series: PointSeries,
    scale: Scale | None,
    number: int,
    x: Callable[[Iterable[float]], list[object]],
    y: Callable[[Iterable[float]], list[object]],
) -> Json:
    """Return a series of points. Its hover text is data and never part of a template."""
    return {
        "type": "scatter",
        "mode": "markers",
        "name": shown(series.name),
        "uid": f"{series.mark}-{number}",
        "x": x(series.x),
        "y": y(series.y),
        "customdata": list(series.ids),
        # The page breaks the lines: escaped, a line break would be a fifth of what a mark weighs.
        "text": ["\n".join(map(shown, text.split("\n"))) for text in series.hover],
        "hovertemplate": "%{text}<extra></extra>",
        "marker": _marker(series, scale),
        "cliponaxis": False,
        "meta": str(series.mark),
    }


def _marker(series: PointSeries, scale: Scale | None) -> Json:
    marker = _MARKERS[series.mark]
    if series.mark is not Mark.HEARD or series.level is None or scale is None:
        return marker
    return marker | {
        "color": [round(level, 1) + 0.0 for level in series.level],
        "cmin": scale.low,
        "cmax": scale.high,
        "colorscale": [
            [round(number / (len(STOPS) - 1), 4), stop] for number, stop in enumerate(STOPS)
        ],
        "showscale": False,
    }


def layout_of(margin: Json) -> Json:
    """Return the settings that hold for every figure."""
    return {
        "template": "none",
        "paper_bgcolor": CLEAR,
        "plot_bgcolor": CLEAR,
        "font": {"color": PALETTE["ink"], "size": 13},
        "hoverlabel": {
            "align": "left",
            "bgcolor": PALETTE["card"],
            "bordercolor": PALETTE["ink"],
            "font": {"color": PALETTE["ink"], "size": 13},
        },
        "showlegend": False,
        "dragmode": False,
        "hovermode": "closest",
        "margin": margin,
        "modebar": {
            "bgcolor": CLEAR,
            "color": PALETTE["soft"],
            "activecolor": PALETTE["ink"],
        },
        # As in every number of the site: a point, and narrow spaces between thousands.
        "separators": ".\u202f",
        "uirevision": "kept",
    }


def note(text: str, **place: object) -> Json:
    """Return a text in the figure, without an arrow, centred on its place unless told otherwise."""
    return {
        "text": shown(text),
        "showarrow": False,
        "font": {"color": PALETTE["ink"]},
        "xanchor": "center",
        "yanchor": "middle",
    } | place


def stroke(colour: str, width: float, dash: str = "solid") -> Json:
    """Return how a line of the figure is drawn."""
    return {"color": PALETTE[colour], "width": width, "dash": dash}


def figure_json(
    traces: list[Json],
    layout: Json,
    words: ChartWords,
    switches: list[Switch] | None = None,
    tiles: list[Json] | None = None,
    narrow: Json | None = None,
) -> str:
    """Return a figure with its settings as JSON that is safe inside a script element.

    `switches` say of each trace under which of the reader's choices it shows; `tiles` are
    pictures that are fetched only once the reader asks for them; `narrow` is what a phone shows
    otherwise.
    """
    phrases, data = _shortened(traces)
    figure: Json = {
        "config": CONFIG | _language(words),
        "data": data,
        "layout": layout,
        "palette": PALETTE,
    }
    if phrases:
        figure["phrases"] = phrases
    if switches is not None:
        figure["switches"] = switches
    if tiles is not None:
        figure["tiles"] = tiles
    if narrow is not None:
        figure["narrow"] = narrow
    text = json.dumps(
        figure, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False
    )
    for character in "<>&\u2028\u2029":
        text = text.replace(character, f"\\u{ord(character):04x}")
    return text


def _shortened(traces: list[Json]) -> tuple[list[str], list[Json]]:
    """Return phrases that hover texts repeat, and traces with a letter of private use for each.

    They are half of what marks weigh. The page puts the phrases back.
    """
    parts = [_BETWEEN.split(_joined(trace)) for trace in traces]
    counts = Counter(chain.from_iterable(parts))
    saved = {part: (count - 1) * (len(part) - 1) for part, count in counts.items() if part}
    worth = sorted(saved, key=lambda part: (-saved[part], part))
    phrases = [part for part in worth if saved[part] >= _WORTH][:_MOST_PHRASES]
    tokens = {phrase: chr(_FIRST_TOKEN + number) for number, phrase in enumerate(phrases)}
    return phrases, [
        _tokenised(trace, mine, tokens) for trace, mine in zip(traces, parts, strict=True)
    ]


def _joined(trace: Json) -> str:
    texts = trace.get("text")
    return "\x1e".join(texts) if isinstance(texts, list) else ""


def _tokenised(trace: Json, parts: list[str], tokens: dict[str, str]) -> Json:
    if parts == [""] or not tokens:
        return trace
    short = "".join([tokens.get(part, part) for part in parts])
    return trace | {"text": short.split("\x1e")}


def _language(words: ChartWords) -> Json:
    """Return the settings by which the library's buttons speak the site's language."""
    if not words.buttons:
        return {}
    return {
        "locale": "site",
        "locales": {"site": {"dictionary": dict(words.buttons), "format": {}}},
    }
