"""How the frames sent on a walk are known: by a node's own log, by counters, by an interval."""

from __future__ import annotations

from collections.abc import Iterator

from reportgen.pages import formats
from reportgen.pages.context import Context
from reportgen.results.delivery import sent_sources
from reportgen.results.walks import WalkResult


def counted_text(context: Context, result: WalkResult) -> str:
    """Return how the frames sent on a walk are known, or why they are not."""
    home = f"walk.{result.walk.key}.station.{context.home.key}"
    reason = context.results.figures[f"{home}.frames_sent"].absent_reason
    if reason:
        return context.words.say(f"absent.{reason}") + "."
    counted = " ".join(_sources(context, result))
    in_doubt = int(context.results.figures[f"{home}.frames_in_doubt"].number or 0)
    if not in_doubt:
        return counted
    return f"{counted} {context.words.count('walk.in_doubt', in_doubt)}"


def _sources(context: Context, result: WalkResult) -> Iterator[str]:
    """Yield how the frames sent are known, a sentence for each source."""
    path = f"walk.{result.walk.key}"

    def shown(name: str) -> str:
        return context.figures.view(f"{path}.{name}").text

    for number, source in enumerate(sent_sources(result.frames)):
        yield context.words.say(
            f"walk.sent_{source}_too" if number else f"walk.sent_{source}",
            logged=shown("frames_logged"),
            recorded=shown("frames_recorded"),
            inferred=shown("frames_by_interval" if source == "interval" else "frames_inferred"),
            interval=formats.duration_text(context.campaign.radio.interval_s or 0.0),
        )
