"""What stands first about a photo: the author's judgement of the view, and its facts in a line."""

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


def photo_facts(context: Context, match: PhotoMatch) -> str:
    """Return distance, bearing and frames heard on one line; blank where no place is known."""
    say, view, path = context.words.say, context.figures.view, f"photo.{match.photo.key}"
    distance, bearing = view(f"{path}.distance_m"), view(f"{path}.bearing_deg")
    if distance.is_absent or bearing.is_absent:
        return ""
    here = f"{path}.station.{context.home.key}"
    heard, sent = view(f"{here}.frames_heard"), view(f"{here}.frames_sent")
    key = "photo.viewer_heard" if sent.is_absent else "photo.viewer_heard_of"
    return say(
        "photo.viewer_facts",
        distance=distance.text,
        station=context.home.name,
        bearing=bearing.text,
        heard=say(key, heard=heard.text, sent=sent.text),
    )
