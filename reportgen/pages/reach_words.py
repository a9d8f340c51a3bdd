"""What ends the reach at the farthest frame heard, in words."""

from __future__ import annotations

from collections.abc import Iterator

from reportgen.pages.context import Context
from reportgen.pages.sentences import Called, Sentence, sentence
from reportgen.results.coarse import band_ends
from reportgen.results.delivery import is_sent_short
from reportgen.results.figure import Absent


def reach_end_said(context: Context, path: str) -> Sentence:
    """Return what lies beyond the farthest frame heard under a path; its figures open."""
    return sentence(
        _key(context, path),
        heard=Called(f"{path}.frames_heard_there"),
        sent=Called(f"{path}.frames_sent_there"),
    )


def reach_end_text(context: Context, path: str) -> str:
    """Return the same as a plain text, for a note."""
    view = context.figures.view
    return context.words.say(
        _key(context, path),
        heard=view(f"{path}.frames_heard_there").text,
        sent=view(f"{path}.frames_sent_there").text,
    )


def coarse_reach_said(context: Context, key: str) -> Iterator[Sentence]:
    """Yield in which band the farthest frame heard lies, where distances are told as bands."""
    far = context.results.figures["campaign.farthest_heard_m"]
    if band_ends(far) is not None:
        yield sentence(key, station=context.home.name, distance=Called(far.name))


def other_own_said(context: Context) -> Iterator[Sentence]:
    """Yield what each own station beside the first heard."""
    book = context.results.figures
    for station in context.results.joined.stations:
        if not station.is_own or station.key == context.home.key:
            continue
        path = f"campaign.station.{station.key}"
        key = "own_silent" if not book[f"{path}.frames_heard"].number else "own"
        if key == "own" and book[f"{path}.farthest_heard_m"].value is None:
            key = "own_unplaced"
        yield sentence(
            f"overview.{key}_lead",
            station=station.name,
            frames=frames_said(context, path),
            distance=Called(f"{path}.farthest_heard_m"),
        )


def frames_said(context: Context, path: str) -> Sentence:
    """Return how many frames were heard of those sent, or heard alone where that isn't known."""
    book = context.results.figures
    sent = int(book[f"{path}.frames_sent"].number or 0)
    return sentence(
        "overview.frames_of" if sent else "overview.frames_alone",
        count=sent or int(book[f"{path}.frames_heard"].number or 0),
        # Frames heard outside the walk are in no count of what was sent on it.
        heard=Called(f"{path}.frames_heard_of_sent" if sent else f"{path}.frames_heard"),
        sent=Called(f"{path}.frames_sent"),
        ratio=Called(f"{path}.delivery_ratio"),
    )


def walked_key(context: Context, key: str) -> str:
    """Return the key of the words for how far was walked, by how far frames were sent on the way.

    Blank where nothing is known of how far was walked.
    """
    book = context.results.figures
    walked, sent = book["campaign.farthest_walked_m"], book["campaign.farthest_sent_m"]
    if walked.number is None:
        return ""
    if sent.absent_reason is Absent.NOTHING_SENT:
        return f"{key}_unsent"
    if sent.number is None:
        return f"{key}_nowhere"
    return f"{key}_short" if is_sent_short(sent.number, walked.number) else key


def _key(context: Context, path: str) -> str:
    end = str(context.results.figures[f"{path}.reach_end"].value).replace(" ", "_")
    return "reach.missed_there_counts" if end == "missed_there" else f"reach.{end}"
