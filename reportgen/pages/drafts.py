"""Draft conclusions: sentences that a careful person would sign, bound to their figures."""

from __future__ import annotations

from collections.abc import Iterator

from reportgen.pages.context import Context
from reportgen.pages.ground_part import SECTORS_DEG
from reportgen.pages.reach_words import (
    coarse_reach_said,
    frames_said,
    other_own_said,
    reach_end_said,
    walked_key,
)
from reportgen.pages.sentences import Called, Sentence, as_markdown, sentence
from reportgen.pages.verdicts import verdict
from reportgen.results.walks import WalkResult

FILE = "draft-conclusions.txt"
"""Markdown; with that ending it would become a page of the site."""


def drafts(context: Context) -> tuple[Sentence, ...]:
    """Return what the figures say, in the order in which a reader asks."""
    return (
        *_reach(context),
        *other_own_said(context),
        *_walked(context),
        *_directions(context, "blind from", "draft_blind"),
        *_directions(context, "lost beyond", "draft_lost"),
        *(_walk(context, walk) for walk in context.results.walks),
        *(verdict(context, item) for item in context.results.compared.items),
    )


def drafts_text(context: Context) -> str:
    """Return the drafts as Markdown that can be taken over into the author's own file."""
    say = context.words.say
    lines = [f"- {as_markdown(context, draft)}" for draft in drafts(context)]
    return "\n".join([f"<!-- {say('conclusions.draft_file_note')} -->", "", *lines]) + "\n"


def directions_of(context: Context, *verdicts: str) -> tuple[tuple[str, str], ...]:
    """Return compass point and path of figures of every direction with one of these verdicts."""
    book = context.results.figures
    paths = [(deg, f"campaign.sector.{deg:03d}") for deg in SECTORS_DEG]
    return tuple(
        (context.compass(float(deg)), path)
        for deg, path in paths
        if f"{path}.verdict" in book and book[f"{path}.verdict"].value in verdicts
    )


def _directions(context: Context, verdict_word: str, key: str) -> Iterator[Sentence]:
    for compass, path in directions_of(context, verdict_word):
        yield sentence(
            f"conclusions.{key}",
            station=context.home.name,
            compass=compass,
            distance=Called(f"{path}.verdict_m"),
        )


def _reach(context: Context) -> Iterator[Sentence]:
    yield from coarse_reach_said(context, "conclusions.draft_reach_coarse")
    bearing = context.results.figures["campaign.farthest_heard_bearing_deg"].number
    if context.results.figures["campaign.farthest_heard_m"].number is None or bearing is None:
        return
    far = context.results.figures["campaign.farthest_heard_m"]
    yield sentence(
        "conclusions.draft_reach_open" if far.prefix else "conclusions.draft_reach",
        distance=Called("campaign.farthest_heard_m"),
        station=context.home.name,
        compass=context.compass(bearing),
        end=reach_end_said(context, "campaign"),
    )


def _walked(context: Context) -> Iterator[Sentence]:
    key = walked_key(context, "conclusions.draft_walked")
    if key:
        yield sentence(
            key,
            station=context.home.name,
            distance=Called("campaign.farthest_walked_m"),
            sent=Called("campaign.farthest_sent_m"),
        )


def _walk(context: Context, walk: WalkResult) -> Sentence:
    book, path = context.results.figures, f"walk.{walk.walk.key}.station.{context.home.key}"
    heard, sent = book[f"{path}.frames_heard"].number, book[f"{path}.frames_sent"].number
    key = "draft_walk_silent" if not heard else "draft_walk" if sent else "draft_walk_uncounted"
    return sentence(
        f"conclusions.{key}",
        walk=walk.walk.title,
        station=context.home.name,
        frames=frames_said(context, path),
    )
