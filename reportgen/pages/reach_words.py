"""What ends the reach at the farthest frame heard, in words."""

from __future__ import annotations

from reportgen.pages.context import Context
from reportgen.pages.sentences import Called, Sentence, sentence


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


def _key(context: Context, path: str) -> str:
    end = str(context.results.figures[f"{path}.reach_end"].value).replace(" ", "_")
    return "reach.missed_there_counts" if end == "missed_there" else f"reach.{end}"
