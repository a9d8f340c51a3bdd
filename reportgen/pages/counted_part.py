"""How the frames sent on a walk are known: by a node's own log, by counters, by an interval."""

from __future__ import annotations

from collections.abc import Iterator

from reportgen.match.sent_log_checks import CLOCKS_APART_S
from reportgen.pages import formats
from reportgen.pages.context import Context
from reportgen.results.delivery import sent_sources
from reportgen.results.sent_account import log_ends
from reportgen.results.walks import WalkResult


def counted_text(context: Context, result: WalkResult) -> str:
    """Return how the frames sent on a walk are known, or why they are not."""
    home = f"walk.{result.walk.key}.station.{context.home.key}"
    reason = context.results.figures[f"{home}.frames_sent"].absent_reason
    if reason:
        return context.words.say(f"absent.{reason}") + "."
    in_doubt = int(context.results.figures[f"{home}.frames_in_doubt"].number or 0)
    said = [*_sources(context, result), *_remarks(context, result)]
    if in_doubt:
        said.append(context.words.count("walk.in_doubt", in_doubt))
    return " ".join(said)


def _sources(context: Context, result: WalkResult) -> Iterator[str]:
    """Yield how the frames sent are known, a sentence for each source."""
    path = f"walk.{result.walk.key}"

    def shown(name: str) -> str:
        return context.figures.view(f"{path}.{name}").text

    recorded = int(context.results.figures[f"{path}.frames_recorded"].number or 0)
    logged = context.results.figures[f"{path}.frames_logged"].number or 0
    for number, source in enumerate(sent_sources(result.frames)):
        yield context.words.say(
            f"walk.sent_{source}_too" if number else f"walk.sent_{source}",
            used=context.words.count("walk.log_used", int(logged)),
            ends=_log_ends(context, result),
            alone=shown("frames_recorded"),
            recorded=context.words.count("walk.recorded", recorded),
            inferred=shown("frames_by_interval" if source == "interval" else "frames_inferred"),
            interval=formats.duration_text(context.campaign.radio.interval_s or 0.0),
        )


def _log_ends(context: Context, result: WalkResult) -> str:
    if result.receptions.empty:
        return context.words.say("walk.log_ends_silent")
    return context.words.say(f"walk.log_ends_{log_ends(result.frames, result.receptions)}")


def _remarks(context: Context, result: WalkResult) -> Iterator[str]:
    """Yield what else a reader should know of the count: silences, frames off the walk, clocks."""
    book, path = context.results.figures, f"walk.{result.walk.key}"
    run = int(book[f"{path}.longest_run_inferred"].number or 0)
    if run and "interval" in sent_sources(result.frames):
        yield context.words.count("walk.longest_run", run)
    for name, key in (("gaps_not_filled", "gaps_not_filled"), ("frames_outside_walk", "outside")):
        count = int(book[f"{path}.{name}"].number or 0)
        if count:
            yield context.words.count(f"walk.{key}", count)
    for node in result.nodes:
        name = f"{path}.node.{node}.clock_behind_s"
        behind_s = (book[name].number if name in book else None) or 0.0
        if abs(behind_s) > CLOCKS_APART_S:
            yield context.words.say(
                "walk.node_clock_behind" if behind_s > 0 else "walk.node_clock_ahead",
                node=context.node_name(node),
                duration=formats.duration_text(behind_s),
            )
