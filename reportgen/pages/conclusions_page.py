"""The page of conclusions: the author's own, or drafts marked as such."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from reportgen.pages import formats
from reportgen.pages.compare_page import verdict
from reportgen.pages.context import Context
from reportgen.pages.ground_part import SECTORS_DEG
from reportgen.results.next_walks import NextWalk, next_walks
from reportgen.results.walks import WalkResult


@dataclass(frozen=True, slots=True, kw_only=True)
class ConclusionsView:
    """The whole page."""

    is_written: bool
    html: Markup
    drafts: tuple[str, ...]
    has_next: bool
    next_walks: tuple[str, ...]


def conclusions_view(context: Context) -> ConclusionsView:
    """Return the page of conclusions."""
    html = context.author_html
    found = [_next(context, step) for step in next_walks(context.results.compared.items)]
    steps = (*found, *_untested(context))
    return ConclusionsView(
        is_written=html is not None,
        html=Markup(html or ""),  # noqa: S704 - rendered and made harmless by author_text
        drafts=tuple(_drafts(context)),
        has_next=bool(steps),
        next_walks=steps,
    )


def _in_directions(context: Context, *verdicts: str) -> list[tuple[str, str]]:
    """Return direction and distance of every sector of one of these verdicts."""
    found = []
    for deg in SECTORS_DEG:
        name = f"campaign.sector.{deg:03d}"
        if name + ".verdict" in context.results.figures:
            verdict = context.results.figures[f"{name}.verdict"].value
            if verdict in verdicts:
                away = context.figures.view(f"{name}.verdict_m").text
                found.append((context.compass(float(deg)), away))
    return found


def _directions(context: Context) -> list[str]:
    """Return where the station is blind or lost, on ground that was walked."""
    say = context.words.say
    return [
        *(
            say("conclusions.draft_blind", compass=compass, distance=away)
            for compass, away in _in_directions(context, "blind from")
        ),
        *(
            say("conclusions.draft_lost", compass=compass, distance=away)
            for compass, away in _in_directions(context, "lost beyond")
        ),
    ]


def _untested(context: Context) -> list[str]:
    missing = [compass for compass, _ in _in_directions(context, "not walked", "too few frames")]
    if not missing:
        return []
    return [context.words.say("conclusions.next_directions", directions=", ".join(missing))]


def _next(context: Context, step: NextWalk) -> str:
    key = "next_repeat" if step.kind == "repeat" else "next_one_factor"
    return context.words.say(
        f"conclusions.{key}",
        factor=step.factor,
        value=step.value,
        walk=step.walk.title,
        route=step.walk.route,
    )


def _drafts(context: Context) -> list[str]:
    drafts = [_reach(context), _walked(context), *_directions(context)]
    drafts += [_walk(context, walk) for walk in context.results.walks]
    drafts += [verdict(context, item) for item in context.results.compared.items]
    return [draft for draft in drafts if draft]


def _reach(context: Context) -> str:
    book = context.results.figures
    far, bearing = book["campaign.farthest_heard_m"], book["campaign.farthest_heard_bearing_deg"]
    if far.number is None or bearing.number is None:
        return ""
    return context.words.say(
        "conclusions.draft_reach_open" if far.prefix else "conclusions.draft_reach",
        distance=formats.length_text(far.number),
        station=context.home.name,
        compass=context.compass(bearing.number),
        end=context.figures.view("campaign.reach_end").text,
    )


def _walked(context: Context) -> str:
    walked = context.results.figures["campaign.farthest_walked_m"].number
    if walked is None:
        return ""
    return context.words.say("conclusions.draft_walked", distance=formats.length_text(walked))


def _ratio(context: Context, walk: WalkResult) -> str:
    path = f"walk.{walk.walk.key}.station.{context.home.key}.delivery_ratio"
    view = context.figures.view(path)
    return "" if view.is_absent else view.in_a_sentence


def _walk(context: Context, walk: WalkResult) -> str:
    book, path = context.results.figures, f"walk.{walk.walk.key}.station.{context.home.key}"
    heard, sent = book[f"{path}.frames_heard"].number or 0, book[f"{path}.frames_sent"].number
    key = "draft_walk_silent" if not heard else "draft_walk" if sent else "draft_walk_uncounted"
    return context.words.say(
        f"conclusions.{key}",
        walk=walk.walk.title,
        station=context.home.name,
        heard=formats.number_text(heard),
        sent=formats.number_text(sent or 0),
        ratio=_ratio(context, walk),
    )
