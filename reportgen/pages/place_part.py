"""What a page says of a place that is moved or not told, where a reader would miss something."""

from __future__ import annotations

from reportgen.pages.context import Context


def place_note(context: Context, page: str) -> str:
    """Return what is left out of a page and why; blank where nothing is, or nobody would ask."""
    key = f"place.{context.campaign.publishing.place}_{page}"
    if not context.words.has(key):
        return ""
    return context.words.say(key, station=context.home.name, zone=context.zone)
