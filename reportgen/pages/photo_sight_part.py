"""The sight line as the author judged it: a mark and a few words at the head of a card."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from reportgen.match.photos import PhotoMatch
from reportgen.pages.charts.sight_mark import sight_mark
from reportgen.pages.context import Context


@dataclass(frozen=True, slots=True, kw_only=True)
class SightView:
    """The judgement; `by` says that it is the author's."""

    mark: Markup
    text: str
    by: str


def sight_view(context: Context, match: PhotoMatch) -> SightView:
    """Return the author's judgement, or that there is none."""
    say, photo = context.words.say, match.photo
    mark = sight_mark(photo.sight_line)
    if not photo.sight_line:
        return SightView(mark=mark, text=say("photo.sight_unstated"), by="")
    judgement = say(f"photo.{photo.sight_line.split(maxsplit=1)[0]}")
    key = "photo.sight_line_by" if photo.blocked_by else "photo.sight_line"
    text = say(key, judgement=judgement, what=photo.blocked_by)
    return SightView(mark=mark, text=text, by=say("photo.sight_judged"))
